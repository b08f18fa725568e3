package solver

import (
	"fmt"
	"math"
)

// Matrix is a sparse matrix in compressed columns: the entries of column j
// are Index[Start[j]:Start[j+1]] (rows, ascending) and Value over the same
// stretch. The zero value is the 0 x 0 matrix.
type Matrix struct {
	RowCount, ColumnCount int
	Start                 []int // ColumnCount+1 offsets
	Index                 []int
	Value                 []float64
}

// Entry is one number of a matrix, by row and column from 0.
type Entry struct {
	Row, Column int
	Value       float64
}

// NewMatrix compresses entries; entries at one place are added up and zeros
// are dropped. It panics when an entry lies outside the matrix: the places
// are the caller's own counting, not anybody's input.
func NewMatrix(rows, columns int, entries []Entry) *Matrix {
	// Two passes of a counting sort: by row, then by column.
	byRow := make([]int, rows+1)
	byColumn := make([]int, columns+1)
	for _, e := range entries {
		if e.Row < 0 || e.Row >= rows || e.Column < 0 || e.Column >= columns {
			panic(fmt.Sprintf("solver: entry (%d, %d) outside a %d x %d matrix", e.Row, e.Column, rows, columns))
		}
		byRow[e.Row+1]++
		byColumn[e.Column+1]++
	}
	for i := range rows {
		byRow[i+1] += byRow[i]
	}
	for j := range columns {
		byColumn[j+1] += byColumn[j]
	}
	order := make([]int, len(entries))
	for k, e := range entries {
		order[byRow[e.Row]] = k
		byRow[e.Row]++
	}
	sorted := make([]int, len(entries))
	for _, k := range order {
		j := entries[k].Column
		sorted[byColumn[j]] = k
		byColumn[j]++
	}
	m := &Matrix{RowCount: rows, ColumnCount: columns, Start: make([]int, columns+1)}
	if len(entries) > 0 {
		m.Index, m.Value = make([]int, 0, len(entries)), make([]float64, 0, len(entries))
	}
	for k := 0; k < len(sorted); {
		e := entries[sorted[k]]
		sum := 0.0
		for ; k < len(sorted); k++ {
			f := entries[sorted[k]]
			if f.Row != e.Row || f.Column != e.Column {
				break
			}
			sum += f.Value
		}
		if sum != 0 {
			m.Index = append(m.Index, e.Row)
			m.Value = append(m.Value, sum)
			m.Start[e.Column+1]++
		}
	}
	for j := range columns {
		m.Start[j+1] += m.Start[j]
	}
	return m
}

// Column returns the rows and values of column j, sharing the matrix's memory.
func (m *Matrix) Column(j int) ([]int, []float64) {
	from, to := m.Start[j], m.Start[j+1]
	return m.Index[from:to], m.Value[from:to]
}

// Entries counts the stored numbers.
func (m *Matrix) Entries() int { return len(m.Value) }

// addMul adds scale*M*x to y.
func (m *Matrix) addMul(y []float64, scale float64, x []float64) {
	for j := range m.ColumnCount {
		if f := scale * x[j]; f != 0 {
			index, value := m.Column(j)
			for k, i := range index {
				y[i] += f * value[k]
			}
		}
	}
}

// addMulT adds scale*M'*y to x.
func (m *Matrix) addMulT(x []float64, scale float64, y []float64) {
	for j := range m.ColumnCount {
		x[j] += scale * m.columnDot(j, y)
	}
}

// columnDot is the inner product of column j with y.
func (m *Matrix) columnDot(j int, y []float64) float64 {
	index, value := m.Column(j)
	sum := 0.0
	for k, i := range index {
		sum += value[k] * y[i]
	}
	return sum
}

// addMulSym adds scale*S*x to y, where m holds the upper triangle of the
// symmetric matrix S. A nil matrix is zero.
func (m *Matrix) addMulSym(y []float64, scale float64, x []float64) {
	if m == nil {
		return
	}
	for j := range m.ColumnCount {
		index, value := m.Column(j)
		for k, i := range index {
			y[i] += scale * value[k] * x[j]
			if i != j {
				y[j] += scale * value[k] * x[i]
			}
		}
	}
}

// finite reports the first entry that is nan or infinite.
func (m *Matrix) finite() (Entry, bool) {
	for j := range m.ColumnCount {
		index, value := m.Column(j)
		for k, i := range index {
			if math.IsNaN(value[k]) || math.IsInf(value[k], 0) {
				return Entry{i, j, value[k]}, false
			}
		}
	}
	return Entry{}, true
}

// fault says what is wrong with the layout of a matrix; "" if nothing.
func (m *Matrix) fault() string {
	last := len(m.Start) - 1
	switch {
	case m.RowCount < 0 || m.ColumnCount < 0:
		return "has a negative size"
	case last != m.ColumnCount && !(last == -1 && m.ColumnCount == 0):
		return fmt.Sprintf("has %d offsets for %d columns", len(m.Start), m.ColumnCount)
	case len(m.Index) != len(m.Value):
		return fmt.Sprintf("has %d row numbers for %d values", len(m.Index), len(m.Value))
	case last >= 0 && (m.Start[0] != 0 || m.Start[last] != len(m.Value)):
		return "has offsets that do not span its values"
	}
	for j := range m.ColumnCount {
		if m.Start[j+1] < m.Start[j] {
			return fmt.Sprintf("has offsets that fall at column %d", j)
		}
		before := -1
		for _, i := range m.Index[m.Start[j]:m.Start[j+1]] {
			if i <= before || i >= m.RowCount {
				return fmt.Sprintf("has rows out of order or out of range in column %d", j)
			}
			before = i
		}
	}
	return ""
}
