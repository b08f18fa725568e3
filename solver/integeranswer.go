package solver

import (
	"math"
	"slices"
)

// certify is the answer to a problem whose root is infeasible or unbounded:
// with a certificate, unless only the whole numbers fail or it is cut short.
func (b *integerSearch) certify(root Status) *Solution {
	s := b.withoutPoint(LimitHit, math.Inf(-1))
	e, ok := b.left()
	if !ok {
		return s
	}
	core := reduce(b.p)
	r := core.restore(relax(core.problem, e))
	b.steps += r.Iterations
	r.Nodes, r.Iterations = b.nodes, b.steps
	switch {
	case r.Status == Infeasible:
		r.Dual = InfeasibleRay
		return r
	case r.Status == Unbounded && root == Unbounded:
		r.Primal = InfeasibleRay
		return r
	case r.Status == LimitHit:
	case root == Infeasible && r.Status != Stalled:
		return b.withoutPoint(Infeasible, math.Inf(1))
	default: // the engines disagree
		s.Status = Stalled
	}
	s.Iterations = b.steps
	return s
}

// withoutPoint is an answer that has no vectors.
func (b *integerSearch) withoutPoint(status Status, bound float64) *Solution {
	return &Solution{
		Status: status, Bound: bound, Nodes: b.nodes, Iterations: b.steps,
		X: make([]float64, len(b.p.Cost)), RowDual: make([]float64, b.p.Rows.RowCount),
	}
}

// finish turns the state of the search into its answer.
func (b *integerSearch) finish() *Solution {
	least := b.least()
	status := Optimal
	switch {
	case len(b.open) > 0 && !b.hopeless(b.open[0].cost):
		status = LimitHit
	case !math.IsInf(b.unsure, 1) && !b.hopeless(b.unsure):
		status = Stalled
	case b.x == nil:
		status = Infeasible
	}
	s := b.withoutPoint(status, least)
	if b.x == nil {
		return s
	}
	s.X, s.Primal = b.x, Answer
	e, ok := b.left()
	if !ok {
		return s
	}
	// The duals of what is left when the integer columns are held.
	held := *b.p
	held.Integer = nil
	held.Lower, held.Upper = slices.Clone(held.Lower), slices.Clone(held.Upper)
	for _, j := range b.columns {
		held.Lower[j], held.Upper[j] = b.x[j], b.x[j]
	}
	core := reduce(&held)
	r := core.restore(relax(core.problem, e))
	s.Iterations += r.Iterations
	if r.Status == Optimal && b.p.worstViolation(r.X) <= whole {
		s.X, s.RowDual, s.Dual = r.X, r.RowDual, Answer
	}
	return s
}
