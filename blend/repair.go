package blend

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/solver"
)

// Repair is the least of one material, or of two, that brings a pile into its
// ranges.
type Repair struct {
	Additions []Addition
	// AllAdditions are how much of the same it takes to let all that is on
	// hand go into one pile in range, within the limits of the plan; nil
	// where no amount that can be had does.
	AllAdditions []Addition
	Cost         float64 // of Additions; what has no price counts as free
	BulkM3       float64 // loose volume of Additions; NaN where a density is not known
	Recipe       *Recipe // what Formulate makes of the plan with Additions on hand
}

// Addition is an amount of a material to get.
type Addition struct {
	Material Material // with what it takes on hand
	AmountKg float64
}

// cheaper orders repairs by cost, then by bulk, then, where that is not known,
// by weight.
func (r *Repair) cheaper(than *Repair) int {
	bulk := func(r *Repair) float64 {
		if math.IsNaN(r.BulkM3) {
			return math.Inf(1)
		}
		return r.BulkM3
	}
	weight := func(r *Repair) (kg float64) {
		for _, a := range r.Additions {
			kg += a.AmountKg
		}
		return kg
	}
	return cmp.Or(cmp.Compare(r.Cost, than.Cost), cmp.Compare(bulk(r), bulk(than)), cmp.Compare(weight(r), weight(than)))
}

// Repairs finds, for each candidate by itself, the least amount that brings a
// pile of the recipe's size into range, and, when none does by itself, the
// best pair. A candidate's OnHandKg is the most of it that can be had; one
// that has the name of a material on hand is more of the same. They come
// cheapest first where they have prices, else least bulky first. Each is
// checked: the plan is formulated anew with the additions on hand, and what
// does not reach its ranges is left out.
func Repairs(ctx context.Context, r *Recipe, candidates []Material) ([]Repair, error) {
	if r.Status != OutOfReach {
		return nil, nil
	}
	goal, err := r.bulkGoal(ctx)
	if err != nil {
		return nil, err
	}
	shop := r.shop(candidates, goal)
	var out []Repair
	for k := range shop.candidates {
		repair, err := shop.repair(ctx, k)
		if err != nil {
			return nil, err
		}
		if repair != nil {
			out = append(out, *repair)
		}
	}
	if len(out) == 0 && len(shop.candidates) > 1 {
		pair, err := shop.bestPair(ctx)
		if err != nil {
			return nil, err
		}
		if pair != nil {
			out = append(out, *pair)
		}
	}
	slices.SortStableFunc(out, func(a, b Repair) int { return a.cheaper(&b) })
	return out, nil
}

// bulkGoal is the bulk that a repaired pile must have: the size wanted, or
// else that of the pile which the recipe makes of the stock as it is. Where
// there is no pile, it is the one that there would be but for the limits on
// shares, density and air.
func (r *Recipe) bulkGoal(ctx context.Context) (float64, error) {
	p := r.Problem
	if r.Conflict {
		q := *p
		q.Pile.DensestKgM3, q.Pile.AirAtLeast, q.Pile.Prefer = 0, 0, PreferTarget
		q.Materials = slices.Clone(p.Materials)
		for j := range q.Materials {
			q.Materials[j].ShareAtMost = 0
		}
		var err error
		if r, err = Formulate(ctx, &q); err != nil {
			return 0, err
		}
	}
	goal := p.bulk().value(r.Mixture.amounts(), r.Mixture.AddedWaterKg)
	if len(p.withoutDensity()) > 0 {
		return goal, nil
	}
	return min(max(goal, p.Pile.SizeM3), p.Pile.most()), nil
}

func (m Mixture) amounts() []float64 {
	out := make([]float64, len(m.Parts))
	for j, part := range m.Parts {
		out[j] = part.MassKg
	}
	return out
}

// having is the problem with additions on hand: more of a material that is
// there already, or a new one.
func (p *Problem) having(additions []Addition) *Problem {
	q := *p
	q.Materials = slices.Clone(p.Materials)
	for _, a := range additions {
		j := p.named(a.Material.Name)
		if j == none {
			j = len(q.Materials)
			a.Material.OnHandKg, a.Material.AtLeastKg = 0, 0
			q.Materials = append(q.Materials, a.Material)
		}
		q.Materials[j].OnHandKg += a.AmountKg
	}
	// What is new takes no part in the further limits.
	q.Further = slices.Clone(p.Further)
	for i, f := range q.Further {
		f.Material = append(slices.Clone(f.Material), make([]float64, len(q.Materials)-len(f.Material))...)
		q.Further[i] = f
	}
	return &q
}

// named is the place of a material; none if it is not there.
func (p *Problem) named(name string) int {
	return slices.IndexFunc(p.Materials, func(m Material) bool { return m.Name == name })
}

// shop is where candidates are got for a recipe.
type shop struct {
	recipe     *Recipe
	candidates []Material
	goal       float64 // bulk of a repaired pile
}

func (r *Recipe) shop(candidates []Material, goal float64) *shop {
	s := &shop{recipe: r, goal: goal}
	for _, c := range candidates {
		if c.OnHandKg > 0 {
			s.candidates = append(s.candidates, c)
		}
	}
	for k := range s.candidates {
		c := &s.candidates[k]
		if j := r.Problem.named(c.Name); j != none {
			c.Composition, c.Feedstock = r.Problem.Materials[j].Composition, r.Problem.Materials[j].Feedstock
		}
	}
	return s
}

// most is all of the candidates that can be had.
func most(candidates []Material) []Addition {
	var out []Addition
	for _, c := range candidates {
		out = append(out, Addition{c, c.OnHandKg})
	}
	return out
}

// order is a program for the least that must be got.
type order struct {
	*solver.Model
	got []int // column of the amount of each candidate, in kg
}

const (
	// repairInside is the distance that a repair aims to stay within: at the
	// edge of the ranges, but for rounding.
	repairInside = 1 - 1e-4
	// unknownDensity stands in for a bulk density that is not known where
	// candidates are ordered by bulk.
	unknownDensity = 300
	// bulkTie is the weight of the bulk beside the cost.
	bulkTie = 1e-6
)

// order lays out the mixes in range of what is on hand and what candidates
// may add, at the least cost, or bulk where none has a price. They must have
// the bulk of the goal or, with all, hold all that is on hand.
func (s *shop) order(candidates []Material, all bool) order {
	p := s.recipe.Problem
	q := p.having(most(candidates))
	mixes := q.allowed()
	for _, c := range q.criteria() {
		mixes.rows = append(mixes.rows,
			c.limit(c.aim.at(repairInside, false), 0, math.Inf(1)),
			c.limit(c.aim.at(repairInside, true), math.Inf(-1), 0))
	}
	if all {
		for j, m := range p.Materials {
			mixes.lower[j] = m.OnHandKg
		}
	} else {
		bulk := q.bulk()
		bulk.lower = s.goal
		if (len(q.withoutDensity()) > 0) != (len(p.withoutDensity()) > 0) {
			bulk.lower = s.recipe.solidsKg() // by weight, then
		}
		mixes.rows = append(mixes.rows, bulk)
	}
	o := order{Model: mixes.model(row{material: make([]float64, len(q.Materials))})}
	dearest := 0.0
	for _, c := range candidates {
		dearest = max(dearest, c.PricePerKg)
	}
	for _, c := range candidates {
		density := c.Composition.DensityKgM3
		if !known(density) {
			density = unknownDensity
		}
		worth := 1 / density
		if dearest > 0 {
			worth = c.PricePerKg/dearest + bulkTie*worth
		}
		j, stock := q.named(c.Name), 0.0
		if j < len(p.Materials) {
			stock = p.Materials[j].OnHandKg
		}
		got := o.Column(worth, 0, c.OnHandKg)
		o.Row(-solver.Inf(), stock, solver.Term{Column: j, Coefficient: 1}, solver.Term{Column: got, Coefficient: -1})
		o.got = append(o.got, got)
	}
	return o
}

// least is the least of the candidates that will do, each rounded up to what
// people can measure; nil when no amount of them will.
func (s *shop) least(ctx context.Context, candidates []Material, all bool) ([]Addition, error) {
	o := s.order(candidates, all)
	answer, err := solve(ctx, o.Model)
	if err != nil || answer.Status != solver.Optimal {
		return nil, err
	}
	var out []Addition
	for k, c := range candidates {
		if kg := answer.X[o.got[k]]; kg > negligible*c.OnHandKg {
			c.OnHandKg = c.roundUp(kg)
			out = append(out, Addition{c, c.OnHandKg})
		}
	}
	return out, nil
}

// repair finds the least of some candidates together, by their places.
func (s *shop) repair(ctx context.Context, places ...int) (*Repair, error) {
	p := s.recipe.Problem
	var candidates []Material
	for _, k := range places {
		candidates = append(candidates, s.candidates[k])
	}
	if p.having(most(candidates)).Validate() != nil {
		return nil, nil // a density is needed and not known
	}
	least, err := s.least(ctx, candidates, false)
	if err != nil || len(least) == 0 {
		return nil, err
	}
	out := &Repair{Additions: least}
	for _, a := range least {
		out.Cost += a.AmountKg * a.Material.PricePerKg
		out.BulkM3 += a.AmountKg / a.Material.Composition.DensityKgM3
	}
	if out.Recipe, err = Formulate(ctx, p.having(least)); err != nil || out.Recipe.Status == OutOfReach {
		return nil, err
	}
	out.AllAdditions, err = s.least(ctx, candidates, true)
	return out, err
}

// roundUp rounds an amount up to what people can measure: a tenth of a vessel,
// or two digits of a weight, but never over the most that can be had.
func (m Material) roundUp(kg float64) float64 {
	step := m.step(kg)
	if unit, _ := m.unit(); unit.Measure {
		step /= 10
	}
	return min(m.OnHandKg, step*math.Ceil(kg/step-1e-9))
}

// bestPair finds the pair of candidates that costs least together, by an
// integer search in which no more than two are got.
func (s *shop) bestPair(ctx context.Context) (*Repair, error) {
	var usable []Material
	var places []int
	for k, c := range s.candidates {
		hasVolume := known(c.Composition.DensityKgM3) || len(s.recipe.Problem.withoutDensity()) > 0
		if with := append(slices.Clone(usable), c); hasVolume && s.recipe.Problem.having(most(with)).Validate() == nil {
			usable, places = with, append(places, k)
		}
	}
	o := s.order(usable, false)
	var chosen []solver.Term
	for k, c := range usable {
		choice := o.Column(0, 0, 1)
		o.Integer(choice)
		o.Row(-solver.Inf(), 0, solver.Term{Column: o.got[k], Coefficient: 1 / c.OnHandKg}, solver.Term{Column: choice, Coefficient: -1})
		chosen = append(chosen, solver.Term{Column: choice, Coefficient: 1})
	}
	o.Row(-solver.Inf(), 2, chosen...)
	answer, err := solver.Solve(ctx, o.Problem(), solver.Settings{})
	switch {
	case err != nil:
		return nil, fmt.Errorf("blend: internal: %w", err)
	case ctx.Err() != nil:
		return nil, fmt.Errorf("blend: stopped: %w", ctx.Err())
	case len(answer.X) == 0 || answer.Primal != solver.Answer && answer.Primal != solver.NearestSoFar:
		return nil, nil
	}
	var pair []int
	for k, t := range chosen {
		if math.Round(answer.X[t.Column]) == 1 {
			pair = append(pair, places[k])
		}
	}
	return s.repair(ctx, pair...)
}
