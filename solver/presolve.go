package solver

import (
	"math"
	"slices"
)

// presolved is a problem made smaller before it is solved: rows that a single
// column decides become its bounds, rows that the bounds imply are dropped,
// rows that only one point within the bounds meets fix their columns, and
// columns without a row go where their cost wants them. Each step keeps what
// gives the dropped rows their multipliers back.
type presolved struct {
	whole *Problem
	core  *core
	undo  []undoRow
}

// undoRow is a row whose multiplier follows from the reduced costs of its
// columns: when that of column j is positive and atLower says that the row
// took the part of its lower bound, or negative and atUpper likewise.
type undoRow struct {
	row     int
	columns []int
	entries []float64
	// of a single column:
	atLower, atUpper bool
	// of a row that fixed its columns: +1 at its lower bound, -1 at its upper
	forced float64
}

// sameBound is the relative difference at which an activity counts as equal
// to a bound.
const sameBound = 1e-13

// presolver is the state of presolve.
type presolver struct {
	p                  *Problem
	across             sparseList
	lower, upper       []float64 // tightened
	rowLower, rowUpper []float64 // infinite where dropped
	undo               []undoRow
	hopeless           bool // a contradiction; the engines will prove it
}

func presolve(p *Problem) *presolved {
	if p.Rows.RowCount == 0 {
		return unpresolved(p)
	}
	s := &presolver{
		p: p, across: byRows(p.Rows),
		lower: slices.Clone(p.Lower), upper: slices.Clone(p.Upper),
		rowLower: slices.Clone(p.RowLower), rowUpper: slices.Clone(p.RowUpper),
	}
	const passes = 10
	for range passes {
		changed := false
		for i := range s.rowLower {
			changed = s.row(i) || changed
			if s.hopeless {
				return unpresolved(p)
			}
		}
		if !changed {
			break
		}
	}
	s.emptyColumns()
	q := *p
	q.Lower, q.Upper, q.RowLower, q.RowUpper = s.lower, s.upper, s.rowLower, s.rowUpper
	return &presolved{whole: p, core: reduce(&q), undo: s.undo}
}

// unpresolved leaves a problem as it is, but for its fixed columns and free
// rows.
func unpresolved(p *Problem) *presolved { return &presolved{whole: p, core: reduce(p)} }

// drop takes a row out.
func (s *presolver) drop(i int) {
	s.rowLower[i], s.rowUpper[i] = math.Inf(-1), math.Inf(1)
}

// row looks at one row and reports whether it changed anything.
func (s *presolver) row(i int) bool {
	low, high := s.rowLower[i], s.rowUpper[i]
	if math.IsInf(low, -1) && math.IsInf(high, 1) {
		return false
	}
	columns, entries := s.across.at(i)
	loose, last := 0, -1 // columns not fixed
	least, most := 0.0, 0.0
	belowSize, aboveSize := 1.0, 1.0 // of the numbers that add up to each
	for k, j := range columns {
		a, l, u := entries[k], s.lower[j], s.upper[j]
		if l != u {
			loose++
			last = k
		}
		if a < 0 {
			l, u = u, l
		}
		least += a * l
		most += a * u
		belowSize = max(belowSize, finiteSize(a*l))
		aboveSize = max(aboveSize, finiteSize(a*u))
	}
	// how close the least is to the upper bound, and the most to the lower,
	// when rounding alone may part them
	nearHigh := sameBound * max(belowSize, finiteSize(high))
	nearLow := sameBound * max(aboveSize, finiteSize(low))
	switch {
	case least > high+nearHigh || most < low-nearLow:
		s.hopeless = true
		return false
	case loose == 0 || least >= low && most <= high:
		s.drop(i) // implied by the bounds
		return true
	case loose == 1:
		s.single(i, columns[last], entries[last])
		return true
	case most <= low+nearLow:
		s.force(i, columns, entries, 1)
		return true
	case least >= high-nearHigh:
		s.force(i, columns, entries, -1)
		return true
	}
	changed := false
	if least >= low && !math.IsInf(low, -1) {
		s.rowLower[i], changed = math.Inf(-1), true
	}
	if most <= high && !math.IsInf(high, 1) {
		s.rowUpper[i], changed = math.Inf(1), true
	}
	return changed
}

// single turns a row with one column that is not fixed into bounds on it.
func (s *presolver) single(i, j int, a float64) {
	rest := 0.0 // what the fixed columns give
	columns, entries := s.across.at(i)
	for k, c := range columns {
		if c != j {
			rest += entries[k] * s.lower[c]
		}
	}
	low, high := (s.rowLower[i]-rest)/a, (s.rowUpper[i]-rest)/a
	if a < 0 {
		low, high = high, low
	}
	u := undoRow{row: i, columns: []int{j}, entries: []float64{a}}
	if low > s.lower[j] {
		s.lower[j], u.atLower = low, true
	}
	if high < s.upper[j] {
		s.upper[j], u.atUpper = high, true
	}
	if gap := s.lower[j] - s.upper[j]; gap > 0 {
		if gap > sameBound*(1+math.Abs(s.lower[j])) {
			s.hopeless = true
			return
		}
		s.upper[j] = s.lower[j]
	}
	s.undo = append(s.undo, u)
	s.drop(i)
}

// force fixes the columns of a row that is met only with each of them at the
// bound that makes it the largest (side 1) or least (side -1).
func (s *presolver) force(i int, columns []int, entries []float64, side float64) {
	u := undoRow{row: i, forced: side}
	for k, j := range columns {
		if s.lower[j] == s.upper[j] {
			continue
		}
		u.columns = append(u.columns, j)
		u.entries = append(u.entries, entries[k])
		if side*entries[k] > 0 {
			s.lower[j] = s.upper[j]
		} else {
			s.upper[j] = s.lower[j]
		}
	}
	s.undo = append(s.undo, u)
	s.drop(i)
}

// emptyColumns puts columns that no row is left for where their cost wants
// them, when there is such a place.
func (s *presolver) emptyColumns() {
	curved := make([]bool, len(s.lower))
	if q := s.p.Quadratic; q != nil {
		for j := range q.ColumnCount {
			index, _ := q.Column(j)
			for _, i := range index {
				curved[i], curved[j] = true, true
			}
		}
	}
	for j := range s.lower {
		if curved[j] || s.lower[j] == s.upper[j] {
			continue
		}
		empty := true
		index, _ := s.p.Rows.Column(j)
		for _, i := range index {
			empty = empty && math.IsInf(s.rowLower[i], -1) && math.IsInf(s.rowUpper[i], 1)
		}
		if !empty {
			continue
		}
		at := min(max(0, s.lower[j]), s.upper[j])
		switch c := s.p.Cost[j]; {
		case c > 0:
			at = s.lower[j]
		case c < 0:
			at = s.upper[j]
		}
		if !math.IsInf(at, 0) {
			s.lower[j], s.upper[j] = at, at
		}
	}
}

// restore turns a solution of the core into one of the whole.
func (q *presolved) restore(s *Solution) *Solution {
	s = q.core.restore(s)
	if len(q.undo) == 0 || s.Status == Unbounded {
		return s
	}
	gradient := make([]float64, len(s.X))
	if s.Status != Infeasible {
		copy(gradient, q.whole.Cost)
		q.whole.Quadratic.addMulSym(gradient, 1, s.X)
	}
	y := s.RowDual
	for k := len(q.undo) - 1; k >= 0; k-- {
		u := &q.undo[k]
		need := 0.0
		for t, j := range u.columns {
			z := gradient[j] - q.whole.Rows.columnDot(j, y)
			switch {
			case u.forced > 0:
				need = max(need, z/u.entries[t])
			case u.forced < 0:
				need = min(need, z/u.entries[t])
			case z > 0 && u.atLower, z < 0 && u.atUpper:
				need = z / u.entries[t]
			}
		}
		y[u.row] = need
	}
	return s
}
