package blend

import (
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/feedstocks"
	"heapwright/solver"
)

// Portion is so many whole measures of a material, or of water.
type Portion struct {
	Count int
	Step  float64 // what one count is, in Units
	Unit  feedstocks.Unit
}

// Quantity is the portion in its unit.
func (p Portion) Quantity() feedstocks.Quantity {
	return feedstocks.Quantity{Number: float64(p.Count) * p.Step, Unit: p.Unit}
}

// Whole turns a formulated recipe into one of whole measures: counts of the
// vessels in which each material is carried, and weights, volumes and water to
// two digits. They are chosen together by an integer search, never by rounding
// each alone: nearest to the target, and then, a tenth of the way to the edge
// of the range given away, nearest to the exact recipe, with a bulk of at least
// nine tenths of it where that can be had. Where vessels alone come out much
// farther from the target, a material may be topped up with a smaller one
// (Problem.Fine). The error is a *[ProblemError] when no whole measures obey
// the limits of the plan.
//
// The recipe returned has Portions and Exact set. progress, when not nil, is
// told about long searches. A recipe with a Conflict comes back as it is.
func Whole(ctx context.Context, exact *Recipe, progress func(tried int)) (*Recipe, error) {
	if exact.Conflict {
		return exact, nil
	}
	coarse, err := wholeOf(ctx, exact, false, progress)
	if err != nil {
		return nil, err
	}
	best := coarse
	if exact.canTopUp() && (coarse == nil || coarse.Distance > exact.Distance+roughEnough) {
		fine, err := wholeOf(ctx, exact, true, progress)
		if err != nil {
			return nil, err
		}
		if fine != nil && (coarse == nil || fine.Distance < coarse.Distance-roughEnough/2) {
			best = fine
		}
	}
	if best == nil {
		return nil, &ProblemError{Problem: "no whole measures obey the limits of the plan", Hint: "give amounts in a smaller measure, or ask for the exact recipe"}
	}
	return best, nil
}

const (
	// roughEnough is the distance that whole vessels may add before smaller
	// ones are taken to hand: a quarter of the way to the edge of the range.
	roughEnough = 0.25
	// wholeEase is the distance that is given away to stay near the exact
	// recipe.
	wholeEase = 0.1
	// wholeGap is the distance, and the share of the stock moved, to which
	// the integer search is proved: well under what wholeEase gives away.
	// Proving it to the last digits takes a hundred times as long.
	wholeGap = 0.01
	// trifle is the share of the pile below which an amount is too small to
	// take its own digits from.
	trifle = 1e-3
	// wholeRounds bounds the steps of the search for the nearest counts.
	wholeRounds = 8
	// wholeNodes bounds one integer search; a plan of twelve materials needs
	// some hundreds.
	wholeNodes = 20_000
)

// wholeBulk are the shares of the exact recipe's bulk that are asked of the
// whole one, the first that can be had.
func wholeBulk() []float64 { return []float64{0.9, 0.6, 0.3, 0} }

// carrier is a column of whole counts.
type carrier struct {
	material int // -1 for water
	unit     feedstocks.Unit
	step     float64 // in unit
	kg       float64 // of one count
	column   int
}

// canTopUp reports whether a smaller vessel would divide any measure.
func (r *Recipe) canTopUp() bool {
	return slices.ContainsFunc(r.Problem.Materials, func(m Material) bool {
		_, ok := m.fine(r.Problem.Fine)
		return ok
	})
}

// fine is the weight of the smaller vessel in which a material may be topped
// up; ok is false when its measure is no vessel or hardly larger.
func (m Material) fine(vessel feedstocks.Unit) (kg float64, ok bool) {
	unit, one := m.unit()
	if !unit.Measure || vessel.Factor == 0 {
		return 0, false
	}
	kg, ok = m.measureKg(vessel)
	return kg, ok && 2*kg <= one
}

// carriers lists the counts of a recipe: one for each material, a second for
// what may be topped up, and water.
func (r *Recipe) carriers(topUp bool) []carrier {
	var out []carrier
	for j, m := range r.Problem.Materials {
		unit, one := m.unit()
		kg := m.step(r.Mixture.Parts[j].MassKg)
		if r.Mixture.Parts[j].MassKg < trifle*r.Mixture.MassKg() {
			kg = m.step(m.OnHandKg) // the digits of next to nothing mean nothing
		}
		out = append(out, carrier{material: j, unit: unit, step: kg / one, kg: kg})
		if fine, ok := m.fine(r.Problem.Fine); topUp && ok {
			out = append(out, carrier{material: j, unit: r.Problem.Fine, step: 1, kg: fine})
		}
	}
	litre := feedstocks.Unit{Name: "L", Plural: "L", Dimension: feedstocks.Volume, Factor: 1e-3}
	step := max(1, digit(r.Mixture.AddedWaterKg))
	return append(out, carrier{material: none, unit: litre, step: step, kg: step})
}

// wholeOf searches whole counts; nil when none obey the limits.
func wholeOf(ctx context.Context, exact *Recipe, topUp bool, progress func(tried int)) (*Recipe, error) {
	for _, share := range wholeBulk() {
		s := &wholeSearch{exact: exact, carriers: exact.carriers(topUp), bulk: share, progress: progress}
		r, err := s.run(ctx)
		if err != nil || r != nil {
			return r, err
		}
	}
	return nil, nil
}

// wholeSearch finds the counts nearest to a target, by the same rounds as the
// exact search (distanceSearch) with whole columns.
type wholeSearch struct {
	exact    *Recipe
	carriers []carrier
	bulk     float64 // share of the exact recipe's bulk asked for
	progress func(tried int)
}

func (s *wholeSearch) run(ctx context.Context) (*Recipe, error) {
	p := s.exact.Problem
	criteria := p.criteria()
	scale := make([]float64, len(criteria))
	for k, c := range criteria {
		scale[k] = c.under.value(s.exact.Mixture.amounts(), s.exact.Mixture.AddedWaterKg)
	}
	var best *Recipe
	d := s.exact.Distance
	for range wholeRounds {
		model := s.model()
		search := &distanceSearch{problem: p, criteria: criteria, held: make([]bool, len(criteria))}
		search.sides(model, d, scale)
		found, err := s.solve(ctx, model)
		if err != nil {
			return nil, err
		}
		if found == nil {
			break
		}
		if best != nil && found.Distance >= best.Distance-wholeGap {
			break
		}
		best, d = found, found.Distance
		for k, c := range criteria {
			scale[k] = c.under.value(found.Mixture.amounts(), found.Mixture.AddedWaterKg)
		}
	}
	if best == nil {
		return nil, nil
	}
	return s.nearestToExact(ctx, best)
}

// nearestToExact finds, among counts about as near to the target as best, those
// nearest to the exact recipe: least volume, or mass, moved.
func (s *wholeSearch) nearestToExact(ctx context.Context, best *Recipe) (*Recipe, error) {
	p := s.exact.Problem
	model := s.model()
	for _, c := range p.criteria() {
		for _, up := range []bool{true, false} {
			edge := c.aim.at(s.ease(best), up)
			r := c.limit(edge, 0, math.Inf(1))
			if up {
				r = c.limit(edge, math.Inf(-1), 0)
			}
			model.Row(r.lower, r.upper, r.terms()...)
		}
	}
	bulk := p.bulk()
	whole := bulk.value(p.stock(), 0)
	away := func(column int, kg, weight float64) {
		moved := model.Column(weight, 0, solver.Inf())
		model.Row(kg, solver.Inf(), solver.Term{Column: column, Coefficient: 1}, solver.Term{Column: moved, Coefficient: 1})
		model.Row(-solver.Inf(), kg, solver.Term{Column: column, Coefficient: 1}, solver.Term{Column: moved, Coefficient: -1})
	}
	lightest := math.Inf(1)
	for j, part := range s.exact.Mixture.Parts {
		away(j, part.MassKg, bulk.material[j]/whole)
		if bulk.material[j] > 0 {
			lightest = min(lightest, bulk.material[j]/whole)
		}
	}
	away(len(p.Materials), s.exact.Mixture.AddedWaterKg, lightest)
	found, err := s.solve(ctx, model)
	if err != nil || found == nil {
		return best, err
	}
	return found, nil
}

// ease is the distance that counts near the exact recipe may have: a tenth of
// the way to the edge more than the nearest counts, or that of the exact recipe
// where something else than the target came first, and no step over the edge.
func (s *wholeSearch) ease(best *Recipe) float64 {
	d := max(best.Distance+wholeEase, s.exact.Distance)
	if best.Distance <= 1 {
		d = min(d, 1)
	}
	return d
}

// model lays out the amounts as counts: the columns of the materials and of
// water, as in every model of amounts, and a whole column for each carrier.
func (s *wholeSearch) model() *solver.Model {
	p := s.exact.Problem
	mixes := p.allowed()
	if s.bulk > 0 {
		least := p.bulk()
		least.lower = s.bulk * least.value(s.exact.Mixture.amounts(), 0)
		mixes.rows = append(mixes.rows, least)
	}
	water := len(p.Materials)
	model := mixes.model(row{material: make([]float64, water)})
	parts := make([][]solver.Term, water+1)
	var counts []solver.Term
	coarse := none
	for k := range s.carriers {
		c := &s.carriers[k]
		amount := c.material
		most := mixes.upper[water]
		if amount == none {
			amount = water
			coarse = none
			most = min(most, p.mostUsefulWater(mixes)+c.kg)
		} else {
			most = mixes.upper[amount]
			if p.Pile.Prefer == PreferFewest && s.exact.Status != OutOfReach && s.exact.Mixture.Parts[amount].MassKg == 0 {
				most = 0 // the fewest stay the fewest
			}
		}
		count := math.Floor(most/c.kg + 1e-9)
		if c.material != none && c.material == coarse {
			// the second carrier of a material tops the first one up
			count = min(count, math.Ceil(s.carriers[k-1].kg/c.kg))
		}
		coarse = c.material
		c.column = model.Column(0, 0, count)
		model.Integer(c.column)
		parts[amount] = append(parts[amount], solver.Term{Column: c.column, Coefficient: -c.kg})
		if c.material != none {
			counts = append(counts, solver.Term{Column: c.column, Coefficient: 1})
		}
	}
	model.Row(1, solver.Inf(), counts...) // nothing at all is no pile
	for amount, terms := range parts {
		model.Row(0, 0, append(terms, solver.Term{Column: amount, Coefficient: 1})...)
	}
	return model
}

// mostUsefulWater is the water in kg that takes all of the stock to the wet
// edge of the range; no mix is nearer for more.
func (p *Problem) mostUsefulWater(mixes *face) float64 {
	edge, water := p.Target.Moisture.High, 0.0
	for j, m := range p.Materials {
		water += mixes.upper[j] * max(0, edge-m.Composition.Moisture) / (1 - edge)
	}
	return water
}

// tell passes the progress of an integer search on; nil where nobody listens.
func (s *wholeSearch) tell() func(solver.Progress) {
	if s.progress == nil {
		return nil
	}
	return func(p solver.Progress) { s.progress(p.Nodes) }
}

// solve runs an integer search and reads the recipe off it; nil when there is
// none.
func (s *wholeSearch) solve(ctx context.Context, model *solver.Model) (*Recipe, error) {
	answer, err := solver.Solve(ctx, model.Problem(), solver.Settings{
		AbsoluteGap: wholeGap, Nodes: wholeNodes, Progress: s.tell(),
	})
	switch {
	case err != nil:
		return nil, fmt.Errorf("blend: internal: %w", err)
	case ctx.Err() != nil:
		return nil, fmt.Errorf("blend: stopped: %w", ctx.Err())
	case answer.Status == solver.Infeasible:
		return nil, nil
	case answer.Primal != solver.Answer && answer.Primal != solver.NearestSoFar || len(answer.X) == 0:
		return nil, nil
	}
	p := s.exact.Problem
	amounts, water := make([]float64, len(p.Materials)), 0.0
	portions := make([][]Portion, len(p.Materials))
	var waterPortion Portion
	for _, c := range s.carriers {
		portion := Portion{Count: int(math.Round(answer.X[c.column])), Step: c.step, Unit: c.unit}
		kg := float64(portion.Count) * c.kg
		if c.material == none {
			water, waterPortion = kg, portion
			continue
		}
		amounts[c.material] += kg
		portions[c.material] = append(portions[c.material], portion)
	}
	r := p.recipe(p.mixture(amounts, water))
	if !known(r.Distance) || p.verify(r.Mixture, math.Inf(1)) != nil {
		return nil, nil // an unfinished search, or nothing at all
	}
	r.Portions, r.WaterPortion, r.Exact = portions, waterPortion, s.exact
	r.Notes = s.exact.Notes
	return r, nil
}
