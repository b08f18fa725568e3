package solver

import (
	"fmt"
	"math"
	"slices"
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
	sorted := slices.Clone(entries)
	slices.SortStableFunc(sorted, func(a, b Entry) int {
		if a.Column != b.Column {
			return a.Column - b.Column
		}
		return a.Row - b.Row
	})
	m := &Matrix{RowCount: rows, ColumnCount: columns, Start: make([]int, columns+1)}
	for k := 0; k < len(sorted); {
		e := sorted[k]
		if e.Row < 0 || e.Row >= rows || e.Column < 0 || e.Column >= columns {
			panic(fmt.Sprintf("solver: entry (%d, %d) outside a %d x %d matrix", e.Row, e.Column, rows, columns))
		}
		sum := 0.0
		for ; k < len(sorted) && sorted[k].Row == e.Row && sorted[k].Column == e.Column; k++ {
			sum += sorted[k].Value
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
