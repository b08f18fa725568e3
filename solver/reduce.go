package solver

import "math"

// core is a problem without its fixed columns and its rows without bounds,
// and the way back to the whole.
type core struct {
	whole   *Problem
	problem *Problem
	columns []int // of the whole, for each column of the core
	rows    []int
}

// reduce takes out the columns whose bounds are equal, moving their share
// into the rows and costs, and the rows that bound nothing.
func reduce(p *Problem) *core {
	n, m := len(p.Cost), p.Rows.RowCount
	c := &core{whole: p}
	place := make([]int, n)
	for j := range n {
		place[j] = -1
		if p.Lower[j] != p.Upper[j] {
			place[j] = len(c.columns)
			c.columns = append(c.columns, j)
		}
	}
	rowPlace := make([]int, m)
	for i := range m {
		rowPlace[i] = -1
		if !math.IsInf(p.RowLower[i], -1) || !math.IsInf(p.RowUpper[i], 1) {
			rowPlace[i] = len(c.rows)
			c.rows = append(c.rows, i)
		}
	}
	if len(c.columns) == n && len(c.rows) == m {
		c.problem = p
		return c
	}
	fixed := make([]float64, n)
	for j := range n {
		if place[j] < 0 {
			fixed[j] = p.Lower[j]
		}
	}
	shift := p.Activity(fixed)
	curve := make([]float64, n)
	p.Quadratic.addMulSym(curve, 1, fixed)

	q := &Problem{apart: p.apart + p.Objective(fixed)}
	var entries, squares []Entry
	for _, j := range c.columns {
		q.Cost = append(q.Cost, p.Cost[j]+curve[j])
		q.Lower = append(q.Lower, p.Lower[j])
		q.Upper = append(q.Upper, p.Upper[j])
		if p.Integer != nil {
			q.Integer = append(q.Integer, p.Integer[j])
		}
		index, value := p.Rows.Column(j)
		for k, i := range index {
			if rowPlace[i] >= 0 {
				entries = append(entries, Entry{rowPlace[i], place[j], value[k]})
			}
		}
		if p.Quadratic != nil {
			index, value := p.Quadratic.Column(j)
			for k, i := range index {
				if place[i] >= 0 {
					squares = append(squares, Entry{place[i], place[j], value[k]})
				}
			}
		}
	}
	for _, i := range c.rows {
		q.RowLower = append(q.RowLower, p.RowLower[i]-shift[i])
		q.RowUpper = append(q.RowUpper, p.RowUpper[i]-shift[i])
	}
	q.Rows = NewMatrix(len(c.rows), len(c.columns), entries)
	if p.Quadratic != nil {
		q.Quadratic = NewMatrix(len(c.columns), len(c.columns), squares)
	}
	c.problem = q
	return c
}

// restore turns a solution of the core into one of the whole: a fixed column
// gets its value back (none, in a ray), a dropped row the multiplier zero.
func (c *core) restore(s *Solution) *Solution {
	if c.problem == c.whole {
		return s
	}
	x := make([]float64, len(c.whole.Cost))
	if s.Status != Unbounded {
		for j := range x {
			if c.whole.Lower[j] == c.whole.Upper[j] {
				x[j] = c.whole.Lower[j]
			}
		}
	}
	for k, j := range c.columns {
		x[j] = s.X[k]
	}
	y := make([]float64, c.whole.Rows.RowCount)
	for k, i := range c.rows {
		y[i] = s.RowDual[k]
	}
	s.X, s.RowDual = x, y
	return s
}
