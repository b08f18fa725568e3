package solver_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

// reporter is what *testing.T and *rapid.T have in common.
type reporter interface {
	require.TestingT
	Helper()
}

// dense is a problem written out in full, so that the tests below can do
// their sums from the definitions, sharing no code with the engines.
type dense struct {
	*solver.Problem
	a, q [][]float64
}

func writeOut(p *solver.Problem) dense {
	d := dense{p, grid(p.Rows.RowCount, p.Rows.ColumnCount), nil}
	for j := range p.Rows.ColumnCount {
		index, value := p.Rows.Column(j)
		for k, i := range index {
			d.a[i][j] = value[k]
		}
	}
	if p.Quadratic != nil {
		d.q = grid(len(p.Cost), len(p.Cost))
		for j := range p.Cost {
			index, value := p.Quadratic.Column(j)
			for k, i := range index {
				d.q[i][j], d.q[j][i] = value[k], value[k]
			}
		}
	}
	return d
}

func grid(rows, columns int) [][]float64 {
	g := make([][]float64, rows)
	for i := range g {
		g[i] = make([]float64, columns)
	}
	return g
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// rise is Qx.
func (d dense) rise(x []float64) []float64 {
	r := make([]float64, len(x))
	for i := range d.q {
		r[i] = dot(d.q[i], x)
	}
	return r
}

// columnOfDuals is g - A'y.
func (d dense) columnOfDuals(g, y []float64) []float64 {
	z := append([]float64{}, g...)
	for i := range y {
		for j := range z {
			z[j] -= d.a[i][j] * y[i]
		}
	}
	return z
}

// verifyOptimal asserts the conditions of optimality: feasibility,
// stationarity, duals of the right sign with a bound to stand on,
// complementarity, and equal primal and dual objectives. Each fault counts
// relative to the size of what it is a fault of.
func verifyOptimal(t reporter, p *solver.Problem, s *solver.Solution, tolerance float64) {
	t.Helper()
	require.Equal(t, solver.Optimal, s.Status)
	require.Equal(t, solver.Answer, s.Primal)
	require.Equal(t, solver.Answer, s.Dual)
	d := writeOut(p)
	gradient := d.rise(s.X)
	objective := dot(p.Cost, s.X) + dot(gradient, s.X)/2
	largest := 1.0
	for j := range gradient {
		gradient[j] += p.Cost[j]
		largest = max(largest, math.Abs(p.Cost[j]))
	}
	z := d.columnOfDuals(gradient, s.RowDual)
	dual := -dot(d.rise(s.X), s.X) / 2
	size := 1 + math.Abs(objective)
	if d.q != nil { // the interior point weighs its gap against what cancels
		for j, v := range s.X {
			size += math.Abs(p.Cost[j] * v)
			for k, w := range s.X {
				size += math.Abs(d.q[j][k] * v * w)
			}
		}
	}
	member := func(kind string, k int, multiplier, at, lower, upper float64) {
		slackBelow, slackAbove := at-lower, upper-at
		assert.GreaterOrEqualf(t, slackBelow, -tolerance*(1+math.Abs(lower)), "%s %d below its lower bound %g", kind, k, lower)
		assert.GreaterOrEqualf(t, slackAbove, -tolerance*(1+math.Abs(upper)), "%s %d above its upper bound %g", kind, k, upper)
		slack, bound := slackBelow, lower
		if multiplier < 0 {
			slack, bound = slackAbove, upper
		}
		if math.Abs(multiplier) <= tolerance*largest {
			if !math.IsInf(bound, 0) && math.Abs(bound) < 1/tolerance {
				dual += multiplier * bound
			}
			return
		}
		if assert.Falsef(t, math.IsInf(bound, 0), "%s %d has the dual %g and no bound on that side", kind, k, multiplier) {
			dual += multiplier * bound
			if slack <= tolerance/10*(1+math.Abs(bound)) {
				return // at its bound
			}
			assert.LessOrEqualf(t, math.Abs(multiplier)*slack, 10*tolerance*size, "%s %d is %g from its bound %g and has the dual %g", kind, k, slack, bound, multiplier)
		}
	}
	steepest := 0.0 // the sums for z cancel from here
	for i, y := range s.RowDual {
		for _, a := range d.a[i] {
			steepest = max(steepest, math.Abs(a*y))
		}
	}
	for i := range d.a {
		activity := dot(d.a[i], s.X)
		assert.InDelta(t, activity, s.RowActivity[i], 1e-9*(1+math.Abs(activity)))
		member("row", i, s.RowDual[i], activity, p.RowLower[i], p.RowUpper[i])
	}
	for j, v := range s.X {
		assert.InDelta(t, z[j], s.ColumnDual[j], 1e-9*largest+1e-9*math.Abs(z[j])+1e-14*steepest)
		member("column", j, z[j], v, p.Lower[j], p.Upper[j])
	}
	assert.InDelta(t, objective, s.Objective, 1e-9*size)
	assert.InDelta(t, objective, dual, 10*tolerance*size, "primal and dual objective")
}

// verifyFarkas asserts that the row duals prove that no point obeys the
// constraints: with z = -A'y, every x within its bounds and rows within
// theirs makes y'(Ax) + z'x = 0, yet the bounds force it above zero.
func verifyFarkas(t reporter, p *solver.Problem, s *solver.Solution) {
	t.Helper()
	require.Equal(t, solver.Infeasible, s.Status)
	require.Equal(t, solver.InfeasibleRay, s.Dual)
	assert.True(t, math.IsNaN(s.Objective), "an infeasible problem has no objective")
	for j := range p.Lower {
		if p.Lower[j] > p.Upper[j] {
			return
		}
	}
	for i := range p.RowLower {
		if p.RowLower[i] > p.RowUpper[i] {
			return
		}
	}
	d := writeOut(p)
	z := d.columnOfDuals(make([]float64, len(p.Cost)), s.RowDual)
	forced, loose := 0.0, 0.0
	member := func(multiplier, lower, upper float64) {
		bound := lower
		if multiplier < 0 {
			bound = upper
		}
		switch {
		case multiplier == 0:
		case math.IsInf(bound, 0):
			loose = max(loose, math.Abs(multiplier))
		default:
			forced += multiplier * bound
		}
	}
	for i, y := range s.RowDual {
		member(y, p.RowLower[i], p.RowUpper[i])
	}
	for j := range z {
		assert.InDelta(t, z[j], s.ColumnDual[j], 1e-9*(1+math.Abs(z[j])))
		member(z[j], p.Lower[j], p.Upper[j])
	}
	assert.Positive(t, forced, "the bounds force nothing")
	assert.LessOrEqual(t, loose, 1e-7*forced, "a multiplier without a bound")
}

// verifyRay asserts that X is a direction along which every constraint stays
// kept and the cost falls for ever.
func verifyRay(t reporter, p *solver.Problem, s *solver.Solution) {
	t.Helper()
	require.Equal(t, solver.Unbounded, s.Status)
	require.Equal(t, solver.InfeasibleRay, s.Primal)
	d := writeOut(p)
	fall := -dot(p.Cost, s.X)
	require.Positive(t, fall, "the cost does not fall")
	fault := 0.0
	member := func(step, lower, upper float64) {
		if step < 0 && !math.IsInf(lower, -1) || step > 0 && !math.IsInf(upper, 1) {
			fault = max(fault, math.Abs(step))
		}
	}
	for i := range d.a {
		member(dot(d.a[i], s.X), p.RowLower[i], p.RowUpper[i])
	}
	for j, v := range s.X {
		member(v, p.Lower[j], p.Upper[j])
	}
	for _, v := range d.rise(s.X) {
		fault = max(fault, math.Abs(v))
	}
	assert.LessOrEqual(t, fault, 1e-7*fall, "the ray leaves the constraints")
}

func solve(t testing.TB, p *solver.Problem) *solver.Solution {
	t.Helper()
	s, err := solver.Solve(t.Context(), p, solver.Settings{})
	require.NoError(t, err)
	return s
}

// TestFarkasGapRounding: 0.1 + 0.2 - 0.3 is not zero in double precision, and
// times a bound of 1e12 the rest would pass for a proof that x = 1e12, s = 1e11,
// t = 2e11 is no point.
func TestFarkasGapRounding(t *testing.T) {
	var m solver.Model
	m.Column(1, 1e12, 2e12)
	m.Column(0, -inf, inf)
	m.Column(0, -inf, inf)
	m.Row(0, 0, term(0, 0.1), term(1, -1))
	m.Row(0, 0, term(0, 0.2), term(2, -1))
	m.Row(0, 0, term(0, -0.3), term(1, 1), term(2, 1))
	gap, _ := m.Problem().FarkasGap([]float64{-1, -1, -1})
	assert.LessOrEqual(t, gap, 0.0)
}
