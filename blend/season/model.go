package season

import (
	"math"

	"heapwright/blend"
	"heapwright/solver"
)

// class is a group of bays that take the same weeks: what goes into them in
// one week is one mix.
type class struct {
	held, ready int
	kinds       []kind
}

// kind is a group of bays of a class that are alike in size: how many of them
// are begun in a week is one whole number.
type kind struct {
	largest float64 // built volume, m3
	bays    []int   // in Season.Bays
}

// classes sorts the bays.
func (s *Season) classes() []class {
	var out []class
	for j, b := range s.Bays {
		c := -1
		for k := range out {
			if out[k].held == b.Held() && out[k].ready == b.Ready() {
				c = k
			}
		}
		if c < 0 {
			out = append(out, class{held: b.Held(), ready: b.Ready()})
			c = len(out) - 1
		}
		same := -1
		for k := range out[c].kinds {
			if out[c].kinds[k].largest == s.largest(b) {
				same = k
			}
		}
		if same < 0 {
			out[c].kinds = append(out[c].kinds, kind{largest: s.largest(b)})
			same = len(out[c].kinds) - 1
		}
		out[c].kinds[same].bays = append(out[c].kinds[same].bays, j)
	}
	return out
}

// busy is the first week in which a bay is free of what was in it before the
// first week to plan.
func (s *Season) busy(j int) int {
	free := max(s.Bays[j].FreeFrom, s.from())
	for _, d := range s.Done {
		if d.Bay == j {
			free = max(free, d.Week+s.Bays[j].Held())
		}
	}
	return free
}

// least is the least batch in m3: what was asked for, or a hundredth of the
// bay, so that a batch is never nothing.
func (s *Season) least(largest float64) float64 {
	return max(s.LeastM3, nothing*largest)
}

const nothing = 0.01

// program is the mixed-integer program of a season. Weeks run from 0 for the
// first of the season; columns are -1 where there is none.
type program struct {
	season  *Season
	stocks  []*stock
	classes []class
	model   solver.Model

	use    [][][]int // by class, stock and week: kg into batches
	water  [][]int   // by class and week: kg
	begun  [][][]int // by class, kind and week: batches begun
	left   [][]int   // by stock and week: kg left at its end
	buy    [][]int   // by offer and week of delivery: kg
	cover  [][]int   // by cover and stock: kg
	short  []int     // by bed: m3 of compost that it lacks
	shortC []int     // by cover: m3 that it lacks

	integers []int
	mixes    []mixTerms
	apart    []apart
}

// mixTerms are the sums of a mix that its distance from the target is made of.
type mixTerms struct {
	target             blend.Target
	fromRatio, fromWet []solver.Term
}

// apart are the columns that measure how far the mix of a class and week is
// from its target.
type apart struct{ nitrogen, moisture int }

func table(rows, columns int) [][]int {
	t := make([][]int, rows)
	for r := range t {
		t[r] = make([]int, columns)
		for c := range t[r] {
			t[r][c] = -1
		}
	}
	return t
}

// newProgram lays the season out:
//
//	left_t <= left_t-1 + came_t + bought_t - used_t - laid_t    for each stock
//	left_t <= what came within the keeping time
//	r-  N <= C <= r+ N,  q- M <= W <= q+ M                      for each mix
//	least begun <= built volume <= largest begun
//	begun in the last weeks <= bays
//	compost by a week + shortages >= what beds ask for by it
//
// What spoils is the slack of the first row.
func (s *Season) newProgram() *program {
	p := &program{season: s, stocks: s.stocks(), classes: s.classes()}
	weeks, first := s.Weeks, s.from()-1
	m := &p.model
	inf := solver.Inf()
	p.left = table(len(p.stocks), weeks)
	p.buy = table(len(s.Offers), weeks)
	p.cover = table(len(s.Beds.Covers), len(p.stocks))

	for o, offer := range s.Offers {
		var terms []solver.Term
		for t := first + offer.Lead; t < weeks; t++ {
			p.buy[o][t] = m.Column(0, 0, offer.WeeklyKg)
			terms = append(terms, solver.Term{Column: p.buy[o][t], Coefficient: 1})
		}
		if !math.IsInf(offer.TotalKg, 1) && len(terms) > 0 {
			m.Row(-inf, offer.TotalKg, terms...)
		}
	}
	usable := func(k *stock, t int) float64 {
		most := k.usable(t)
		for _, o := range k.offers {
			if first+s.Offers[o].Lead <= t {
				most = inf
			}
		}
		return most
	}
	used := make([][][]solver.Term, len(p.stocks)) // by stock and week: what is taken
	for k := range used {
		used[k] = make([][]solver.Term, weeks)
	}
	for c, cover := range s.Beds.Covers {
		if cover.Week-1 < first {
			continue
		}
		for k, st := range p.stocks {
			if s.Materials[st.material].Name == cover.Material.Name && usable(st, cover.Week-1) > 0 {
				p.cover[c][k] = m.Column(0, 0, cover.MassKg)
				used[k][cover.Week-1] = append(used[k][cover.Week-1], solver.Term{Column: p.cover[c][k], Coefficient: 1})
			}
		}
	}

	finished := make([][]solver.Term, weeks+1) // compost that is ready in a week
	moved := make([][]solver.Term, weeks)
	movedKg := make([][]solver.Term, weeks)
	watered := make([][]solver.Term, weeks)
	for c, class := range p.classes {
		use, begun := table(len(p.stocks), weeks), table(len(class.kinds), weeks)
		water := table(1, weeks)[0]
		for t := first; t < weeks; t++ {
			free := 0.0
			for _, kind := range class.kinds {
				for _, j := range kind.bays {
					if s.busy(j) <= t+1 {
						free += kind.largest
					}
				}
			}
			if free > 0 {
				p.week(c, t, usable, free, use, begun, water)
			}
			for k, st := range p.stocks {
				if use[k][t] < 0 {
					continue
				}
				used[k][t] = append(used[k][t], solver.Term{Column: use[k][t], Coefficient: 1})
				moved[t] = append(moved[t], solver.Term{Column: use[k][t], Coefficient: 1 / s.Materials[st.material].Composition.DensityKgM3})
				movedKg[t] = append(movedKg[t], solver.Term{Column: use[k][t], Coefficient: 1})
				if ready := t + class.ready; ready < weeks {
					finished[ready] = append(finished[ready], solver.Term{Column: use[k][t], Coefficient: s.finishedPerKg(st.material)})
				}
			}
			if water[t] >= 0 {
				watered[t] = append(watered[t], solver.Term{Column: water[t], Coefficient: 1})
			}
		}
		for h, kind := range class.kinds {
			p.occupy(begun[h], class.held, kind, first)
		}
		p.use, p.begun, p.water = append(p.use, use), append(p.begun, begun), append(p.water, water)
	}
	for t := first; t < weeks; t++ {
		if s.WorkM3 > 0 && len(moved[t]) > 0 {
			m.Row(-inf, s.WorkM3, moved[t]...)
		}
		if s.WorkKg > 0 && len(movedKg[t]) > 0 {
			m.Row(-inf, s.WorkKg, movedKg[t]...)
		}
		if !math.IsInf(s.WaterKg, 1) && len(watered[t]) > 0 {
			m.Row(-inf, s.WaterKg, watered[t]...)
		}
	}
	for k := range p.stocks {
		p.balance(k, first, used[k])
	}
	p.demand(finished)
	return p
}

// week adds the mix of a class in a week, where free is the volume of the bays
// that are not busy with older batches.
func (p *program) week(c, t int, usable func(*stock, int) float64, free float64, use, begun [][]int, water []int) {
	s, m, inf := p.season, &p.model, solver.Inf()
	target := s.target(t + 1)
	var carbonLow, carbonHigh, wetLow, wetHigh, volume []solver.Term
	var fromRatio, fromMoisture []solver.Term
	for k, st := range p.stocks {
		most := usable(st, t)
		if most <= 0 {
			continue
		}
		x := m.Column(0, 0, min(most, free/s.builtPerKg(st.material)))
		use[k][t] = x
		comp := s.Materials[st.material].Composition
		carbon, nitrogen := (1-comp.Moisture)*comp.Carbon, (1-comp.Moisture)*comp.Nitrogen
		add := func(terms *[]solver.Term, v float64) {
			if v != 0 {
				*terms = append(*terms, solver.Term{Column: x, Coefficient: v})
			}
		}
		add(&carbonLow, carbon-target.CarbonToNitrogen.Low*nitrogen)
		add(&carbonHigh, carbon-target.CarbonToNitrogen.High*nitrogen)
		add(&wetLow, comp.Moisture-target.Moisture.Low)
		add(&wetHigh, comp.Moisture-target.Moisture.High)
		add(&fromRatio, carbon-target.CarbonToNitrogen.Aim*nitrogen)
		add(&fromMoisture, comp.Moisture-target.Moisture.Aim)
		add(&volume, s.builtPerKg(st.material))
	}
	if len(volume) == 0 {
		return
	}
	w := m.Column(0, 0, s.WaterKg)
	water[t] = w
	wetLow = append(wetLow, solver.Term{Column: w, Coefficient: 1 - target.Moisture.Low})
	wetHigh = append(wetHigh, solver.Term{Column: w, Coefficient: 1 - target.Moisture.High})
	fromMoisture = append(fromMoisture, solver.Term{Column: w, Coefficient: 1 - target.Moisture.Aim})
	m.Row(0, inf, carbonLow...)
	m.Row(-inf, 0, carbonHigh...)
	m.Row(0, inf, wetLow...)
	m.Row(-inf, 0, wetHigh...)
	least, largest := volume[:len(volume):len(volume)], volume[:len(volume):len(volume)]
	for h, kind := range p.classes[c].kinds {
		ready := 0
		for _, j := range kind.bays {
			if s.busy(j) <= t+1 {
				ready++
			}
		}
		if ready == 0 {
			continue
		}
		y := m.Column(0, 0, float64(ready))
		m.Integer(y)
		p.integers = append(p.integers, y)
		begun[h][t] = y
		least = append(least, solver.Term{Column: y, Coefficient: -s.least(kind.largest)})
		largest = append(largest, solver.Term{Column: y, Coefficient: -kind.largest})
	}
	m.Row(0, inf, least...)
	m.Row(-inf, 0, largest...)
	p.mixes = append(p.mixes, mixTerms{target, fromRatio, fromMoisture})
}

// measureAll adds the columns that tell how far every mix is from its target.
func (p *program) measureAll() {
	for _, m := range p.mixes {
		p.measure(m.fromRatio, m.fromWet, m.target)
	}
}

// measure adds the columns that tell how far a mix is from its target: in kg
// of nitrogen and of mass times the distance.
func (p *program) measure(fromRatio, fromMoisture []solver.Term, target blend.Target) {
	m, inf := &p.model, solver.Inf()
	a := apart{m.Column(0, 0, inf), m.Column(0, 0, inf)}
	side := func(terms []solver.Term, width float64, sign float64, d int) {
		var out []solver.Term
		for _, t := range terms {
			out = append(out, solver.Term{Column: t.Column, Coefficient: sign * t.Coefficient / width})
		}
		m.Row(-inf, 0, append(out, solver.Term{Column: d, Coefficient: -1})...)
	}
	ratio, moisture := target.CarbonToNitrogen, target.Moisture
	side(fromRatio, ratio.High-ratio.Aim, 1, a.nitrogen)
	side(fromRatio, ratio.Aim-ratio.Low, -1, a.nitrogen)
	side(fromMoisture, moisture.High-moisture.Aim, 1, a.moisture)
	side(fromMoisture, moisture.Aim-moisture.Low, -1, a.moisture)
	p.apart = append(p.apart, a)
}

// occupy keeps the batches of a kind of bay to the bays that are free.
func (p *program) occupy(begun []int, held int, kind kind, first int) {
	s := p.season
	for t := first; t < s.Weeks; t++ {
		ready := 0
		for _, j := range kind.bays {
			if s.busy(j) <= t+1 {
				ready++
			}
		}
		var terms []solver.Term
		for a := max(first, t-held+1); a <= t; a++ {
			if begun[a] >= 0 {
				terms = append(terms, solver.Term{Column: begun[a], Coefficient: 1})
			}
		}
		// A row that the next one implies is left out.
		if t+1 < s.Weeks && t+1-held+1 <= first && begun[t+1] >= 0 {
			next := 0
			for _, j := range kind.bays {
				if s.busy(j) <= t+2 {
					next++
				}
			}
			if next <= ready {
				continue
			}
		}
		if len(terms) > 1 {
			p.model.Row(-solver.Inf(), float64(ready), terms...)
		}
	}
}

// balance adds the rows of a stock.
func (p *program) balance(k, first int, used [][]solver.Term) {
	s, st, m, inf := p.season, p.stocks[k], &p.model, solver.Inf()
	for t := first; t < s.Weeks; t++ {
		came := st.arrives[t]
		if t == first {
			came = st.usable(t)
		}
		terms := used[t]
		var fresh []solver.Term // what was bought within the keeping time
		bought := false
		for _, o := range st.offers {
			if b := p.buy[o][t]; b >= 0 {
				terms = append(terms, solver.Term{Column: b, Coefficient: -1})
			}
			for a := first; a <= t; a++ {
				if b := p.buy[o][a]; b >= 0 {
					bought = true
					if st.alive(a, t+1) {
						fresh = append(fresh, solver.Term{Column: b, Coefficient: -1})
					}
				}
			}
		}
		most := st.kept(t)
		if bought {
			most = inf
		}
		if t > first && p.left[k][t-1] >= 0 {
			terms = append(terms, solver.Term{Column: p.left[k][t-1], Coefficient: -1})
		}
		if most > 0 && (!bought || st.keeps == 0 || len(fresh) > 0 || st.kept(t) > 0) {
			left := m.Column(0, 0, most)
			p.left[k][t] = left
			if len(terms) == 0 {
				// nothing but what came: a bound will do
				p.model.Row(-inf, came, solver.Term{Column: left, Coefficient: 1})
				continue
			}
			terms = append(terms, solver.Term{Column: left, Coefficient: 1})
			if bought && st.keeps > 0 {
				m.Row(-inf, st.kept(t), append(fresh, solver.Term{Column: left, Coefficient: 1})...)
			}
		}
		if len(terms) > 0 {
			m.Row(-inf, came, terms...)
		}
	}
}

// demand adds the rows of the beds and covers.
func (p *program) demand(finished [][]solver.Term) {
	s, m, inf := p.season, &p.model, solver.Inf()
	for _, b := range s.Beds.Beds {
		p.short = append(p.short, m.Column(0, 0, b.CompostM3))
	}
	for c, cover := range s.Beds.Covers {
		h := m.Column(0, 0, cover.VolumeM3)
		p.shortC = append(p.shortC, h)
		if cover.Week < s.from() {
			continue
		}
		terms := []solver.Term{{Column: h, Coefficient: 1}}
		for _, x := range p.cover[c] {
			if x >= 0 {
				terms = append(terms, solver.Term{Column: x, Coefficient: cover.VolumeM3 / cover.MassKg})
			}
		}
		// No more than it asks for: a cover is not a place for what would spoil.
		m.Row(cover.VolumeM3, cover.VolumeM3, terms...)
	}
	wanted := make([]float64, s.Weeks)
	due := make([][]solver.Term, s.Weeks)
	for i, b := range s.Beds.Beds {
		wanted[b.Week-1] += b.CompostM3
		due[b.Week-1] = append(due[b.Week-1], solver.Term{Column: p.short[i], Coefficient: -1})
	}
	// The store of compost at the end of a week; none of it spoils.
	store, ready := -1, s.CompostM3
	for t := range s.Weeks {
		done := s.CompostM3 + s.doneFinished(t+1)
		came := done - ready
		if t == 0 {
			came = done
		}
		ready = done
		if store < 0 && len(finished[t]) == 0 && came == 0 && wanted[t] == 0 {
			continue
		}
		next := m.Column(0, 0, inf)
		terms := []solver.Term{{Column: next, Coefficient: 1}}
		if store >= 0 {
			terms = append(terms, solver.Term{Column: store, Coefficient: -1})
		}
		for _, f := range finished[t] {
			terms = append(terms, solver.Term{Column: f.Column, Coefficient: -f.Coefficient})
		}
		terms = append(terms, due[t]...)
		m.Row(-inf, came-wanted[t], terms...)
		store = next
	}
}

// doneFinished is the compost in m3 that batches of before the first week to
// plan have given by the beginning of a week.
func (s *Season) doneFinished(week int) float64 {
	sum := 0.0
	for _, d := range s.Done {
		if d.Bay >= 0 && d.Week+s.Bays[d.Bay].Ready() <= week {
			for i, kg := range d.Kg {
				sum += kg * s.finishedPerKg(i)
			}
		}
	}
	return sum
}
