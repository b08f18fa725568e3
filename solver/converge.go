package solver

import "math"

// stepsEnough is the number of interior-point steps after which more would
// not help: a problem that has an answer takes 10 to 60.
//
// patience is the number of steps that may pass before the products s z halve.
const (
	stepsEnough = 200
	patience    = 15
)

// interiorMethod is the method laid out for a problem, which has no fixed
// columns, no free rows and no crossed bounds.
type interiorMethod struct {
	*interior
	whole   *Problem // in its own units
	factors scaling
}

func newInteriorMethod(p *Problem) *interiorMethod {
	scaled, factors := scale(p, true)
	return &interiorMethod{newInterior(scaled), p, factors}
}

// interiorPoint lays out the method for p and runs it.
func interiorPoint(p *Problem, e effort) *Solution { return newInteriorMethod(p).run(e) }

// run returns vectors in the problem's own units.
func (in *interiorMethod) run(e effort) *Solution {
	best := &Solution{
		Status: Stalled, X: make([]float64, in.n), RowDual: make([]float64, in.m),
		Residuals: Residuals{math.Inf(1), math.Inf(1), math.Inf(1)},
	}
	short, least, since := 0, math.Inf(1), 0
	for it := 0; ; it++ {
		in.prepare()
		best.Iterations = it
		if in.muValue < 0.5*least {
			least, since = in.muValue, it
		}
		switch done := in.judge(in.whole, &in.factors, e.tolerance, best); {
		case done:
			return best
		case e.steps > 0 && it >= e.steps || e.over():
			best.Status = LimitHit
			return best
		case short >= 8 || it-since >= patience || it >= stepsEnough || math.IsNaN(in.muValue):
			if best.Residuals.Worst() <= nearly*e.tolerance {
				best.Status = Optimal
			}
			return best
		}
		if in.advance() < 1e-4 {
			short++
		} else {
			short = 0
		}
	}
}

// nearly is the multiple of the tolerance that still counts as optimal when
// rounding permits no better.
const nearly = 10

// judge looks at the current point in the units of p. It keeps the best
// iterate so far in best and reports whether the solve has its answer.
func (in *interior) judge(p *Problem, factors *scaling, tolerance float64, best *Solution) bool {
	x := make([]float64, in.n)
	y := make([]float64, in.m)
	take := func(by float64) {
		for j := range x {
			x[j] = in.x[j] / by
		}
		for i := range y {
			y[i] = in.y[i] / by
		}
		factors.unscale(x, y)
	}
	take(in.tau)
	if in.worthChecking(best.Residuals.Worst()) {
		r, objective, dualObjective := p.Check(x, y)
		if r.Worst() < best.Residuals.Worst() {
			best.X, best.RowDual = x, y
			best.Residuals, best.Objective, best.DualObjective = r, objective, dualObjective
		}
		if r.Worst() <= tolerance {
			best.Status = Optimal
			return true
		}
	}
	if in.kappa < in.tau {
		return false
	}
	// kappa leads: a certificate may be ready. Its size is of no account.
	x, y = make([]float64, in.n), make([]float64, in.m)
	take(1)
	if gap, fault := p.FarkasGap(y); gap > 0 && fault <= certificateFault*gap {
		best.Status, best.RowDual, best.X = Infeasible, y, x
		return true
	}
	if fall, fault := p.RayFault(x); fall > 0 && fault <= certificateFault*fall {
		best.Status, best.RowDual, best.X = Unbounded, y, x
		return true
	}
	return false
}

// certificateFault is the largest fault of a certificate beside its gap.
const certificateFault = 1e-8

// worthChecking tells whether the scaled residuals are low enough that the
// point may beat the best one so far.
func (in *interior) worthChecking(best float64) bool {
	if math.IsInf(best, 1) {
		return true
	}
	return in.muValue/(in.tau*in.tau) < 1e3*best
}
