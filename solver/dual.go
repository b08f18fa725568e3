package solver

import (
	"cmp"
	"math"
	"slices"
)

// candidate is a variable that may enter, with the dual step at which its
// reduced cost reaches zero.
type candidate struct {
	v     int
	entry float64 // of the tableau row, signed so that the step lowers the reduced cost's slack
	ratio float64
}

// dual runs the dual simplex method from a basis whose reduced costs have the
// right signs (or can be given them by moving a variable to its other bound)
// until the values are within their bounds: steepest edge pricing (Forrest and
// Goldfarb 1992, "Steepest-edge simplex algorithms for linear programming",
// Math. Program. 57:341-374), a ratio test that passes the bounds it can flip
// over (Maros 2003, "A generalized dual phase-2 simplex algorithm", Eur. J.
// Oper. Res. 149:1-16) and Harris's tolerance, with the costs shifted by what
// it oversteps; all from memory.
func (s *simplex) dual() verdict {
	stuck := 0
	banned := map[int]bool{} // variables whose rows gave no sound pivot
	s.derive()
	for {
		if s.lu.stale() {
			s.begin()
		}
		if s.spent() {
			return outOfTime
		}
		p := s.chooseLeaving(banned)
		if p < 0 {
			if !s.derived {
				s.derive()
				continue
			}
			for v := range banned {
				if math.Abs(s.excess(v)) > harris*(1+math.Abs(s.x[v])) {
					return inTrouble
				}
			}
			return atOptimum
		}
		leaving := s.basic[p]
		clear(s.rho)
		s.rho[p] = 1
		s.lu.backward(s.rho)
		s.tableauRow()
		q := s.chooseEntering(leaving)
		if q < 0 {
			if len(s.lu.etaRow) > 0 {
				s.begin()
				continue
			}
			s.side = math.Copysign(1, s.excess(leaving))
			return noPoint
		}
		s.enter(q)
		if a, b := s.column[p], s.row[q]; math.Abs(a) < pivotSmall || math.Abs(a-b) > pivotAgrees*(1+math.Abs(a)) {
			if len(s.lu.etaRow) > 0 {
				s.begin()
				continue
			}
			if math.Abs(a) < pivotSmall {
				banned[leaving] = true
				continue
			}
		}
		bound := s.upper[leaving]
		if s.excess(leaving) < 0 {
			bound = s.lower[leaving]
		}
		s.flip()
		if math.Abs(s.d[q]) <= 1e-12 {
			if stuck++; stuck == 30 {
				s.perturb()
				s.begin()
				continue
			}
		}
		s.dualPivot(p, q, bound)
		clear(banned)
	}
}

// begin factorises and derives.
func (s *simplex) begin() {
	s.refactor()
	s.agree()
}

// derive computes values and reduced costs anew, from the factors there are
// when they are not stale.
func (s *simplex) derive() {
	s.update()
	s.agree()
}

// agree makes the reduced costs of the nonbasic variables agree with where
// they sit, by flipping or, failing that, shifting.
func (s *simplex) agree() {
	flipped := false
	for v := range s.d {
		if s.where[v] >= 0 || s.lower[v] == s.upper[v] || !s.mayImprove(v) {
			continue
		}
		if s.d[v] > 0 && !math.IsInf(s.lower[v], -1) || s.d[v] < 0 && !math.IsInf(s.upper[v], 1) {
			s.settle(v)
			flipped = true
			continue
		}
		s.shift(v)
	}
	if flipped {
		s.place()
	}
}

// shift changes a cost so that its reduced cost is zero.
func (s *simplex) shift(v int) {
	s.working[v] -= s.d[v]
	s.d[v] = 0
	s.moved = true
}

// perturb pushes the costs of nonbasic variables apart, away from zero
// reduced cost, so that ties in the ratio test break.
func (s *simplex) perturb() {
	for v := range s.d {
		if s.where[v] >= 0 || s.lower[v] == s.upper[v] || math.IsInf(s.lower[v], -1) && math.IsInf(s.upper[v], 1) {
			continue
		}
		by := (1e-6 + 1e-6*math.Abs(s.working[v])) * (0.5 + s.chance())
		if s.x[v] == s.upper[v] {
			by = -by
		}
		s.working[v] += by
	}
	s.moved = true
}

// chooseLeaving is the place of the basic variable whose violation is the
// largest, measured in the steepest edge norm; -1 when there is none.
func (s *simplex) chooseLeaving(banned map[int]bool) int {
	best, p := 0.0, -1
	for i, v := range s.basic {
		if e := s.excess(v); e != 0 {
			if score := e * e / s.norm[v]; score > best && !banned[v] {
				best, p = score, i
			}
		}
	}
	return p
}

// chooseEntering finds the variable that enters for the leaving one, and
// lists in ratio those whose bounds are flipped on the way; -1 when none can
// stop the dual step, so that the row of the leaving variable cannot be met.
func (s *simplex) chooseEntering(leaving int) int {
	sign := 1.0
	slope := s.excess(leaving)
	if slope < 0 {
		sign, slope = -1, -slope
	}
	bound := s.x[leaving] - s.excess(leaving)
	within := s.feasible * (1 + math.Abs(bound))
	s.ratio = s.ratio[:0]
	for _, v := range s.touched {
		low, high := s.lower[v], s.upper[v]
		if low == high {
			continue
		}
		entry := sign * s.row[v]
		free := math.IsInf(low, -1) && math.IsInf(high, 1)
		switch {
		case entry > pivotSmall && (free || s.x[v] == low), entry < -pivotSmall && (free || s.x[v] == high):
			s.ratio = append(s.ratio, candidate{v, entry, max(0, s.d[v]/entry)})
		}
	}
	rest := s.ratio
	for len(rest) > 0 {
		reach := math.Inf(1) // the furthest step within Harris's tolerance
		for _, c := range rest {
			reach = min(reach, (math.Abs(s.d[c.v])+harris)/math.Abs(c.entry))
		}
		// The candidates within reach come to the front of rest.
		near, drop := 0, 0.0
		for k, c := range rest {
			if c.ratio <= reach {
				rest[near], rest[k] = rest[k], rest[near]
				near++
				drop += math.Abs(c.entry) * (s.upper[c.v] - s.lower[c.v])
			}
		}
		if near == 0 {
			return -1 // not numbers any more
		}
		if near < len(rest) && slope-drop > 0 {
			slope -= drop
			rest = rest[near:]
			continue
		}
		if slope-drop > within {
			return -1 // every bound flipped, and the row is still not met
		}
		group := rest[:near]
		best := slices.MaxFunc(group, func(a, b candidate) int {
			return cmp.Compare(math.Abs(a.entry), math.Abs(b.entry))
		})
		s.ratio = s.ratio[:len(s.ratio)-len(rest)]
		return best.v
	}
	return -1
}

// flip moves the variables listed in ratio to their other bounds.
func (s *simplex) flip() {
	if len(s.ratio) == 0 {
		return
	}
	clear(s.extra)
	for _, c := range s.ratio {
		to := s.lower[c.v]
		if s.x[c.v] == to {
			to = s.upper[c.v]
		}
		step := to - s.x[c.v]
		s.x[c.v] = to
		index, value := s.entriesOf(c.v)
		for k, i := range index {
			s.extra[i] -= value[k] * step
		}
	}
	s.lu.forward(s.extra)
	for i, v := range s.basic {
		s.x[v] += s.extra[i]
	}
}

// dualPivot exchanges the variable at place p, which goes to its bound, for q.
func (s *simplex) dualPivot(p, q int, bound float64) {
	leaving := s.basic[p]
	pivot := s.column[p]

	// reduced costs
	step := s.d[q] / s.row[q]
	if step*(s.x[leaving]-bound) < 0 {
		// Harris let q be passed: it enters at zero.
		s.shift(q)
		step = 0
	}
	for _, v := range s.touched {
		s.d[v] -= step * s.row[v]
		if d := s.d[v]; d < 0 && s.x[v] < s.upper[v] || d > 0 && s.x[v] > s.lower[v] {
			if s.lower[v] != s.upper[v] && v != q && math.Abs(d) > s.dualFeas {
				s.shift(v)
			}
		}
	}
	s.d[q], s.d[leaving] = 0, -step

	// steepest edge weights
	copy(s.extra, s.rho)
	s.lu.forward(s.extra)
	norm := 0.0
	for _, r := range s.rho {
		norm += r * r
	}
	s.norm[q] = max(norm/(pivot*pivot), 1e-4)
	for i, v := range s.basic {
		if c := s.column[i]; c != 0 && i != p {
			r := c / pivot
			s.norm[v] = max(s.norm[v]-2*r*s.extra[i]+r*r*norm, 1e-4)
		}
	}

	// values
	move := (s.x[leaving] - bound) / pivot
	for i, v := range s.basic {
		s.x[v] -= move * s.column[i]
	}
	s.x[q] += move
	s.x[leaving] = bound
	s.exchange(p, q)
}
