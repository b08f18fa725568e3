package solver

import "math"

// refinements bounds the rounds of iterative refinement of one solve, and
// refinedEnough is the residual, relative to each row's own size, at which a
// further round would only stir rounding errors.
const (
	refinements   = 3
	refinedEnough = 1e-13
	refinedAway   = 0.1
)

// solve replaces b by the solution of K x = b, the matrix without what
// refactor added, to a residual of refinedEnough or, if that is more, enough.
// The diagonal spans twenty orders of magnitude near the end of an
// interior-point method, so residuals are weighed row by row.
func (f *factor) solve(b []float64, enough float64) {
	enough = max(enough, refinedEnough)
	x := f.y
	for k, i := range f.order {
		x[k] = b[i]
	}
	copy(f.rhs, x)
	f.solveRough(x)
	best := math.Inf(1)
	for range refinements {
		worst := f.residual(x)
		if worst >= best {
			for k, v := range f.fix {
				x[k] -= v
			}
			break
		}
		if worst <= enough {
			break
		}
		slowing := worst > refinedAway*best
		best = worst
		f.solveRough(f.left)
		for k, v := range f.left {
			x[k] += v
		}
		if slowing {
			break
		}
		f.left, f.fix = f.fix, f.left
	}
	for k, i := range f.order {
		b[i] = x[k]
	}
}

// residual leaves rhs - K x in left and returns the largest of it in proportion
// to its row.
func (f *factor) residual(x []float64) float64 {
	left := f.left
	copy(left, f.rhs)
	for k, xk := range x {
		sum := f.ownValue[k] * xk
		from, to := f.start[k], f.start[k+1]
		value := f.offValue[from:to]
		for q, i := range f.above[from:to] {
			left[i] -= value[q] * xk
			sum += value[q] * x[i]
		}
		left[k] -= sum
	}
	worst := 0.0
	for k, v := range left {
		weight := 1 + math.Abs(f.rhs[k])
		if f.sign[k] < 0 {
			weight += math.Abs(f.ownValue[k])
		}
		if size := math.Abs(v); size > worst*weight {
			worst = size / weight
		}
	}
	return worst
}
