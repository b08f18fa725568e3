package solver

import (
	"context"
	"math"
	"time"
)

// interior is the state of a primal-dual interior-point method on the
// homogeneous embedding of a problem: x, y, z and the two scalars tau and
// kappa solve
//
//	Qx + c tau - A'y - z = 0
//	side (v_t - b tau) - s = 0        for every finite bound b on a value v_t
//	a_i'x - b_i tau = 0               for every equation
//	kappa + x'Qx/tau + c'x - (dual objective) = 0
//	s z = 0, tau kappa = 0, all >= 0
//
// where v runs over the columns x_j and the row activities a_i'x. tau > 0
// gives an optimal pair after division by it; kappa > 0 gives a certificate
// of infeasibility or unboundedness (Xu, Hung and Ye 1996, "A simplified
// homogeneous and self-dual linear programming algorithm", Ann. Oper. Res.
// 62:151-171; steps after Mehrotra 1992, SIAM J. Optim. 2:575-601; both from
// memory). Bounds on columns and two-sided rows enter through their slacks
// alone, so the linear system has n + m rows whatever is bounded.
type interior struct {
	p    *Problem // scaled
	n, m int

	pairs []pair    // one for each finite bound of columns and inequality rows
	equal []int     // the rows that are equations
	x     []float64 // length n
	y     []float64 // length m; for an inequality the sum of its pairs
	tau   float64
	kappa float64

	// derived from the above at the start of each step
	xi      []float64 // v/tau: columns, then rows
	qxi     []float64 // Q xi
	costQ   []float64 // Q xi + c
	theta   []float64 // sum of z/s over the pairs of a value
	h       []float64 // sum of z/s * (xi - b)
	sumE    []float64 // sum of side e over the pairs of a value
	h2      float64   // sum of z/s * (xi - b)^2
	dual    []float64 // residual of the first equation
	rowGap  []float64 // residual of the equations
	gap     float64   // residual of the last
	muValue float64

	k         *Matrix // the linear system, upper triangle, without regularisation
	values    []float64
	diagonal  []int // place of each diagonal entry
	f         *factor
	kRegular  []float64
	direction []float64 // the tau column of the system's solution
	predictor step
	corrector step
	rhs       []float64
	left      []float64
	fix       []float64
}

// pair is a bound with its slack and multiplier.
type pair struct {
	t     int     // column j, or n + i for row i
	side  float64 // +1 lower, -1 upper
	bound float64
	s, z  float64
	r     float64 // side (v - bound tau) - s, what is still infeasible
	off   float64 // v/tau - bound
	e     float64 // right-hand side of the current step
	ds    float64
	dz    float64
}

// step is a search direction.
type step struct {
	x, y       []float64
	tau, kappa float64
}

// regular is added to the diagonal blocks of the linear system, whose entries
// are near 1 after scaling, so that every pivot exists; refinement against
// the unregularised system removes its effect.
const regular = 1e-10

func newInterior(p *Problem) *interior {
	n, m := p.Rows.ColumnCount, p.Rows.RowCount
	in := &interior{
		p: p, n: n, m: m, tau: 1, kappa: 1,
		x: make([]float64, n), y: make([]float64, m),
		xi: make([]float64, n+m), qxi: make([]float64, n), costQ: make([]float64, n),
		theta: make([]float64, n+m), h: make([]float64, n+m), sumE: make([]float64, n+m),
		dual: make([]float64, n), rowGap: make([]float64, m),
		direction: make([]float64, n+m), rhs: make([]float64, n+m), left: make([]float64, n+m), fix: make([]float64, n+m),
		predictor: step{x: make([]float64, n), y: make([]float64, m)},
		corrector: step{x: make([]float64, n), y: make([]float64, m)},
	}
	add := func(t int, lower, upper float64) {
		if !math.IsInf(lower, -1) {
			in.pairs = append(in.pairs, pair{t: t, side: 1, bound: lower, s: 1, z: 1, r: -lower - 1})
		}
		if !math.IsInf(upper, 1) {
			in.pairs = append(in.pairs, pair{t: t, side: -1, bound: upper, s: 1, z: 1, r: upper - 1})
		}
	}
	for j := range n {
		add(j, p.Lower[j], p.Upper[j])
	}
	for i := range m {
		if p.RowLower[i] == p.RowUpper[i] {
			in.equal = append(in.equal, i)
			continue
		}
		add(n+i, p.RowLower[i], p.RowUpper[i])
	}
	in.layOut()
	return in
}

// layOut builds the pattern of the linear system
//
//	[ Q + Theta   A'         ]
//	[ A           -1/Theta   ]
func (in *interior) layOut() {
	var entries []Entry
	if in.p.Quadratic != nil {
		for j := range in.n {
			index, value := in.p.Quadratic.Column(j)
			for k, i := range index {
				entries = append(entries, Entry{i, j, value[k]})
			}
		}
	}
	for j := range in.n {
		entries = append(entries, Entry{j, j, 1}) // a place for Theta
		index, value := in.p.Rows.Column(j)
		for k, i := range index {
			entries = append(entries, Entry{j, in.n + i, value[k]})
		}
	}
	for i := range in.m {
		entries = append(entries, Entry{in.n + i, in.n + i, 1})
	}
	size := in.n + in.m
	in.k = NewMatrix(size, size, entries)
	in.diagonal = make([]int, size)
	for t := range size {
		// rows ascend, so the diagonal closes its column of the triangle
		in.diagonal[t] = in.k.Start[t+1] - 1
	}
	for j := range in.n {
		in.k.Value[in.diagonal[j]]-- // leaves Q alone
	}
	in.values = append([]float64{}, in.k.Value...)
	in.kRegular = make([]float64, len(in.values))
	sign := make([]int8, size)
	for t := range sign {
		sign[t] = 1
		if t >= in.n {
			sign[t] = -1
		}
	}
	in.f = newFactor(in.k, sign)
}

// prepare derives residuals and the linear system from the current point.
func (in *interior) prepare() {
	p := in.p
	for j, v := range in.x {
		in.xi[j] = v / in.tau
	}
	rows := in.xi[in.n:]
	clear(rows)
	p.Rows.addMul(rows, 1, in.xi[:in.n])
	clear(in.qxi)
	p.Quadratic.addMulSym(in.qxi, 1, in.xi[:in.n])

	copy(in.dual, in.qxi)
	curvature := 0.0
	linear := 0.0
	for j, c := range p.Cost {
		in.costQ[j] = in.qxi[j] + c
		in.dual[j] = in.costQ[j] * in.tau
		curvature += in.qxi[j] * in.xi[j]
		linear += c * in.xi[j]
	}
	clear(in.theta)
	clear(in.h)
	for i := range in.y {
		if p.RowLower[i] != p.RowUpper[i] {
			in.y[i] = 0
		}
	}
	in.h2 = 0
	in.muValue = in.tau * in.kappa
	dualObjective := 0.0
	for k := range in.pairs {
		q := &in.pairs[k]
		theta := q.z / q.s
		// Near the end v/tau and the bound agree to the last digit and s is
		// far below it, so their difference is taken from s: r only ever
		// shrinks by the step, never by subtraction.
		q.off = q.side * (q.s + q.r) / in.tau
		in.theta[q.t] += theta
		in.h[q.t] += theta * q.off
		in.h2 += theta * q.off * q.off
		in.muValue += q.s * q.z
		dualObjective += q.side * q.bound * q.z
		if q.t < in.n {
			in.dual[q.t] -= q.side * q.z
		} else {
			in.y[q.t-in.n] += q.side * q.z
		}
	}
	in.muValue /= float64(len(in.pairs) + 1)
	for _, i := range in.equal {
		in.rowGap[i] = (in.xi[in.n+i] - p.RowLower[i]) * in.tau
		dualObjective += p.RowLower[i] * in.y[i]
	}
	p.Rows.addMulT(in.dual, -1, in.y)
	in.gap = in.kappa + (curvature+linear)*in.tau - dualObjective

	copy(in.values, in.k.Value)
	for j := range in.n {
		in.values[in.diagonal[j]] += in.theta[j]
	}
	for i := range in.m {
		d := in.diagonal[in.n+i]
		if p.RowLower[i] == p.RowUpper[i] {
			in.values[d] = 0
		} else {
			in.values[d] = -1 / in.theta[in.n+i]
		}
	}
	copy(in.kRegular, in.values)
	for t, d := range in.diagonal {
		if t < in.n {
			in.kRegular[d] += regular
		} else {
			in.kRegular[d] -= regular
		}
	}
	in.f.refactor(in.kRegular)
}

// refinements bounds the rounds of iterative refinement of one solve, and
// refinedEnough is the residual, relative to each row's own size, at which a
// further round would only stir rounding errors.
const (
	refinements   = 6
	refinedEnough = 1e-15
)

// solveSystem replaces b by the solution of the unregularised system. The
// diagonal spans twenty orders of magnitude near the end, so residuals are
// weighed row by row.
func (in *interior) solveSystem(b []float64) {
	copy(in.rhs, b)
	in.f.solve(b)
	best := math.Inf(1)
	for range refinements {
		copy(in.left, in.rhs)
		for j := range in.k.ColumnCount {
			sum := 0.0
			bj := b[j]
			last := in.k.Start[j+1] - 1
			for k := in.k.Start[j]; k < last; k++ {
				i, v := in.k.Index[k], in.values[k]
				in.left[i] -= v * bj
				sum += v * b[i]
			}
			in.left[j] -= sum + in.values[last]*bj
		}
		worst := 0.0
		for t, v := range in.left {
			weight := 1 + math.Abs(in.rhs[t])
			if t >= in.n {
				weight += math.Abs(in.values[in.diagonal[t]])
			}
			worst = max(worst, math.Abs(v)/weight)
		}
		if worst >= best {
			for t := range b {
				b[t] -= in.fix[t]
			}
			return
		}
		if worst <= refinedEnough {
			return
		}
		best = worst
		in.f.solve(in.left)
		for t := range b {
			b[t] += in.left[t]
		}
		copy(in.fix, in.left)
	}
}

// tauColumn solves for the part of a step that is proportional to the step in tau.
func (in *interior) tauColumn() {
	for j := range in.n {
		in.direction[j] = -(in.costQ[j] + in.h[j])
	}
	for i := range in.m {
		t := in.n + i
		if in.p.RowLower[i] == in.p.RowUpper[i] {
			in.direction[t] = -in.rowGap[i] / in.tau
		} else {
			in.direction[t] = -in.h[t] / in.theta[t]
		}
	}
	in.solveSystem(in.direction)
}

// search computes the step that removes the share eta of the residuals and
// aims the products s z at centre, second-order terms of the predictor
// included when correct is set.
func (in *interior) search(d *step, eta, centre float64, correct bool) {
	n := in.n
	b := make([]float64, n+in.m)
	clear(in.sumE)
	shift := 0.0
	for k := range in.pairs {
		q := &in.pairs[k]
		target := centre - q.s*q.z
		if correct {
			target -= q.ds * q.dz
		}
		q.e = (target - q.z*eta*q.r) / q.s
		in.sumE[q.t] += q.side * q.e
		shift += q.side * q.off * q.e
	}
	tauTarget := centre - in.tau*in.kappa
	if correct {
		tauTarget -= in.predictor.tau * in.predictor.kappa
	}
	for j := range n {
		b[j] = in.sumE[j] - eta*in.dual[j]
	}
	for i := range in.m {
		t := n + i
		if in.p.RowLower[i] == in.p.RowUpper[i] {
			b[t] = -eta * in.rowGap[i]
		} else {
			b[t] = in.sumE[t] / in.theta[t]
		}
	}
	in.solveSystem(b)

	left := -in.kappa/in.tau - in.h2
	right := -eta*in.gap - tauTarget/in.tau - shift
	for j := range n {
		w := in.costQ[j] - in.h[j]
		left += w * in.direction[j]
		right += eta*in.xi[j]*in.dual[j] - w*b[j]
	}
	// A times the column part, row by row: from the row equations themselves
	rowP, rowQ := make([]float64, in.m), make([]float64, in.m)
	in.p.Rows.addMul(rowP, 1, b[:n])
	in.p.Rows.addMul(rowQ, 1, in.direction[:n])
	for i := range in.m {
		t := n + i
		if in.p.RowLower[i] == in.p.RowUpper[i] {
			// the system's unknown is -dy
			left -= in.rowGap[i] / in.tau * in.direction[t]
			right += in.rowGap[i] / in.tau * b[t]
		} else {
			left -= in.h[t] * rowQ[i]
			right += in.h[t] * rowP[i]
		}
	}
	d.tau = right / left
	d.kappa = (tauTarget - in.kappa*d.tau) / in.tau
	for j := range n {
		d.x[j] = b[j] + (in.direction[j]+in.xi[j])*d.tau
	}
	for i := range in.m {
		d.y[i] = -(b[n+i] + in.direction[n+i]*d.tau)
	}
	for k := range in.pairs {
		q := &in.pairs[k]
		var move float64 // change of v - b tau beyond xi dtau
		if q.t < n {
			move = b[q.t] + in.direction[q.t]*d.tau
		} else {
			i := q.t - n
			if in.theta[q.t] > 1 {
				// a tight row: its multiplier is known better than its move
				move = (in.sumE[q.t] - in.h[q.t]*d.tau - d.y[i]) / in.theta[q.t]
			} else {
				move = rowP[i] + rowQ[i]*d.tau
			}
		}
		move += q.off * d.tau
		q.ds = q.side*move + eta*q.r
		q.dz = q.e - q.z/q.s*q.side*move
	}
}

// room is the longest step along d that keeps every product positive, at most 1.
func (in *interior) room(d *step) float64 {
	a := 1.0
	limit := func(v, dv float64) {
		if dv < 0 {
			a = min(a, -v/dv)
		}
	}
	for k := range in.pairs {
		q := &in.pairs[k]
		limit(q.s, q.ds)
		limit(q.z, q.dz)
	}
	limit(in.tau, d.tau)
	limit(in.kappa, d.kappa)
	return a
}

// move goes the length a along d, which removes the share eta of the residuals.
func (in *interior) move(d *step, a, eta float64) {
	for j := range in.x {
		in.x[j] += a * d.x[j]
	}
	for _, i := range in.equal {
		in.y[i] += a * d.y[i]
	}
	for k := range in.pairs {
		q := &in.pairs[k]
		q.s += a * q.ds
		q.z += a * q.dz
		q.r *= 1 - a*eta
	}
	in.tau += a * d.tau
	in.kappa += a * d.kappa
}

// advance takes one predictor-corrector step and returns its length.
func (in *interior) advance() float64 {
	in.tauColumn()
	in.search(&in.predictor, 1, 0, false)
	a := in.room(&in.predictor)
	sigma := (1 - a) * (1 - a) * (1 - a)
	in.search(&in.corrector, 1-sigma, sigma*in.muValue, true)
	const shy = 0.995 // share of the way to the boundary
	a = min(1, shy*in.room(&in.corrector))
	in.move(&in.corrector, a, 1-sigma)
	return a
}

// interiorPoint runs the method on p, which has no fixed columns, no free
// rows and no crossed bounds, and returns vectors in p's own units.
func interiorPoint(ctx context.Context, p *Problem, set Settings) *Solution {
	scaled, factors := scale(p)
	in := newInterior(scaled)
	var deadline time.Time
	if set.Time > 0 {
		deadline = time.Now().Add(set.Time)
	}
	best := &Solution{Status: Stalled, Residuals: Residuals{math.Inf(1), math.Inf(1), math.Inf(1)}}
	short := 0
	for it := 0; ; it++ {
		in.prepare()
		if done := in.judge(p, &factors, set.Tolerance, best); done {
			best.Iterations = it
			return best
		}
		switch {
		case it >= set.Iterations, ctx.Err() != nil, !deadline.IsZero() && time.Now().After(deadline):
			best.Status = LimitHit
			best.Iterations = it
			return best
		case short >= 8 || math.IsNaN(in.muValue):
			best.Iterations = it
			return best
		}
		if in.advance() < 1e-4 {
			short++
		} else {
			short = 0
		}
	}
}

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
