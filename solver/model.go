package solver

import (
	"fmt"
	"math"
)

// Inf returns positive infinity: an absent upper bound; -Inf() an absent
// lower one.
func Inf() float64 { return math.Inf(1) }

// Model collects a problem column by column and row by row. The zero value
// is an empty model.
type Model struct {
	cost, lower, upper []float64
	rowLower, rowUpper []float64
	entries, quadratic []Entry
	integer            map[int]bool
}

// Term is a coefficient on a column.
type Term struct {
	Column      int
	Coefficient float64
}

// Column adds a column with cost c and bounds lower <= x <= upper, and
// returns its number.
func (m *Model) Column(c, lower, upper float64) int {
	m.cost = append(m.cost, c)
	m.lower = append(m.lower, lower)
	m.upper = append(m.upper, upper)
	return len(m.cost) - 1
}

// Integer asks for whole numbers in column j.
func (m *Model) Integer(j int) {
	if m.integer == nil {
		m.integer = map[int]bool{}
	}
	m.integer[j] = true
}

// Row adds lower <= sum of the terms <= upper and returns its number. Terms
// on one column are added up.
func (m *Model) Row(lower, upper float64, terms ...Term) int {
	i := len(m.rowLower)
	for _, t := range terms {
		m.entries = append(m.entries, Entry{i, t.Column, t.Coefficient})
	}
	m.rowLower = append(m.rowLower, lower)
	m.rowUpper = append(m.rowUpper, upper)
	return i
}

// Square adds weight/2 * (sum of the terms)^2 to the cost. It panics on a
// negative weight, which would make the cost concave: weights are the caller's
// own choice, not anybody's input.
func (m *Model) Square(weight float64, terms ...Term) {
	if weight < 0 {
		panic(fmt.Sprintf("solver: a square of weight %g is not convex", weight))
	}
	for _, s := range terms {
		for _, t := range terms {
			if s.Column <= t.Column {
				m.quadratic = append(m.quadratic, Entry{s.Column, t.Column, weight * s.Coefficient * t.Coefficient})
			}
		}
	}
}

// SetCost replaces the cost of column j.
func (m *Model) SetCost(j int, c float64) { m.cost[j] = c }

// Columns is the number of columns.
func (m *Model) Columns() int { return len(m.cost) }

// Upper is the upper bound of column j.
func (m *Model) Upper(j int) float64 { return m.upper[j] }

// SetUpper replaces the upper bound of column j.
func (m *Model) SetUpper(j int, upper float64) { m.upper[j] = upper }

// Problem returns the problem collected so far; the model may grow on.
func (m *Model) Problem() *Problem {
	n, rows := len(m.cost), len(m.rowLower)
	p := &Problem{
		Cost:     append([]float64{}, m.cost...),
		Rows:     NewMatrix(rows, n, m.entries),
		Lower:    append([]float64{}, m.lower...),
		Upper:    append([]float64{}, m.upper...),
		RowLower: append([]float64{}, m.rowLower...),
		RowUpper: append([]float64{}, m.rowUpper...),
	}
	if len(m.integer) > 0 {
		p.Integer = make([]bool, n)
		for j := range m.integer {
			p.Integer[j] = true
		}
	}
	if len(m.quadratic) > 0 {
		p.Quadratic = NewMatrix(n, n, m.quadratic)
	}
	return p
}
