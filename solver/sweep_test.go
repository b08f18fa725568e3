package solver_test

import (
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"

	"heapwright/solver"
)

var sweepCount = flag.Int("sweep", 120, "random blending problems to solve beside the referee")
var hardSize = flag.Int("hard", 16, "largest size of the invented hard programs")
var sweepSeed = flag.Uint64("seed", 1, "seed of the sweep")

// referee solves a problem whose columns have finite lower bounds by gonum's
// simplex method, in the standard form that it wants: equations over
// non-negative columns, none of them a combination of the others.
func referee(p *solver.Problem) (objective float64, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = errors.New("the referee panicked")
		}
	}()
	d := writeOut(p)
	var rows [][]float64
	var rhs []float64
	slacks := 0
	type line struct {
		a     []float64
		b     float64
		slack float64
	}
	var lines []line
	for i := range d.a {
		shift := dot(d.a[i], p.Lower)
		low, high := p.RowLower[i]-shift, p.RowUpper[i]-shift
		if low == high {
			lines = append(lines, line{d.a[i], low, 0})
			continue
		}
		if !math.IsInf(low, -1) {
			lines = append(lines, line{d.a[i], low, -1})
		}
		if !math.IsInf(high, 1) {
			lines = append(lines, line{d.a[i], high, 1})
		}
	}
	for j := range p.Cost {
		if !math.IsInf(p.Upper[j], 1) {
			unit := make([]float64, len(p.Cost))
			unit[j] = 1
			lines = append(lines, line{unit, p.Upper[j] - p.Lower[j], 1})
		}
	}
	for _, l := range lines {
		if l.slack != 0 {
			slacks++
		}
	}
	next := len(p.Cost)
	for _, l := range lines {
		a := make([]float64, len(p.Cost)+slacks)
		copy(a, l.a)
		if l.slack != 0 {
			a[next] = l.slack
			next++
		}
		rows = append(rows, a)
		rhs = append(rhs, l.b)
	}
	cost := make([]float64, len(p.Cost)+slacks)
	copy(cost, p.Cost)
	a := mat.NewDense(len(rows), len(cost), nil)
	for i, r := range rows {
		a.SetRow(i, r)
	}
	objective, _, err = lp.Simplex(cost, a, rhs, 1e-10, nil)
	return objective + dot(p.Cost, p.Lower), err
}

// TestSweep solves random blending problems, a third of them degenerate and a
// third infeasible, verifies each answer from its own data, and compares with
// the referee, which is known to fail on degenerate ones now and then; what it
// gets wrong is counted and must stay rare.
func TestSweep(t *testing.T) {
	t.Logf("seed %d", *sweepSeed)
	r := rand.New(rand.NewPCG(*sweepSeed, 0))
	refused, wrong := 0, 0
	for k := range *sweepCount {
		p := blending(r, 3+r.IntN(58), k%3 == 1, k%3 == 2)
		s := solve(t, p)
		if k%3 == 2 {
			verifyFarkas(t, p, s)
		} else {
			verifyOptimal(t, p, s, 1e-8)
		}
		objective, err := referee(p)
		switch {
		case k%3 == 2 && errors.Is(err, lp.ErrInfeasible):
		case k%3 == 2 || err != nil:
			refused++
		case math.Abs(objective-s.Objective) > 1e-7*(1+math.Abs(s.Objective)):
			wrong++
		}
		if t.Failed() {
			t.Fatalf("problem %d of seed %d", k, *sweepSeed)
		}
	}
	t.Logf("%d problems: the referee refused %d and disagreed on %d", *sweepCount, refused, wrong)
	assert.LessOrEqual(t, wrong, *sweepCount/50)
}

// randomProblem draws a small problem of any kind: every mix of bounds, rows
// of every type, repeated rows, and sometimes a quadratic cost.
func randomProblem(t *rapid.T) *solver.Problem {
	number := rapid.Custom(func(t *rapid.T) float64 {
		if rapid.Bool().Draw(t, "zero") {
			return 0
		}
		return float64(rapid.IntRange(-6, 6).Draw(t, "number"))
	})
	bounds := func(name string) (float64, float64) {
		low := number.Draw(t, name)
		switch rapid.IntRange(0, 4).Draw(t, name+" kind") {
		case 1:
			return low, low
		case 2:
			return low, low + float64(rapid.IntRange(0, 6).Draw(t, name+" span"))
		case 3:
			return -inf, low
		}
		return low, inf
	}
	var m solver.Model
	n := rapid.IntRange(1, 8).Draw(t, "columns")
	for range n {
		low, high := bounds("column")
		m.Column(number.Draw(t, "cost"), low, high)
	}
	terms := func() []solver.Term {
		var list []solver.Term
		for j := range n {
			if v := number.Draw(t, "coefficient"); v != 0 {
				list = append(list, term(j, v))
			}
		}
		return list
	}
	for range rapid.IntRange(0, 7).Draw(t, "rows") {
		low, high := bounds("row")
		m.Row(low, high, terms()...)
	}
	for range rapid.IntRange(0, 2).Draw(t, "squares") {
		m.Square(1, terms()...)
	}
	return m.Problem()
}

// TestAnyProblem: whatever the problem, its answer proves itself.
func TestAnyProblem(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := randomProblem(rt)
		s, err := solver.Solve(t.Context(), p, solver.Settings{})
		require.NoError(rt, err)
		verifyAny(rt, p, s)
	})
}

func verifyAny(t reporter, p *solver.Problem, s *solver.Solution) {
	t.Helper()
	switch s.Status {
	case solver.Optimal:
		verifyOptimal(t, p, s, 1e-7)
	case solver.Infeasible:
		verifyFarkas(t, p, s)
	case solver.Unbounded:
		verifyRay(t, p, s)
	default:
		if p.Quadratic != nil && s.Status == solver.Stalled {
			// Two in 10,000 of these, with duals that grow without end, stop
			// short of the tolerance, and say so.
			assert.LessOrEqual(t, s.Residuals.Worst(), 1e-3)
			return
		}
		assert.Fail(t, "no answer", "status %v, residuals %+v", s.Status, s.Residuals)
	}
}
