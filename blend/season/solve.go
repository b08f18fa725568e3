package season

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"heapwright/blend"
	"heapwright/solver"
)

// Settings steer a solve. The zero value works.
type Settings struct {
	// Time bounds the whole solve; 0 means 10 s. Whatever has been found by
	// then is returned, with what could not be proved.
	Time time.Duration
	// Gap is the share of an aim within which the next plan need not be
	// better; 0 means 1 %.
	Gap float64
	// Exact asks for proof to the last digits (a Gap of next to nothing) and
	// leaves no time bound but Time.
	Exact bool
	// Progress, when not nil, is told about searches as they go on.
	Progress func(Progress)

	aims int // how many are sought; 0 for all

	see func(aim Aim, constant float64, p *solver.Problem) // for tests
}

// Progress is the state of a solve.
type Progress struct {
	Aim     string
	Elapsed time.Duration
	Nodes   int
	Best    float64
	Bound   float64
}

const (
	usualTime = 10 * time.Second
	usualGap  = 0.01
	exactGap  = 1e-7
	// heldSlack is the least by which, as a share of the size of an aim (what
	// beds ask for, what comes), a value found may move while the next aim is
	// sought; so it is not sought more finely than that either.
	heldSlack  = 1e-4
	exactSlack = 1e-6
	// spoiledSlack is the same for what spoils, as a share of the gap asked
	// for, and what it is sought to: all that comes is a large measure of it.
	spoiledSlack = 0.1
	// distanceSlack is the same for the distance from the targets, as it is:
	// nobody could measure it.
	distanceSlack = 1e-3
)

// Aim is one of the things that a plan is good for, in their order.
type Aim struct {
	Name  string // "shortage", "bought", "spoiled", "batches", "target"
	Unit  string
	Value float64
	Bound float64 // no plan that holds the aims before can have less
	// Gap is Value - Bound as a share of Value, or, of what spoils, as a share
	// of all that comes.
	Gap float64
	// Proven tells that the gap is within the one asked for, or within the
	// slack by which the aim is held while the next are sought.
	Proven bool
	size   float64
}

// objective is an aim as the program sees it: the sum over the weeks of linear
// terms and constants.
type objective struct {
	name, unit string
	weeks      [][]solver.Term
	came       []float64
	size       float64 // a value that would be plenty: what is nothing beside it is nothing

	terms    []solver.Term // of all weeks, each column once
	constant float64
}

func newObjective(name, unit string, weeks int) *objective {
	return &objective{name: name, unit: unit, weeks: make([][]solver.Term, weeks), came: make([]float64, weeks)}
}

// add puts a term into a week, where there is such a column.
func (o *objective) add(week, column int, coefficient float64) {
	if column >= 0 && coefficient != 0 {
		o.weeks[week] = append(o.weeks[week], solver.Term{Column: column, Coefficient: coefficient})
	}
}

// sum adds up the weeks.
func (o *objective) sum() *objective {
	total := map[int]float64{}
	var order []int
	o.constant, o.terms = 0, nil
	for t, terms := range o.weeks {
		o.constant += o.came[t]
		for _, term := range terms {
			if _, ok := total[term.Column]; !ok {
				order = append(order, term.Column)
			}
			total[term.Column] += term.Coefficient
		}
	}
	for _, j := range order {
		if total[j] != 0 {
			o.terms = append(o.terms, solver.Term{Column: j, Coefficient: total[j]})
		}
	}
	return o
}

// value is the aim at a point, which may be from before the program had all
// its columns.
func (o *objective) value(x []float64) float64 {
	sum := o.constant
	for _, t := range o.terms {
		if t.Column >= len(x) {
			return math.Inf(1)
		}
		sum += t.Coefficient * x[t.Column]
	}
	return max(sum, 0)
}

// objectives lists the aims in their order, but for the last, whose columns
// are added when it is due.
func (p *program) objectives() []*objective {
	s := p.season
	first := s.from() - 1
	shortage := newObjective("shortage", "m3", s.Weeks)
	for i, b := range s.Beds.Beds {
		shortage.add(b.Week-1, p.short[i], s.urgency(b.Week))
		shortage.size += b.CompostM3
	}
	for i, c := range s.Beds.Covers {
		if c.Week >= s.from() {
			shortage.add(c.Week-1, p.shortC[i], s.urgency(c.Week))
			shortage.size += c.VolumeM3
		}
	}
	bought := newObjective("bought", "kg", s.Weeks)
	if s.priced() {
		bought.unit = "money"
	}
	spoiled := newObjective("spoiled", "kg", s.Weeks)
	batches := newObjective("batches", "batches", s.Weeks)
	batches.size = 1
	for t := first; t < s.Weeks; t++ {
		for k, st := range p.stocks {
			spoiled.came[t] += st.arrives[t]
			if t == first {
				spoiled.came[t] += st.usable(t) - st.arrives[t]
			} else {
				spoiled.add(t, p.left[k][t-1], 1)
			}
			spoiled.add(t, p.left[k][t], -1)
			for c := range p.classes {
				spoiled.add(t, p.use[c][k][t], -1)
			}
			for c := range p.cover {
				if s.Beds.Covers[c].Week == t+1 {
					spoiled.add(t, p.cover[c][k], -1)
				}
			}
		}
		spoiled.size += spoiled.came[t]
		for o, offer := range s.Offers {
			price := 1.0
			if s.priced() {
				price = offer.PricePerKg
			}
			bought.add(t, p.buy[o][t], price)
			spoiled.add(t, p.buy[o][t], 1)
		}
		for c := range p.classes {
			for h := range p.begun[c] {
				batches.add(t, p.begun[c][h][t], 1)
			}
		}
	}
	spoiled.size = max(spoiled.size, 1) // a kg, where all is bought
	for _, offer := range s.Offers {
		price := 1.0
		if s.priced() {
			price = offer.PricePerKg
		}
		// as if a tenth of all that comes were bought
		bought.size += 0.1 * price * spoiled.size / float64(len(s.Offers))
	}
	return []*objective{shortage.sum(), bought.sum(), spoiled.sum(), batches.sum()}
}

// hold keeps the aim at most at a value by adding it up week by week: a single
// row over all weeks would couple them all, which costs the solver dear.
func (p *program) hold(o *objective, most float64) {
	before := -1
	for t, terms := range o.weeks {
		if len(terms) == 0 && o.came[t] == 0 {
			continue
		}
		upTo := p.model.Column(0, 0, most)
		row := []solver.Term{{Column: upTo, Coefficient: 1}}
		if before >= 0 {
			row = append(row, solver.Term{Column: before, Coefficient: -1})
		}
		for _, term := range terms {
			row = append(row, solver.Term{Column: term.Column, Coefficient: -term.Coefficient})
		}
		p.model.Row(o.came[t], solver.Inf(), row...)
		before = upTo
	}
}

// urgency is what a m3 counts that a bed lacks in a week: more the earlier, by a
// thousandth over the season, so that of two plans that lack as much the one
// that serves the earlier beds is better.
func (s *Season) urgency(week int) float64 {
	return 1 + 1e-3*float64(s.Weeks-week+1)/float64(s.Weeks)
}

// distance is the mean distance of the mixes from their targets, C:N weighed by
// nitrogen and moisture by mass, times what a like amount of the season's
// materials holds of both.
func (p *program) distance() *objective {
	s := p.season
	out := newObjective("target", "distance", s.Weeks)
	out.size = 1
	nitrogen, mass := 0.0, 0.0
	for _, st := range p.stocks {
		c := s.Materials[st.material].Composition
		for _, kg := range st.arrives {
			mass += kg
			nitrogen += kg * (1 - c.Moisture) * c.Nitrogen
		}
	}
	if nitrogen == 0 || mass == 0 {
		nitrogen, mass = 1, 1
	}
	p.measureAll()
	for _, a := range p.apart {
		out.add(0, a.nitrogen, 1/nitrogen)
		out.add(0, a.moisture, 1/mass)
	}
	return out.sum()
}

// priced tells whether every offer has a price.
func (s *Season) priced() bool {
	for _, o := range s.Offers {
		if o.PricePerKg == 0 {
			return false
		}
	}
	return len(s.Offers) > 0
}

// nothing is the plan without a batch, which every season allows.
func (p *program) nothing() []float64 {
	x := make([]float64, p.model.Columns())
	for i, b := range p.season.Beds.Beds {
		x[p.short[i]] = b.CompostM3
	}
	for i, c := range p.season.Beds.Covers {
		x[p.shortC[i]] = c.VolumeM3
	}
	return x
}

// withDistances fills in the columns of the distances at a point.
func (p *program) withDistances(x []float64) []float64 {
	out := make([]float64, p.model.Columns())
	copy(out, x)
	away := func(terms []solver.Term, a blend.Aim) float64 {
		sum := 0.0
		for _, t := range terms {
			sum += t.Coefficient * x[t.Column]
		}
		return max(sum/(a.High-a.Aim), -sum/(a.Aim-a.Low))
	}
	for i, m := range p.mixes {
		out[p.apart[i].nitrogen] = away(m.fromRatio, m.target.CarbonToNitrogen)
		out[p.apart[i].moisture] = away(m.fromWet, m.target.Moisture)
	}
	return out
}

// search works through the aims.
type search struct {
	ctx     context.Context
	program *program
	set     Settings
	gap     float64
	held    float64 // heldSlack or exactSlack
	started time.Time
	ends    time.Time
	x       []float64 // the best plan so far; nil for none
	aims    []Aim
	reached []*objective // of the aims
	nodes   int
}

// Solve plans the season: the aims in their order, each held before the next.
// The error is that of [Season.Validate], the context's or an internal one; a
// season in which nothing can be built is a plan without batches.
func Solve(ctx context.Context, s *Season, set Settings) (*Plan, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	f := &search{ctx: ctx, program: s.newProgram(), set: set, gap: set.Gap, started: time.Now()}
	if f.gap == 0 {
		f.gap = usualGap
	}
	if set.Exact {
		f.gap = exactGap
	}
	limit := set.Time
	if limit == 0 {
		limit = usualTime
	}
	f.ends = f.started.Add(limit - limit/tidyShare)
	all := f.program.objectives()
	f.held = heldSlack
	if set.Exact {
		f.held = exactSlack
	}
	f.x = f.program.nothing()
	count := len(all) + 1
	if set.aims > 0 {
		count = set.aims
	}
	for i := range count {
		// An aim may take half of what time is left: the first matter most.
		left := time.Until(f.ends)
		var o *objective
		if i < len(all) {
			o = all[i]
		} else {
			o = f.program.distance()
			f.x = f.program.withDistances(f.x)
		}
		if err := f.reach(o, left/time.Duration(min(2, count-i))); err != nil {
			return nil, err
		}
	}
	if set.aims == 0 {
		if err := f.tidy(); err != nil {
			return nil, err
		}
	}
	p := f.program.plan(f.x)
	f.settle(p)
	p.Aims, p.Nodes, p.Elapsed = f.aims, f.nodes, time.Since(f.started)
	if fault := p.Check(); fault != nil {
		return nil, fmt.Errorf("season: internal: the optimiser's plan failed its check: %w", fault)
	}
	return p, nil
}

// whole is what the gap of a value is a share of.
func (o *objective) whole(value float64) float64 {
	if o.name == "spoiled" {
		return o.size
	}
	return value
}

// close tells that no plan can be better by half of the gap asked for. The
// other half is for the aims that come after: see slack.
func (f *search) close(o *objective, value, bound float64) bool {
	return value-bound <= max(f.gap/2*value, f.nothing(o))
}

// nothing is a difference of an aim that is not worth seeking.
func (f *search) nothing(o *objective) float64 {
	switch {
	case o.name == "spoiled":
		return max(spoiledSlack*f.gap, f.held) * o.size
	case o.name == "target" && !f.set.Exact:
		return distanceSlack
	}
	return f.held * o.size
}

// slack is what a value may move by while the next aims are sought. Held to
// the last penny the least cost would leave next to no plan to choose from.
func (f *search) slack(o *objective, value float64) float64 {
	switch o.name {
	case "shortage": // no bed gives way to a price
		return max(f.held/10, exactSlack) * o.size
	case "spoiled":
		return f.nothing(o)
	}
	return max(f.gap/2*value, f.nothing(o))
}

// settle gives the aims the values of the plan that came out in the end, which
// may have moved within the slack of the holds. Beds are served as well as the
// compost goes, where the program had no reason to.
func (f *search) settle(p *Plan) {
	for i, v := range p.Served {
		f.x[f.program.short[i]] = v.ShortM3
	}
	for i, o := range f.reached {
		a := &f.aims[i]
		a.Value = o.value(f.x)
		a.Bound = min(a.Bound, a.Value)
		a.Gap = 0
		if a.Value-a.Bound > exactSlack*o.size {
			a.Gap = (a.Value - a.Bound) / o.whole(a.Value)
		}
	}
}

// reach finds the least value of an aim and holds it.
func (f *search) reach(o *objective, share time.Duration) error {
	m := &f.program.model
	f.reached = append(f.reached, o)
	if len(o.terms) == 0 {
		f.aims = append(f.aims, Aim{Name: o.name, Unit: o.unit, Value: o.constant, Bound: o.constant, Proven: true, size: o.size})
		return nil
	}
	for j := range m.Columns() {
		m.SetCost(j, 0)
	}
	for _, t := range o.terms {
		m.SetCost(t.Column, t.Coefficient)
	}
	ends := time.Now().Add(share)
	bound := 0.0
	open := func() bool { return !f.close(o, o.value(f.x), bound) }
	if open() && len(f.aims) > 0 {
		if err := f.keepBatches(o, ends); err != nil {
			return err
		}
	}
	if open() {
		b, err := f.branch(o, ends)
		if err != nil {
			return err
		}
		bound = max(bound, b)
	}
	value := o.value(f.x)
	bound = min(bound, value)
	aim := Aim{Name: o.name, Unit: o.unit, Value: value, Bound: bound, Proven: f.close(o, value, bound), size: o.size}
	if value > bound {
		aim.Gap = (value - bound) / o.whole(value)
	}
	f.aims = append(f.aims, aim)
	if f.set.see != nil {
		f.set.see(aim, o.constant, m.Problem())
	}
	f.hold(o, value)
	return nil
}

// hold keeps an aim at its value while the next are sought.
func (f *search) hold(o *objective, value float64) {
	if value <= exactSlack*o.size && o.constant == 0 && o.adds() {
		for _, t := range o.terms {
			f.program.model.SetUpper(t.Column, max(f.x[t.Column], 0))
		}
		return
	}
	slack := f.slack(o, value)
	if o.name == "batches" {
		value, slack = math.Round(value), 0
	}
	f.program.hold(o, value+slack)
}

// adds tells that none of the terms takes anything off, so that each is held to
// nothing when the sum is.
func (o *objective) adds() bool {
	return !slices.ContainsFunc(o.terms, func(t solver.Term) bool { return t.Coefficient < 0 })
}

// left is the time that is left of a share, and always a little.
func left(ends time.Time) time.Duration { return max(time.Until(ends), 50*time.Millisecond) }

// solve solves a program and words what may go wrong.
func (f *search) solve(problem *solver.Problem, set solver.Settings) (*solver.Solution, error) {
	answer, err := solver.Solve(f.ctx, problem, set)
	switch {
	case err != nil:
		return nil, fmt.Errorf("season: internal: %w", err)
	case f.ctx.Err() != nil:
		return nil, fmt.Errorf("season: stopped: %w", f.ctx.Err())
	}
	return answer, nil
}

// keepBatches reaches for the aim with the batches of the plan so far.
func (f *search) keepBatches(o *objective, ends time.Time) error {
	held := *f.program.model.Problem()
	held.Integer = nil
	for _, y := range f.program.integers {
		v := math.Round(f.x[y])
		held.Lower[y], held.Upper[y] = v, v
	}
	answer, err := f.solve(&held, solver.Settings{Time: left(ends)})
	if err == nil && answer.Status == solver.Optimal && o.value(answer.X) < o.value(f.x) {
		f.x = answer.X
	}
	return err
}

// branch searches the batches too, and returns the bound that it proves.
func (f *search) branch(o *objective, ends time.Time) (float64, error) {
	start := make([]float64, f.program.model.Columns())
	copy(start, f.x) // the columns that holds have added since are no batches
	set := solver.Settings{
		Gap: f.gap / 2, AbsoluteGap: f.nothing(o), Time: left(ends),
		Start: start, Tighten: f.program.tighten,
	}
	if o.name == "spoiled" {
		set.Gap = 0 // its cost is that of what is used, not of what spoils
	}
	if f.set.Progress != nil {
		set.Progress = func(p solver.Progress) {
			f.set.Progress(Progress{o.name, time.Since(f.started), p.Nodes, p.Cost + o.constant, p.Bound + o.constant})
		}
	}
	answer, err := f.solve(f.program.model.Problem(), set)
	if err != nil {
		return 0, err
	}
	f.nodes += answer.Nodes
	if answer.Primal == solver.Answer && len(answer.X) > 0 && o.value(answer.X) < o.value(f.x) {
		f.x = answer.X
	}
	if math.IsNaN(answer.Bound) || math.IsInf(answer.Bound, 0) {
		return 0, nil
	}
	return max(answer.Bound+o.constant, 0), nil
}
