package solver_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

// TestMalformedMatrix: a matrix laid out by hand may be anything, and is refused
// with its fault, never by a panic.
func TestMalformedMatrix(t *testing.T) {
	for name, m := range map[string]*solver.Matrix{
		"no offsets":       {RowCount: 1, ColumnCount: 1},
		"offsets fall":     {RowCount: 1, ColumnCount: 2, Start: []int{0, 1, 0}, Index: []int{0}, Value: []float64{1}},
		"short of values":  {RowCount: 1, ColumnCount: 1, Start: []int{0, 2}, Index: []int{0}, Value: []float64{1}},
		"row out of range": {RowCount: 1, ColumnCount: 1, Start: []int{0, 1}, Index: []int{3}, Value: []float64{1}},
		"rows descend":     {RowCount: 2, ColumnCount: 1, Start: []int{0, 2}, Index: []int{1, 0}, Value: []float64{1, 1}},
		"negative":         {RowCount: -1, ColumnCount: 0},
	} {
		n := max(m.ColumnCount, 0)
		rows := max(m.RowCount, 0)
		p := &solver.Problem{
			Cost: make([]float64, n), Lower: make([]float64, n), Upper: make([]float64, n),
			RowLower: make([]float64, rows), RowUpper: make([]float64, rows), Rows: m,
		}
		_, err := solver.Solve(t.Context(), p, solver.Settings{})
		fault := &solver.ProblemError{}
		require.ErrorAs(t, err, &fault, name)
		assert.Equal(t, "Rows", fault.Part, name)
	}
}

// TestConcaveSquare: no weight can make a square concave.
func TestConcaveSquare(t *testing.T) {
	m := &solver.Model{}
	x := m.Column(0, 0, 1)
	assert.Panics(t, func() { m.Square(-1, solver.Term{Column: x, Coefficient: 1}) })
}

// TestCutShortHasNoPoint: a search that was cut short before it had a point has
// none to show, whatever its last relaxation was at.
func TestCutShortHasNoPoint(t *testing.T) {
	m := &solver.Model{}
	x, y := m.Column(-1, 0, 10), m.Column(-1, 0, 10)
	m.Integer(x)
	m.Integer(y)
	m.Row(15, 15, solver.Term{Column: x, Coefficient: 1})
	m.Row(0, 3, solver.Term{Column: x, Coefficient: 1}, solver.Term{Column: y, Coefficient: -2})
	m.Row(1, 4, solver.Term{Column: x, Coefficient: -1}, solver.Term{Column: y, Coefficient: 3})
	for iterations := range 6 {
		s, err := solver.Solve(t.Context(), m.Problem(), solver.Settings{Iterations: iterations + 1})
		require.NoError(t, err)
		assert.NotEqual(t, solver.Answer, s.Primal, "%d iterations: %v", iterations+1, s.X)
	}
}
