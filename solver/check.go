package solver

import "math"

// Check measures a primal vector x (length n) and row duals y (length m)
// against the optimality conditions from the problem's data alone. It returns
// the residuals, the primal and the dual objective. Nothing that the engines
// computed on the way is used, so a caller may trust it to judge them.
func (p *Problem) Check(x, y []float64) (r Residuals, objective, dualObjective float64) {
	activity := p.Activity(x)
	z := p.ColumnDual(x, y)
	r.Primal = p.worstViolation(x)
	scale := 1.0
	for _, c := range p.Cost {
		scale = max(scale, 1+math.Abs(c))
	}
	dualObjective = -p.curvature(x) / 2
	settle := func(dual, at, lower, upper float64) {
		value, loose := worth(dual, lower, upper)
		if loose == 0 && math.Abs(value-dual*at) > math.Abs(dual) {
			// A stray multiplier on a constraint that is nowhere near its
			// bound: a fault of the dual of its own size, not a gap of its
			// size times a distance that may be a million.
			value, loose = dual*at, math.Abs(dual)
		}
		dualObjective += value
		r.Dual = max(r.Dual, loose/scale)
	}
	for i, d := range y {
		settle(d, activity[i], p.RowLower[i], p.RowUpper[i])
	}
	for j, d := range z {
		settle(d, x[j], p.Lower[j], p.Upper[j])
	}
	objective = p.Objective(x)
	r.Gap = math.Abs(objective-dualObjective) / max(1+math.Abs(objective+p.apart), mostLost*(1+math.Abs(objective)))
	return r, objective, dualObjective
}

// mostLost is the share of a cost below which the sum of it and what was taken
// apart is not held to its own size: rounding would not allow it.
const mostLost = 1e-3

// worstViolation is the largest violation of a bound, over 1 + the bound.
func (p *Problem) worstViolation(x []float64) float64 {
	worst := 0.0
	for i, a := range p.Activity(x) {
		worst = max(worst, violation(a, p.RowLower[i], p.RowUpper[i]))
	}
	for j, v := range x {
		worst = max(worst, violation(v, p.Lower[j], p.Upper[j]))
	}
	return worst
}

// ColumnDual is z = Qx + c - A'y.
func (p *Problem) ColumnDual(x, y []float64) []float64 {
	z := append([]float64{}, p.Cost...)
	p.Quadratic.addMulSym(z, 1, x)
	p.Rows.addMulT(z, -1, y)
	return z
}

// FarkasGap judges y (length m) as a proof of infeasibility. With z = -A'y it
// returns D(y, z), the least value that the bounds force upon y'Ax - y'Ax = 0,
// and the largest multiplier that has no bound to stand on, both over the
// largest multiplier; what rounding may have put into D is taken off. The proof
// holds when gap > 0 and fault is negligible beside it. A lower bound above its
// upper one is a proof in itself: the largest such crossing is returned,
// whatever y is.
func (p *Problem) FarkasGap(y []float64) (gap, fault float64) {
	if crossed := p.crossedBounds(); crossed > 0 {
		return crossed, 0
	}
	z := make([]float64, len(p.Cost))
	p.Rows.addMulT(z, -1, y)
	size, terms := 0.0, 0.0 // terms: the sizes of all that is summed up
	add := func(dual, lower, upper float64) {
		value, loose := worth(dual, lower, upper)
		gap += value
		terms += math.Abs(value)
		fault = max(fault, loose)
		size = max(size, math.Abs(dual))
	}
	for i, d := range y {
		add(d, p.RowLower[i], p.RowUpper[i])
	}
	for j, d := range z {
		add(d, p.Lower[j], p.Upper[j])
		if d == 0 {
			continue
		}
		parts := 0.0 // that d is the sum of: it may be their rounding, times a bound however large
		index, value := p.Rows.Column(j)
		for k, i := range index {
			parts += math.Abs(value[k] * y[i])
		}
		most, _ := worth(math.Copysign(parts, d), p.Lower[j], p.Upper[j])
		terms += math.Abs(most)
	}
	if size == 0 {
		return 0, math.Inf(1)
	}
	return (gap - rounded*terms) / size, fault / size
}

// rounded is the share of the terms of a sum of which it says nothing.
const rounded = 1e-15

// RayFault judges x (length n) as a proof of unboundedness: fall is -c'x,
// which must be positive, and fault the largest step that x takes across a
// finite bound or against the curvature; both over the largest entry of x.
func (p *Problem) RayFault(x []float64) (fall, fault float64) {
	size := 0.0
	for j, v := range x {
		size = max(size, math.Abs(v))
		fall -= p.Cost[j] * v
		fault = max(fault, crossing(v, p.Lower[j], p.Upper[j]))
	}
	for i, a := range p.Activity(x) {
		fault = max(fault, crossing(a, p.RowLower[i], p.RowUpper[i]))
	}
	if p.Quadratic != nil {
		qx := make([]float64, len(x))
		p.Quadratic.addMulSym(qx, 1, x)
		for _, v := range qx {
			fault = max(fault, math.Abs(v))
		}
	}
	if size == 0 {
		return 0, math.Inf(1)
	}
	return fall / size, fault / size
}

// violation is how far v lies outside [lower, upper], over 1 + the bound.
func violation(v, lower, upper float64) float64 {
	switch {
	case v < lower:
		return (lower - v) / (1 + math.Abs(lower))
	case v > upper:
		return (v - upper) / (1 + math.Abs(upper))
	}
	return 0
}

// worth is a multiplier times the bound on its side, or, where that side has
// no bound, the size of the multiplier as a loose end.
func worth(dual, lower, upper float64) (value, loose float64) {
	bound := lower
	if dual < 0 {
		bound = upper
	}
	switch {
	case dual == 0:
		return 0, 0
	case math.IsInf(bound, 0):
		return 0, math.Abs(dual)
	}
	return dual * bound, 0
}

// crossing is how far a direction v moves towards a finite bound.
func crossing(v, lower, upper float64) float64 {
	if v < 0 && !math.IsInf(lower, -1) || v > 0 && !math.IsInf(upper, 1) {
		return math.Abs(v)
	}
	return 0
}

// crossedBounds is the largest lower bound minus upper bound, or 0.
func (p *Problem) crossedBounds() float64 {
	worst := 0.0
	for j := range p.Lower {
		worst = max(worst, p.Lower[j]-p.Upper[j])
	}
	for i := range p.RowLower {
		worst = max(worst, p.RowLower[i]-p.RowUpper[i])
	}
	return worst
}
