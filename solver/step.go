package solver

import "math"

// search computes the step that removes the share eta of the residuals and
// changes every product by its aim.
func (in *interior) search(d *step, eta float64) {
	n := in.n
	b := in.b
	clear(in.sumE)
	shift := 0.0
	for k := range in.pairs {
		q := &in.pairs[k]
		q.e = (q.aim - q.z*eta*q.r) / q.s
		in.sumE[q.t] += q.side * q.e
		shift += q.side * q.off * q.e
	}
	tauTarget := in.tauAim
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

	right := -eta*in.gap - tauTarget/in.tau - shift
	for j := range n {
		right += eta*in.xi[j]*in.dual[j] - (in.costQ[j]-in.h[j])*b[j]
	}
	// A times the column part, row by row: from the row equations themselves
	rowP, rowQ := in.rowP, in.rowQ
	clear(rowP)
	in.p.Rows.addMul(rowP, 1, b[:n])
	for i := range in.m {
		t := n + i
		if in.p.RowLower[i] == in.p.RowUpper[i] {
			right += in.rowGap[i] / in.tau * b[t]
		} else {
			right += in.h[t] * rowP[i]
		}
	}
	d.tau = right / in.tauPivot
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
	for k := range in.pairs {
		q := &in.pairs[k]
		if q.s+a*q.ds < 0 {
			a = -q.s / q.ds
		}
		if q.z+a*q.dz < 0 {
			a = -q.z / q.dz
		}
	}
	if in.tau+a*d.tau < 0 {
		a = -in.tau / d.tau
	}
	if in.kappa+a*d.kappa < 0 {
		a = -in.kappa / d.kappa
	}
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

const (
	shy = 0.995 // share of the way to the boundary that a step goes
	// A step after which the products s z are not below slow times what they
	// were has run against the boundary, the products being of very different
	// sizes; one that aims at the share centring of their mean for all of them
	// comes before the next.
	slow     = 0.9
	centring = 0.3
)

// advance takes one predictor-corrector step and returns its length. Further
// correctors follow while they lengthen it (Gondzio 1996, "Multiple centrality
// corrections in a primal-dual method for linear programming", Comput. Optim.
// Appl. 6:137-156, from memory).
func (in *interior) advance() float64 {
	in.tauColumn()
	sigma := centring
	if in.muValue < slow*in.muBefore {
		in.aim(0, false)
		in.search(&in.predictor, 1)
		a := in.room(&in.predictor)
		sigma = (1 - a) * (1 - a) * (1 - a)
		in.aim(sigma*in.muValue, true)
		in.muBefore = in.muValue
	} else {
		in.aim(sigma*in.muValue, false)
		in.muBefore = math.Inf(1)
	}
	eta := 1 - sigma
	in.search(&in.corrector, eta)
	a := in.room(&in.corrector)
	for range corrections {
		if a > longEnough {
			break
		}
		further := min(1, a+stretch)
		in.recentre(&in.corrector, further, sigma*in.muValue)
		in.keep()
		in.search(&in.predictor, eta)
		b := in.room(&in.predictor)
		if b < a+0.1*stretch {
			in.putBack()
			break
		}
		in.corrector, in.predictor = in.predictor, in.corrector
		a = b
	}
	a = min(1, shy*a)
	in.move(&in.corrector, a, eta)
	return a
}

// aim sets what each product is to change by: to the centre, less the
// second-order terms of the predictor where they are wanted.
func (in *interior) aim(centre float64, secondOrder bool) {
	in.tauAim = centre - in.tau*in.kappa
	if secondOrder {
		in.tauAim -= in.predictor.tau * in.predictor.kappa
	}
	for k := range in.pairs {
		q := &in.pairs[k]
		q.aim = centre - q.s*q.z
		if secondOrder {
			q.aim -= q.ds * q.dz
		}
	}
}

const (
	corrections = 3
	longEnough  = 0.95
	stretch     = 0.3  // by which a corrector tries to lengthen the step
	outlier     = 10.0 // the factor from the centre at which a product counts as off it
)

// recentre adds to the aims what would bring the products at the length a
// along d back to within a factor of the centre.
func (in *interior) recentre(d *step, a, centre float64) {
	low, high := centre/outlier, centre*outlier
	back := func(v float64) float64 {
		switch {
		case v < low:
			return low - v
		case v > high:
			return max(high-v, -high)
		}
		return 0
	}
	in.tauAim += back((in.tau + a*d.tau) * (in.kappa + a*d.kappa))
	for k := range in.pairs {
		q := &in.pairs[k]
		q.aim += back((q.s + a*q.ds) * (q.z + a*q.dz))
	}
}

// keep and putBack save the part of a direction that the pairs hold.
func (in *interior) keep() {
	for k := range in.pairs {
		q := &in.pairs[k]
		q.keptDs, q.keptDz = q.ds, q.dz
	}
}

func (in *interior) putBack() {
	for k := range in.pairs {
		q := &in.pairs[k]
		q.ds, q.dz = q.keptDs, q.keptDz
	}
}
