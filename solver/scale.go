package solver

import (
	"math"
	"slices"
)

// scaling holds the factors by which a problem is brought to entries near 1
// before it is solved: row i is multiplied by row[i], column j by column[j],
// the cost by cost, and all bounds by bound. They are powers of two, so that
// scaling and unscaling round nothing.
type scaling struct {
	row, column []float64
	cost, bound float64
}

// scalePasses of dividing each row and column by the square root of its
// largest entry bring all of them close to 1 (Ruiz 2001, "A scaling algorithm
// to equilibrate both rows and columns norms in matrices", from memory).
const scalePasses = 8

// scale brings the entries of the matrices near 1. For the interior point,
// inward, the largest cost and bound go to 1 as well; for the simplex methods,
// whose tolerances are absolute, the median cost does.
func scale(p *Problem, inward bool) (*Problem, scaling) {
	m, n := p.Rows.RowCount, p.Rows.ColumnCount
	s := scaling{row: ones(m), column: ones(n), cost: 1, bound: 1}
	rowMax, columnMax := make([]float64, m), make([]float64, n)
	for range scalePasses {
		clear(rowMax)
		clear(columnMax)
		worst := 0.0
		for j := range n {
			index, value := p.Rows.Column(j)
			for k, i := range index {
				v := math.Abs(value[k]) * s.row[i] * s.column[j]
				rowMax[i] = max(rowMax[i], v)
				columnMax[j] = max(columnMax[j], v)
			}
			if p.Quadratic != nil {
				index, value := p.Quadratic.Column(j)
				for k, i := range index {
					v := math.Abs(value[k]) * s.column[i] * s.column[j]
					columnMax[i] = max(columnMax[i], v)
					columnMax[j] = max(columnMax[j], v)
				}
			}
		}
		for i, v := range rowMax {
			if v > 0 {
				s.row[i] *= powerOfTwo(1 / math.Sqrt(v))
				worst = max(worst, math.Abs(1-v))
			}
		}
		for j, v := range columnMax {
			if v > 0 {
				s.column[j] *= powerOfTwo(1 / math.Sqrt(v))
				worst = max(worst, math.Abs(1-v))
			}
		}
		if worst < 0.5 {
			break
		}
	}
	q := &Problem{
		Cost: make([]float64, n), Lower: make([]float64, n), Upper: make([]float64, n),
		RowLower: make([]float64, m), RowUpper: make([]float64, m),
		Rows: scaledMatrix(p.Rows, s.row, s.column),
	}
	if p.Quadratic != nil {
		q.Quadratic = scaledMatrix(p.Quadratic, s.column, s.column)
	}
	largestCost, largestBound := 0.0, 0.0
	for j := range n {
		q.Cost[j] = p.Cost[j] * s.column[j]
		q.Lower[j], q.Upper[j] = p.Lower[j]/s.column[j], p.Upper[j]/s.column[j]
		largestCost = max(largestCost, math.Abs(q.Cost[j]))
		largestBound = max(largestBound, finiteSize(q.Lower[j]), finiteSize(q.Upper[j]))
	}
	for i := range m {
		q.RowLower[i], q.RowUpper[i] = p.RowLower[i]*s.row[i], p.RowUpper[i]*s.row[i]
		largestBound = max(largestBound, finiteSize(q.RowLower[i]), finiteSize(q.RowUpper[i]))
	}
	switch typical := medianSize(q.Cost); {
	case inward && largestCost > 0:
		s.cost = powerOfTwo(1 / largestCost)
	case typical > 0:
		s.cost = powerOfTwo(1 / typical)
	}
	if largestBound > 0 && inward {
		s.bound = powerOfTwo(1 / largestBound)
	}
	for j := range n {
		q.Cost[j] *= s.cost
		q.Lower[j] *= s.bound
		q.Upper[j] *= s.bound
	}
	for i := range m {
		q.RowLower[i] *= s.bound
		q.RowUpper[i] *= s.bound
	}
	if q.Quadratic != nil {
		// 1/2 x'Qx with x = xs/bound, times cost: Q takes cost/bound, and c
		// takes cost, both over the common factor 1/bound.
		for k := range q.Quadratic.Value {
			q.Quadratic.Value[k] *= s.cost / s.bound
		}
	}
	return q, s
}

// unscale turns a primal and row-dual pair of the scaled problem back, in place.
func (s *scaling) unscale(x, y []float64) {
	for j := range x {
		x[j] *= s.column[j] / s.bound
	}
	for i := range y {
		y[i] *= s.row[i] / s.cost
	}
}

func scaledMatrix(m *Matrix, row, column []float64) *Matrix {
	c := *m
	c.Value = make([]float64, len(m.Value))
	for j := range m.ColumnCount {
		for k := m.Start[j]; k < m.Start[j+1]; k++ {
			c.Value[k] = m.Value[k] * row[m.Index[k]] * column[j]
		}
	}
	return &c
}

func ones(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = 1
	}
	return v
}

// powerOfTwo rounds a positive number to one.
func powerOfTwo(v float64) float64 {
	_, e := math.Frexp(v)
	return math.Ldexp(1, e-1)
}

// medianSize is the median of the sizes of the entries that are not zero.
func medianSize(v []float64) float64 {
	var sizes []float64
	for _, x := range v {
		if x != 0 {
			sizes = append(sizes, math.Abs(x))
		}
	}
	if len(sizes) == 0 {
		return 0
	}
	slices.Sort(sizes)
	return sizes[len(sizes)/2]
}

func finiteSize(v float64) float64 {
	if math.IsInf(v, 0) {
		return 0
	}
	return math.Abs(v)
}
