package solver

import "math"

// simplexMethod solves a linear program by the simplex methods, from the basis
// of its logicals, and returns vectors in p's own units.
func simplexMethod(p *Problem, e effort) *Solution {
	scaled, factors := scale(p, false)
	s := newSimplex(scaled, e)
	if e.steps > 0 {
		s.limit = e.steps
	}
	v := s.run()
	if v == atOptimum && (s.leftToGain() > negligible || !s.tightlyWithin() || !s.exact(p, &factors)) {
		s.polish()
	}
	return s.solution(p, &factors, v)
}

// negligible is a share of the cost that is not worth a pivot.
const negligible = 1e-10

// tightlyWithin tells whether the values keep their bounds to rounding.
func (s *simplex) tightlyWithin() bool {
	s.feasible = tight
	defer func() { s.feasible = usual }()
	return s.withinBounds()
}

// leftToGain is the most that the cost could fall by moves whose reduced costs
// are within tolerance, over the cost; a move without a bound is taken to go
// as far as the largest value. Where units differ by many orders, a reduced
// cost below the tolerance may still be worth a lot.
func (s *simplex) leftToGain() float64 {
	cost, largest := 0.0, 1.0
	for v, x := range s.x {
		cost += s.cost[v] * x
		largest = max(largest, math.Abs(x))
	}
	gain := 0.0
	for v, d := range s.d {
		switch {
		case s.where[v] >= 0:
		case d < 0:
			gain -= d * min(s.upper[v]-s.x[v], largest)
		case d > 0:
			gain += d * min(s.x[v]-s.lower[v], largest)
		}
	}
	return gain / (1 + math.Abs(cost))
}

// exact tells whether the point meets the tolerance in the units of p.
func (s *simplex) exact(p *Problem, factors *scaling) bool {
	return s.solution(p, factors, atOptimum).Status == Optimal
}

// polish goes on from an optimal basis with tighter tolerances, for as many
// pivots as a basis has places; noise could ask for more without end.
func (s *simplex) polish() {
	s.feasible, s.dualFeas = tight, tight
	limit := s.limit
	s.limit = min(limit, s.pivots+s.m+100)
	if s.primal() == atOptimum && !s.withinBounds() {
		s.run()
	}
	s.limit = limit
	s.feasible, s.dualFeas = usual, usual
}

// rounds bounds the turns between the dual and the primal method.
const rounds = 8

// run solves from the current basis. Where a reduced cost has the wrong sign
// the dual method works with a changed cost; it gives a point within the
// bounds, or the proof that there is none, from which the primal method goes
// on with the true costs.
func (s *simplex) run() verdict {
	for range rounds {
		if v := s.dual(); v != atOptimum || !s.moved {
			return v
		}
		copy(s.working, s.cost)
		s.moved = false
		if v := s.primal(); v != atOptimum || s.withinBounds() {
			return v
		}
	}
	return inTrouble
}

func (s *simplex) withinBounds() bool {
	for _, v := range s.basic {
		if s.excess(v) != 0 {
			return false
		}
	}
	return true
}

// solution reads off what the verdict stands for, in the units of p.
func (s *simplex) solution(p *Problem, factors *scaling, v verdict) *Solution {
	x := append([]float64{}, s.x[:s.n]...)
	y := make([]float64, s.m)
	result := &Solution{Status: Stalled, X: x, RowDual: y, Iterations: s.pivots}
	switch v {
	case noEnd:
		factors.unscale(x, y)
		if fall, fault := p.RayFault(x); fall > 0 && fault <= certificateFault*fall {
			result.Status = Unbounded
		}
		return result
	case noPoint:
		for i, r := range s.rho {
			y[i] = s.side * r
		}
		factors.unscale(x, y)
		if gap, fault := p.FarkasGap(y); gap > 0 && fault <= certificateFault*gap {
			result.Status = Infeasible
		}
		return result
	case outOfTime:
		result.Status = LimitHit
	}
	copy(s.working, s.cost)
	s.price()
	copy(y, s.rho)
	factors.unscale(x, y)
	result.Residuals, result.Objective, result.DualObjective = p.Check(x, y)
	if v == atOptimum && result.Residuals.Worst() <= nearly*s.effort.tolerance {
		result.Status = Optimal
	}
	return result
}
