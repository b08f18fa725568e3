package season

import (
	"fmt"
	"math"
	"slices"
	"time"

	"heapwright/blend"
)

// Plan is what to do in a season, and what comes of it.
type Plan struct {
	Season    *Season
	Batches   []Batch // in the order of their weeks
	Purchases []Purchase
	Served    []Served // of each bed
	Laid      []Laid   // of each cover
	Stocks    []Level  // of each material
	Aims      []Aim
	Nodes     int
	Elapsed   time.Duration
}

// Batch is a pile built in a bay.
type Batch struct {
	Week    int
	Bay     int       // in Season.Bays
	Kg      []float64 // of each of the season's materials
	WaterKg float64
	Ready   int // the week at whose beginning it is compost; may lie beyond the season
	// CompostM3 is what it leaves: the least, the usual and the most.
	CompostM3 blend.Span
	Done      bool // built before the first week to plan
}

// Purchase is an amount to order in one week and to get in another.
type Purchase struct {
	Offer     int
	OrderWeek int
	Week      int
	Kg        float64
}

// Served is what a bed gets by its week.
type Served struct{ CompostM3, ShortM3 float64 }

// Laid is what a cover gets.
type Laid struct{ MassKg, VolumeM3, ShortM3 float64 }

// Level is what becomes of a material week by week, in kg.
type Level struct {
	Material int
	// Came, Bought, Used, Laid and Spoiled are of each week; Left is what is
	// there at its end. Spoiled is what is past its keeping at the end.
	Came, Bought, Used, Laid, Spoiled, Left []float64
}

// tiny is the share of a batch or stock below which an amount is the rounding
// of the last digits.
const tiny = 1e-9

// plan reads a point of the program.
func (p *program) plan(x []float64) *Plan {
	s := p.season
	out := &Plan{Season: s}
	value := func(j int) float64 {
		if j < 0 {
			return 0
		}
		return max(x[j], 0)
	}
	for _, d := range s.Done {
		if d.Bay >= 0 {
			out.Batches = append(out.Batches, s.batch(Batch{Week: d.Week, Bay: d.Bay, Kg: d.Kg, WaterKg: d.WaterKg, Done: true}))
		}
	}
	until := make([]int, len(s.Bays)) // the first week in which each bay is free
	for j := range s.Bays {
		until[j] = s.busy(j)
	}
	for t := s.from() - 1; t < s.Weeks; t++ {
		for c, class := range p.classes {
			kg, total := make([]float64, len(s.Materials)), 0.0
			for k, st := range p.stocks {
				kg[st.material] += value(p.use[c][k][t])
			}
			volume := 0.0
			for i, v := range kg {
				total += v
				volume += v * s.builtPerKg(i)
			}
			for i := range kg {
				if kg[i] < tiny*total {
					kg[i] = 0
				}
			}
			p.share(out, class, c, t, kg, value(p.water[c][t]), volume, until, x)
		}
	}
	p.purchases(out, value)
	for c, cover := range s.Beds.Covers {
		kg := 0.0
		for _, x := range p.cover[c] {
			kg += value(x)
		}
		if cover.Week < s.from() {
			kg = cover.MassKg // as far as it was there
		}
		out.Laid = append(out.Laid, Laid{MassKg: min(kg, cover.MassKg)})
	}
	out.follow()
	out.trim()
	return out
}

// trim takes off what the last digits of the optimiser put into batches beyond
// what is there, so that what batches hold is what stocks lose.
func (p *Plan) trim() {
	for i, v := range p.Stocks {
		planned := map[int]float64{}
		for _, b := range p.Batches {
			planned[b.Week] += b.Kg[i]
		}
		for n := range p.Batches {
			b := &p.Batches[n]
			if there := v.Used[b.Week-1]; !b.Done && there < planned[b.Week] && planned[b.Week]-there <= lastDigits*(1+planned[b.Week]) {
				b.Kg[i] *= there / planned[b.Week]
			}
		}
	}
	for n, b := range p.Batches {
		p.Batches[n] = p.Season.batch(b)
	}
	p.follow()
}

// lastDigits is the share of an amount that counts as rounding; more is a fault
// that Check tells.
const lastDigits = 1e-6

// share splits the mix of a class and week among the bays begun in it: each
// takes its least, and of the rest in proportion to its room.
func (p *program) share(out *Plan, class class, c, t int, kg []float64, water, volume float64, until []int, x []float64) {
	s := p.season
	var bays []int
	for h, kind := range class.kinds {
		n := 0
		if y := p.begun[c][h][t]; y >= 0 {
			n = int(math.Round(x[y]))
		}
		for _, j := range kind.bays {
			if n > 0 && until[j] <= t+1 {
				bays = append(bays, j)
				until[j] = t + 1 + class.held
				n--
			}
		}
	}
	least, room := 0.0, 0.0
	for _, j := range bays {
		least += s.least(s.largest(s.Bays[j]))
		room += s.largest(s.Bays[j]) - s.least(s.largest(s.Bays[j]))
	}
	for _, j := range bays {
		share := s.least(s.largest(s.Bays[j]))
		if room > 0 {
			share += (volume - least) * (s.largest(s.Bays[j]) - share) / room
		}
		b := Batch{Week: t + 1, Bay: j, Kg: slices.Clone(kg), WaterKg: water * share / volume}
		for i := range b.Kg {
			b.Kg[i] *= share / volume
		}
		out.Batches = append(out.Batches, s.batch(b))
	}
}

// batch fills in what follows from what went in.
func (s *Season) batch(b Batch) Batch {
	b.Ready, b.CompostM3 = b.Week+s.Bays[b.Bay].Ready(), blend.Span{}
	for i, kg := range b.Kg {
		left, v := s.left(i), kg*s.builtPerKg(i)
		b.CompostM3.Low += v * left.Low
		b.CompostM3.Usual += v * left.Usual
		b.CompostM3.High += v * left.High
	}
	return b
}

// purchases reads what is bought, but for dust.
func (p *program) purchases(out *Plan, value func(int) float64) {
	s := p.season
	for o, offer := range s.Offers {
		total := 0.0
		for _, b := range p.buy[o] {
			total += value(b)
		}
		for t, b := range p.buy[o] {
			if kg := value(b); kg > 1e-6*total && kg > 1e-6 {
				out.Purchases = append(out.Purchases, Purchase{Offer: o, OrderWeek: t + 1 - offer.Lead, Week: t + 1, Kg: kg})
			}
		}
	}
}

// Mixture is what a batch is made of, by the arithmetic of package blend.
func (s *Season) Mixture(b Batch) blend.Mixture {
	mix := blend.Mixture{AddedWaterKg: b.WaterKg}
	for i, kg := range b.Kg {
		mix.Parts = append(mix.Parts, blend.Part{Name: s.Materials[i].Name, Composition: s.Materials[i].Composition, MassKg: kg})
	}
	return mix
}

// lot is an amount that came in one week and can be used through another.
type lot struct {
	kg      float64
	expires int // the first week in which it can no longer be used
}

// follow works out stocks, covers and beds week by week from the batches and
// purchases alone, taking first what spoils first. It shares no code with the
// program that the optimiser worked on.
func (p *Plan) follow() {
	s := p.Season
	p.Stocks = nil
	for i := range s.Materials {
		row := func() []float64 { return make([]float64, s.Weeks) }
		v := Level{Material: i, Came: row(), Bought: row(), Used: row(), Laid: row(), Spoiled: row(), Left: row()}
		var lots []lot
		add := func(kg float64, week, keeps int) {
			if kg <= 0 {
				return
			}
			expires := math.MaxInt
			if keeps > 0 {
				expires = week + keeps
			}
			at, _ := slices.BinarySearchFunc(lots, expires+1, func(l lot, e int) int { return l.expires - e })
			if expires == math.MaxInt {
				at = len(lots)
			}
			lots = slices.Insert(lots, at, lot{kg, expires})
		}
		take := func(kg float64) (taken float64) {
			for len(lots) > 0 && kg > 0 {
				t := min(kg, lots[0].kg)
				taken += t
				kg -= t
				if lots[0].kg -= t; lots[0].kg <= 0 {
					lots = lots[1:]
				}
			}
			return taken
		}
		for week := 1; week <= s.Weeks; week++ {
			t := week - 1
			for _, a := range s.cameIn(i, week) {
				v.Came[t] += a.Kg
				add(a.Kg, week, a.Keeps)
			}
			for _, b := range p.Purchases {
				if o := s.Offers[b.Offer]; o.Material == i && b.Week == week {
					v.Bought[t] += b.Kg
					add(b.Kg, week, o.Keeps)
				}
			}
			for _, b := range p.Batches {
				if b.Week == week {
					v.Used[t] += take(b.Kg[i])
				}
			}
			for c, cover := range s.Beds.Covers {
				if cover.Week == week && s.index(cover.Material.Name) == i {
					got := take(p.Laid[c].MassKg)
					v.Laid[t] += got
					p.Laid[c] = Laid{MassKg: got, VolumeM3: cover.VolumeM3 * got / cover.MassKg, ShortM3: cover.VolumeM3 * (1 - got/cover.MassKg)}
				}
			}
			for len(lots) > 0 && lots[0].expires <= week+1 {
				v.Spoiled[t] += lots[0].kg
				lots = lots[1:]
			}
			for _, l := range lots {
				v.Left[t] += l.kg
			}
		}
		p.Stocks = append(p.Stocks, v)
	}
	p.Served = p.serve()
}

// serve gives beds their compost in the order of their weeks.
func (p *Plan) serve() []Served {
	s := p.Season
	out := make([]Served, len(s.Beds.Beds))
	store := s.CompostM3
	for week := 1; week <= s.Weeks; week++ {
		for _, b := range p.Batches {
			if b.Ready == week {
				store += b.CompostM3.Usual
			}
		}
		for i, b := range s.Beds.Beds {
			if b.Week == week {
				got := min(store, b.CompostM3)
				store -= got
				out[i] = Served{got, b.CompostM3 - got}
			}
		}
	}
	return out
}

// cameIn lists what came of a material in a week: as told in Done, else as
// planned.
func (s *Season) cameIn(material, week int) []Arrival {
	var out []Arrival
	planned := 0.0
	for _, a := range s.Arrivals {
		if a.Material == material && max(a.Week, 1) == week {
			out = append(out, a)
			planned += a.Kg
		}
	}
	for _, d := range s.Done {
		if d.Week != week || material >= len(d.ArrivedKg) || math.IsNaN(d.ArrivedKg[material]) {
			continue
		}
		if planned == 0 {
			return []Arrival{{Material: material, Week: week, Kg: d.ArrivedKg[material], Keeps: s.keepsUsually(material)}}
		}
		for j := range out {
			out[j].Kg *= d.ArrivedKg[material] / planned
		}
	}
	return out
}

// keepsUsually is the keeping time of the first arrival of a material.
func (s *Season) keepsUsually(material int) int {
	for _, a := range s.Arrivals {
		if a.Material == material {
			return a.Keeps
		}
	}
	return 0
}

// Check proves a plan by arithmetic apart from the program: mass is conserved,
// nothing is used before it comes or after it spoils, no bay holds two
// batches, every batch is in range and of a size that fits. Its error is a
// defect of this program, never of a season.
func (p *Plan) Check() error {
	s := p.Season
	const slack = 1e-6
	for _, v := range p.Stocks {
		in, out, asked := 0.0, 0.0, 0.0
		for t := range s.Weeks {
			in += v.Came[t] + v.Bought[t]
			out += v.Used[t] + v.Laid[t] + v.Spoiled[t]
			if gap := math.Abs(in - out - v.Left[t]); gap > 1e-9*(1+in) {
				return fmt.Errorf("%s in week %d: %.9g kg came, %.9g went and %.9g are left", s.Materials[v.Material].Name, t+1, in, out, v.Left[t])
			}
			need := 0.0
			for _, b := range p.Batches {
				if b.Week == t+1 && !b.Done {
					need += b.Kg[v.Material]
				}
			}
			asked += need
			if t+1 >= s.from() && need > v.Used[t]+slack*(1+in) {
				return fmt.Errorf("week %d uses %.9g kg of %s, and %.9g are there", t+1, need, s.Materials[v.Material].Name, v.Used[t])
			}
		}
	}
	for j, bay := range s.Bays {
		free := s.Bays[j].FreeFrom
		for _, b := range p.Batches {
			if b.Bay != j {
				continue
			}
			if b.Week < free && !b.Done {
				return fmt.Errorf("bay %s is filled in week %d and free from week %d", bay.Name, b.Week, free)
			}
			free = max(free, b.Week+bay.Held())
		}
	}
	for _, b := range p.Batches {
		if b.Done {
			continue
		}
		mix, target := s.Mixture(b), s.target(b.Week)
		volume, largest := mix.BuiltVolumeM3(s.Shrink), s.largest(s.Bays[b.Bay])
		switch {
		case volume > largest*(1+slack) || volume < s.least(largest)*(1-slack)-1e-9:
			return fmt.Errorf("the batch of week %d has %.9g m3, with %.9g to %.9g allowed", b.Week, volume, s.least(largest), largest)
		case target.Distance(mix) > 1+1e-4:
			return fmt.Errorf("the batch of week %d has C:N %.6g and moisture %.6g, out of range", b.Week, mix.CarbonToNitrogen(), mix.Moisture())
		}
	}
	return nil
}
