package solver

import "math"

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
	xi       []float64 // v/tau: columns, then rows
	qxi      []float64 // Q xi
	costQ    []float64 // Q xi + c
	theta    []float64 // sum of z/s over the pairs of a value
	h        []float64 // sum of z/s * (xi - b)
	sumE     []float64 // sum of side e over the pairs of a value
	h2       float64   // sum of z/s * (xi - b)^2
	dual     []float64 // residual of the first equation
	rowGap   []float64 // residual of the equations
	gap      float64   // residual of the last
	muValue  float64
	muBefore float64 // at the step before; +Inf after a centring one

	k         *Matrix // the linear system, upper triangle, without regularisation
	values    []float64
	diagonal  []int // place of each diagonal entry
	f         *factor
	direction []float64 // the tau column of the system's solution
	tauPivot  float64   // what then multiplies the step in tau in the last equation
	predictor step
	corrector step
	tauAim    float64
	b         []float64 // of the step's linear system, and its solution
	rowP      []float64
	rowQ      []float64
}

// pair is a bound with its slack and multiplier.
type pair struct {
	t     int     // column j, or n + i for row i
	side  float64 // +1 lower, -1 upper
	bound float64
	s, z  float64
	r     float64 // side (v - bound tau) - s, what is still infeasible
	off   float64 // v/tau - bound
	aim   float64 // what the step is to change s z by
	e     float64 // right-hand side of the current step
	ds    float64
	dz    float64

	keptDs, keptDz float64 // of the step before, while another is tried
}

// step is a search direction.
type step struct {
	x, y       []float64
	tau, kappa float64
}

// regular is added to the diagonal blocks of the linear system, whose entries
// are near 1 after scaling, so that every pivot exists; refinement against
// the unregularised system removes its effect.
const regular = 1e-8

// drift is the share of a value by which its residual may differ from the one
// that the steps taken should have left, before the difference is believed.
const drift = 1e-13

func newInterior(p *Problem) *interior {
	n, m := p.Rows.ColumnCount, p.Rows.RowCount
	in := &interior{
		p: p, n: n, m: m, tau: 1, kappa: 1, muBefore: math.Inf(1),
		x: make([]float64, n), y: make([]float64, m),
		xi: make([]float64, n+m), qxi: make([]float64, n), costQ: make([]float64, n),
		theta: make([]float64, n+m), h: make([]float64, n+m), sumE: make([]float64, n+m),
		dual: make([]float64, n), rowGap: make([]float64, m),
		direction: make([]float64, n+m),
		b:         make([]float64, n+m), rowP: make([]float64, m), rowQ: make([]float64, m),
		predictor: step{x: make([]float64, n), y: make([]float64, m)},
		corrector: step{x: make([]float64, n), y: make([]float64, m)},
	}
	bounds := 0
	for _, list := range [][]float64{p.Lower, p.Upper, p.RowLower, p.RowUpper} {
		for _, b := range list {
			if !math.IsInf(b, 0) {
				bounds++
			}
		}
	}
	in.pairs = make([]pair, 0, bounds)
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
		// far below it, so their difference is taken from s: r shrinks by the
		// step, not by subtraction, unless what it should be has drifted off.
		if r := q.side*(in.xi[q.t]-q.bound)*in.tau - q.s; math.Abs(r) > drift*(math.Abs(in.xi[q.t])+math.Abs(q.bound))*in.tau {
			q.r = r
		}
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
	in.f.refactor(in.values, regular)
}

// exactness is the share of the mean product s z that may be left of a step's
// linear system: the next step sees it among its residuals.
const exactness = 1e-6

// solveSystem replaces b by the solution of the linear system.
func (in *interior) solveSystem(b []float64) { in.f.solve(b, exactness*in.muValue) }

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

	in.tauPivot = -in.kappa/in.tau - in.h2
	for j := range in.n {
		in.tauPivot += (in.costQ[j] - in.h[j]) * in.direction[j]
	}
	clear(in.rowQ)
	in.p.Rows.addMul(in.rowQ, 1, in.direction[:in.n])
	for i := range in.m {
		t := in.n + i
		if in.p.RowLower[i] == in.p.RowUpper[i] {
			// the system's unknown is -dy
			in.tauPivot -= in.rowGap[i] / in.tau * in.direction[t]
		} else {
			in.tauPivot -= in.h[t] * in.rowQ[i]
		}
	}
}
