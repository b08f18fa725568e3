package season

import "math"

// stock is what is kept of one material for one keeping time. Kept apart like
// this every stock is used first-in-first-out, and what is left of it at the
// end of a week is never more than what came within the keeping time.
type stock struct {
	material int
	keeps    int       // weeks; 0 for no limit
	arrives  []float64 // kg at the beginning of each week, 0 for the first of the season
	offers   []int     // that bring into it
}

// alive tells whether what came in week a can still be used in week t, both
// from 0.
func (k *stock) alive(a, t int) bool { return a <= t && (k.keeps == 0 || t < a+k.keeps) }

// usable is what came for sure and can be used in week t; kept what of it can
// be used in the week after.
func (k *stock) usable(t int) float64 {
	sum := 0.0
	for a := range min(t+1, len(k.arrives)) {
		if k.alive(a, t) {
			sum += k.arrives[a]
		}
	}
	return sum
}

func (k *stock) kept(t int) float64 {
	sum := 0.0
	for a := range min(t+1, len(k.arrives)) {
		if k.alive(a, t+1) {
			sum += k.arrives[a]
		}
	}
	return sum
}

// stocks sorts the arrivals and offers into stocks. What was done before the
// first week to plan has been taken off.
func (s *Season) stocks() []*stock {
	var all []*stock
	find := func(material, keeps int) *stock {
		if keeps > s.Weeks {
			keeps = 0
		}
		for _, k := range all {
			if k.material == material && k.keeps == keeps {
				return k
			}
		}
		k := &stock{material: material, keeps: keeps, arrives: make([]float64, s.Weeks)}
		all = append(all, k)
		return k
	}
	for _, a := range s.Arrivals {
		if a.Week <= s.Weeks {
			find(a.Material, a.Keeps).arrives[max(a.Week, 1)-1] += a.Kg
		}
	}
	for o, offer := range s.Offers {
		k := find(offer.Material, offer.Keeps)
		k.offers = append(k.offers, o)
	}
	s.replaceArrivals(all)
	s.takeDone(all)
	return all
}

// replaceArrivals puts what really came in place of what was to come.
func (s *Season) replaceArrivals(all []*stock) {
	for _, d := range s.Done {
		for i, kg := range d.ArrivedKg {
			if math.IsNaN(kg) {
				continue
			}
			planned := 0.0
			for _, k := range all {
				if k.material == i {
					planned += k.arrives[d.Week-1]
				}
			}
			first := true
			for _, k := range all {
				switch {
				case k.material != i:
				case planned > 0:
					k.arrives[d.Week-1] *= kg / planned
				case first:
					k.arrives[d.Week-1] = kg
				}
				first = first && k.material != i
			}
		}
	}
}

// takeDone takes off what went into batches and covers before the first week
// to plan: of each material what spoils first.
func (s *Season) takeDone(all []*stock) {
	for week := 1; week < s.from(); week++ {
		for _, d := range s.Done {
			if d.Week == week && d.Bay >= 0 {
				for i, kg := range d.Kg {
					takeFirst(all, i, week-1, kg)
				}
			}
		}
		for _, c := range s.Beds.Covers {
			if c.Week == week {
				takeFirst(all, s.index(c.Material.Name), week-1, c.MassKg)
			}
		}
	}
}

// takeFirst takes kg of a material in week t out of the lots that spoil first.
func takeFirst(all []*stock, material, t int, kg float64) {
	for kg > 0 {
		var from *stock
		at, ends := 0, math.MaxInt
		for _, k := range all {
			if k.material != material {
				continue
			}
			for a := range t + 1 {
				if k.arrives[a] <= 0 || !k.alive(a, t) {
					continue
				}
				end := math.MaxInt - 1
				if k.keeps > 0 {
					end = a + k.keeps
				}
				if end < ends {
					from, at, ends = k, a, end
				}
			}
		}
		if from == nil {
			return // more than there was on paper: it came from somewhere
		}
		take := min(kg, from.arrives[at])
		from.arrives[at] -= take
		kg -= take
	}
}

// index is the number of a material; -1 when the season has none of that name.
func (s *Season) index(name string) int {
	for i, m := range s.Materials {
		if m.Name == name {
			return i
		}
	}
	return -1
}
