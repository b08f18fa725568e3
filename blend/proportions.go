package blend

import (
	"math"
	"slices"

	"heapwright/solver"
)

// proportions lays out the mixes of a face that obey the rows, each scaled so
// that the row normal comes to total: the model of questions that size does
// not change. Its columns are the materials, then the added water. Only
// proportions matter as long as no bound asks for an amount; where one does,
// every bound is multiplied by one more column, the size of the pile turned
// round.
func (p *Problem) proportions(f *face, rows []row, normal row, total float64) *solver.Model {
	model := &solver.Model{}
	for range f.lower {
		model.Column(0, 0, solver.Inf())
	}
	asks := func(r row) bool { return r.lower > 0 }
	amounts := slices.ContainsFunc(rows, asks) || slices.ContainsFunc(f.bounds(true), asks)
	size := none
	if amounts {
		size = model.Column(0, 0, solver.Inf())
	}
	model.Row(total, total, normal.terms()...)
	for _, r := range append(f.bounds(amounts), rows...) {
		switch {
		case r.lower == 0 && r.upper == 0:
			model.Row(0, 0, r.terms()...)
			continue
		case r.lower == 0:
			model.Row(0, solver.Inf(), r.terms()...)
		case !math.IsInf(r.lower, -1) && size != none:
			model.Row(0, solver.Inf(), append(r.terms(), solver.Term{Column: size, Coefficient: -r.lower})...)
		}
		switch {
		case r.upper == 0:
			model.Row(-solver.Inf(), 0, r.terms()...)
		case !math.IsInf(r.upper, 1) && size != none:
			model.Row(-solver.Inf(), 0, append(r.terms(), solver.Term{Column: size, Coefficient: -r.upper})...)
		}
	}
	return model
}

const none = -1

// bounds are the bounds of a face on each amount, as rows. Where amounts do
// not matter they only say that there is none of what is not on hand.
func (f *face) bounds(amounts bool) []row {
	var rows []row
	n := len(f.lower) - 1
	for j := range f.lower {
		r := row{material: make([]float64, n), lower: f.lower[j], upper: f.upper[j]}
		if j < n {
			r.material[j] = 1
		} else {
			r.water = 1
		}
		if r.lower == 0 && r.upper > 0 {
			r.lower = math.Inf(-1) // amounts are never negative
		}
		if amounts && !math.IsInf(r.upper, 1) || r.lower > 0 || r.upper == 0 {
			rows = append(rows, r)
		}
	}
	return rows
}
