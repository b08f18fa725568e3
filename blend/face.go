package blend

import (
	"context"
	"math"
	"slices"

	"heapwright/solver"
)

// face is a set of mixes: the amounts in kg of each material, then of added
// water, within bounds and rows. What one stage of a formulation finds best is
// again such a set, a face of the one before.
type face struct {
	lower, upper []float64
	rows         []row
	// slabs hold C:N and moisture at the level that was found: a lower and
	// an upper row for each, a hair apart.
	slabs []row
}

// allowed are the mixes that obey the stock and the limits of the pile.
func (p *Problem) allowed() *face {
	f := &face{rows: p.limits()}
	for _, further := range p.Further {
		f.rows = append(f.rows, row{material: further.Material, water: further.Water, lower: math.Inf(-1)})
	}
	for _, m := range p.Materials {
		f.lower = append(f.lower, m.AtLeastKg)
		f.upper = append(f.upper, m.OnHandKg)
	}
	f.lower = append(f.lower, 0)
	f.upper = append(f.upper, p.Pile.WaterKg)
	if slices.ContainsFunc(p.Materials, func(m Material) bool { return m.OnHandKg > 0 && m.Composition.Nitrogen == 0 }) {
		f.rows = append(f.rows, p.someNitrogen())
	}
	return f
}

// someNitrogen keeps a mix from being nothing but materials without nitrogen,
// in which C:N has no meaning: it asks for a thousandth of the nitrogen that a
// like mass of the stock has.
func (p *Problem) someNitrogen() row {
	nitrogen, mass := p.criteria()[0], p.criteria()[1]
	least := 1e-3 * nitrogen.stock / mass.stock
	r := row{material: make([]float64, len(p.Materials)), upper: math.Inf(1)}
	for j := range r.material {
		r.material[j] = nitrogen.under.material[j] - least
	}
	return r.times(1 / nitrogen.stock)
}

// with returns a copy of f with more rows.
func (f *face) with(rows ...row) *face {
	return &face{
		lower: slices.Clone(f.lower), upper: slices.Clone(f.upper),
		rows: append(slices.Clone(f.rows), rows...), slabs: slices.Clone(f.slabs),
	}
}

// only is the face of one mix.
func (f *face) only(mix []float64) *face {
	return &face{lower: slices.Clone(mix), upper: slices.Clone(mix)}
}

// model lays the face out with a linear cost.
func (f *face) model(cost row) *solver.Model {
	model := &solver.Model{}
	for j := range f.lower {
		c := cost.water
		if j < len(cost.material) {
			c = cost.material[j]
		}
		model.Column(c, f.lower[j], f.upper[j])
	}
	for _, r := range slices.Concat(f.rows, f.slabs) {
		model.Row(r.lower, r.upper, r.terms()...)
	}
	return model
}

// pinned is the least multiplier, beside the largest cost, by which a bound is
// known to hold in every best mix. A smaller one costs next to nothing to
// leave free.
const pinned = 1e-7

// optimise minimises a linear cost over a face. It returns one best mix and
// the face of all best mixes: by complementary slackness those are just the
// mixes of f in which every bound with a multiplier holds. A nil vertex means
// that f is empty.
func (p *Problem) optimise(ctx context.Context, f *face, cost row) (vertex []float64, best *face, err error) {
	answer, err := solve(ctx, f.model(cost))
	if err != nil {
		return nil, nil, err
	}
	if answer.Status == solver.Infeasible {
		return nil, nil, nil
	}
	largest := math.Abs(cost.water)
	for _, c := range cost.material {
		largest = max(largest, math.Abs(c))
	}
	best = f.with()
	for j, z := range answer.ColumnDual {
		switch {
		case z > pinned*largest:
			best.upper[j] = f.lower[j]
		case z < -pinned*largest:
			best.lower[j] = f.upper[j]
		}
	}
	for i := range best.rows {
		r := &best.rows[i]
		switch worth := answer.RowDual[i] * r.size(); {
		case worth > pinned*largest:
			r.upper = r.lower
		case worth < -pinned*largest:
			r.lower = r.upper
		}
	}
	vertex = answer.X
	for j, v := range vertex { // within the solver's tolerance they are already
		vertex[j] = min(max(v, f.lower[j]), f.upper[j])
	}
	return vertex, best, nil
}

// stepsFrom is the face seen from one of its mixes, the vertex: its amounts
// are the steps away from there, in units of scale kg, and its slabs give way
// to rows that hold each criterion where the vertex has it. No step at all is
// in it, whatever rounding did to the vertex.
func (f *face) stepsFrom(vertex []float64, scale float64, criteria []criterion) *face {
	n := len(vertex) - 1
	steps := f.with()
	steps.slabs = nil
	for j, v := range vertex {
		steps.lower[j] = min(0, f.lower[j]-v) / scale
		steps.upper[j] = max(0, f.upper[j]-v) / scale
	}
	for i, r := range f.rows {
		v := r.value(vertex[:n], vertex[n])
		r = r.times(scale)
		if r.lower == r.upper {
			r.lower, r.upper = 0, 0
		} else {
			r.lower, r.upper = min(0, r.lower-v), max(0, r.upper-v)
		}
		steps.rows[i] = r
	}
	for _, c := range criteria {
		amounts, water := vertex[:n], vertex[n]
		// over its lower sum, so that the row is in units of the ratio
		steps.rows = append(steps.rows, c.at(amounts, water).times(scale/c.under.value(amounts, water)))
	}
	return steps
}
