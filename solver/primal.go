package solver

import "math"

// primal runs the primal simplex method from a basis whose values are within
// their bounds until no reduced cost can improve: Devex pricing (Harris 1973,
// "Pivot selection methods of the Devex LP code", Math. Program. 5:1-28, from
// memory). It mends what is left when the dual method has undone the changes
// of cost that it worked with.
func (s *simplex) primal() verdict {
	weight := ones(s.n + s.m)
	s.update()
	stuck := 0
	for {
		if s.lu.stale() {
			s.refactor()
		}
		if s.spent() {
			return outOfTime
		}
		q := s.choosePrimal(weight, stuck > 30)
		if q < 0 {
			if !s.derived {
				s.update()
				continue
			}
			return atOptimum
		}
		direction := 1.0
		if s.d[q] > 0 {
			direction = -1
		}
		s.enter(q)
		p, step := s.choosePlace(direction)
		if span := s.upper[q] - s.lower[q]; span <= step && !math.IsInf(span, 1) {
			s.slide(q, direction*span)
			if direction > 0 {
				s.x[q] = s.upper[q]
			} else {
				s.x[q] = s.lower[q]
			}
			s.pivots++
			continue
		}
		if p < 0 {
			if len(s.lu.etaRow) > 0 {
				s.refactor()
				continue
			}
			s.rayOf(q, direction)
			return noEnd
		}
		if step == 0 {
			stuck++
		} else {
			stuck = 0
		}
		if math.Abs(s.column[p]) < 1e-7 && len(s.lu.etaRow) > 0 {
			s.refactor()
			continue
		}
		s.primalPivot(p, q, direction, step, weight)
	}
}

// choosePrimal is the nonbasic variable whose move lowers the cost fastest in
// the reference norm; -1 when none does. Stirred, it takes chances, which
// breaks a cycle.
func (s *simplex) choosePrimal(weight []float64, stirred bool) int {
	best, q := 0.0, -1
	for v, d := range s.d {
		if s.where[v] >= 0 || s.lower[v] == s.upper[v] || !s.mayImprove(v) {
			continue
		}
		score := d * d / weight[v]
		if stirred {
			score *= s.chance()
		}
		if score > best {
			best, q = score, v
		}
	}
	return q
}

// choosePlace is the place of the basic variable that stops the entering one,
// and the length of the step; -1 when none does.
func (s *simplex) choosePlace(direction float64) (int, float64) {
	reach := math.Inf(1)
	room := func(i int) (float64, bool) {
		c := direction * s.column[i]
		v := s.basic[i]
		switch {
		case c > pivotSmall:
			return (s.x[v] - s.lower[v]) / c, true
		case c < -pivotSmall:
			return (s.x[v] - s.upper[v]) / c, true
		}
		return 0, false
	}
	for i := range s.basic {
		if r, ok := room(i); ok {
			reach = min(reach, max(r, 0)+s.feasible/math.Abs(s.column[i]))
		}
	}
	if math.IsInf(reach, 1) {
		return -1, reach
	}
	p, step := -1, 0.0
	for i := range s.basic {
		if r, ok := room(i); ok && r <= reach && (p < 0 || math.Abs(s.column[i]) > math.Abs(s.column[p])) {
			p, step = i, max(r, 0)
		}
	}
	return p, step
}

// slide moves nonbasic q by a step and the basic variables with it.
func (s *simplex) slide(q int, step float64) {
	s.x[q] += step
	for i, v := range s.basic {
		s.x[v] -= step * s.column[i]
	}
}

// primalPivot moves q by the step until the variable at place p stops it, and
// exchanges the two.
func (s *simplex) primalPivot(p, q int, direction, step float64, weight []float64) {
	leaving := s.basic[p]
	pivot := s.column[p]
	s.slide(q, direction*step)
	if direction*pivot > 0 {
		s.x[leaving] = s.lower[leaving]
	} else {
		s.x[leaving] = s.upper[leaving]
	}
	clear(s.rho)
	s.rho[p] = 1
	s.lu.backward(s.rho)
	s.tableauRow()
	change := s.d[q] / pivot
	for _, v := range s.touched {
		r := s.row[v]
		s.d[v] -= change * r
		weight[v] = max(weight[v], r*r/(pivot*pivot)*weight[q])
	}
	s.d[q], s.d[leaving] = 0, -change
	weight[leaving] = max(weight[q]/(pivot*pivot), 1)
	s.norm[q] = 1
	s.exchange(p, q)
}

// rayOf leaves in x the direction in which q may move for ever.
func (s *simplex) rayOf(q int, direction float64) {
	clear(s.x)
	s.x[q] = direction
	for i, v := range s.basic {
		s.x[v] = -direction * s.column[i]
	}
}
