package solver_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

// TestSearchIterations: the limit holds for the search as a whole, whichever
// engine serves it.
func TestSearchIterations(t *testing.T) {
	linear, curved := knapsack(), knapsack()
	entries := make([]solver.Entry, len(curved.Cost))
	for j := range entries {
		entries[j] = solver.Entry{Row: j, Column: j, Value: 1}
	}
	curved.Quadratic = solver.NewMatrix(len(entries), len(entries), entries)
	for name, p := range map[string]*solver.Problem{"linear": linear, "quadratic": curved} {
		for _, limit := range []int{1, 5, 40} {
			// The time is there for the test to fail rather than to hang.
			s, err := solver.Solve(t.Context(), p, solver.Settings{Iterations: limit, Time: 3 * time.Second})
			require.NoError(t, err)
			assert.Equal(t, solver.LimitHit, s.Status, "%s %d", name, limit)
			assert.LessOrEqual(t, s.Iterations, limit, "%s %d", name, limit)
			assert.Positive(t, s.Iterations, "%s %d", name, limit)
		}
	}
}

// TestSearchCutShortBound: nothing is proved of a problem whose root was not
// solved, nor has it an answer.
func TestSearchCutShortBound(t *testing.T) {
	s, err := solver.Solve(t.Context(), knapsack(), solver.Settings{Iterations: 1})
	require.NoError(t, err)
	assert.Equal(t, solver.NoVector, s.Primal)
	assert.Equal(t, solver.NoVector, s.Dual)
	assert.Equal(t, math.Inf(-1), s.Bound)
	assert.True(t, math.IsNaN(s.Objective))
}

// TestSearchCancelledAtPoint: a search cut short at its first point has that
// point, but no duals to call an answer.
func TestSearchCancelledAtPoint(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	s, err := solver.Solve(ctx, knapsack(), solver.Settings{Progress: func(p solver.Progress) {
		if !math.IsInf(p.Cost, 1) {
			cancel()
		}
	}})
	require.NoError(t, err)
	require.Equal(t, solver.LimitHit, s.Status)
	require.Equal(t, solver.Answer, s.Primal)
	assert.Equal(t, solver.NoVector, s.Dual)
	assert.True(t, math.IsNaN(s.DualObjective))
	assert.LessOrEqual(t, s.Bound, s.Objective)
}

// TestProgressBound: no point costs less than the bound that is told, while
// the root, which rounds to a point of cost 2, is still being searched; the
// least cost is 1.6, at (1, 1).
func TestProgressBound(t *testing.T) {
	var m solver.Model
	for _, c := range []float64{1, 0.6} {
		m.Integer(m.Column(c, 0, 10))
	}
	m.Row(3, inf, term(0, 2), term(1, 1))
	told := 0
	s, err := solver.Solve(t.Context(), m.Problem(), solver.Settings{Progress: func(p solver.Progress) {
		told++
		assert.LessOrEqual(t, p.Bound, 1.6+1e-9)
	}})
	require.NoError(t, err)
	assert.Positive(t, told)
	assert.InDelta(t, 1.6, s.Objective, 1e-9)
}

// TestProgressFromStart: a start proves nothing of what other points cost.
func TestProgressFromStart(t *testing.T) {
	var m solver.Model
	for _, c := range []float64{1, 0.6} {
		m.Integer(m.Column(c, 0, 10))
	}
	m.Row(3, inf, term(0, 2), term(1, 1))
	told := 0
	_, err := solver.Solve(t.Context(), m.Problem(), solver.Settings{Start: []float64{10, 10}, Progress: func(p solver.Progress) {
		told++
		assert.LessOrEqual(t, p.Bound, 1.6+1e-9)
	}})
	require.NoError(t, err)
	assert.Positive(t, told)
}

// TestSearchNodes: the limit holds from the root on, through the dive for
// points and the rounds of cuts.
func TestSearchNodes(t *testing.T) {
	p := lots(rand.New(rand.NewPCG(31, 9)), 24)
	for _, limit := range []int{1, 2, 3, 10, 61, 62, 70, 200} {
		s, err := solver.Solve(t.Context(), p, solver.Settings{Nodes: limit})
		require.NoError(t, err)
		assert.Equal(t, solver.LimitHit, s.Status)
		assert.Equal(t, limit, s.Nodes)
	}
}

// TestWholeNumbersFailBesideRay: no whole number lies in the bounds of the one
// column, so that the cost which the other lowers for ever is no matter.
func TestWholeNumbersFailBesideRay(t *testing.T) {
	var m solver.Model
	m.Integer(m.Column(1, 0.25, 0.75))
	m.Column(-1, 0, inf)
	s := solve(t, m.Problem())
	assert.Equal(t, solver.Infeasible, s.Status)
	assert.Equal(t, solver.NoVector, s.Primal)
	assert.Equal(t, solver.NoVector, s.Dual)
}

// TestFaintPivot: the only entry that can meet the second row is too faint to
// pivot on, which proves nothing: x = (1, 1e10, 1e10) is a point.
func TestFaintPivot(t *testing.T) {
	var m solver.Model
	m.Integer(m.Column(1, 0, 1))
	m.Column(1, 0, 1e11)
	m.Column(1, 0, 1e11)
	m.Row(0, 0, term(1, 1), term(2, -1))
	m.Row(2, inf, term(0, 1), term(1, 1e-10))
	s := solve(t, m.Problem())
	assert.NotEqual(t, solver.Infeasible, s.Status)
	if s.Status == solver.Optimal {
		assert.InEpsilon(t, 2e10, s.Objective, 1e-6)
	}
}
