package solver_test

import (
	"context"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

// TestLimits: whatever cuts a solve short, the best iterate comes back with
// the reason, on a problem for the simplex methods, on one for the interior
// point, and on a quadratic one.
func TestLimits(t *testing.T) {
	season := seasonPlan(rand.New(rand.NewPCG(1, 1)), 26, 16)
	curved := *season
	entries := make([]solver.Entry, len(season.Cost))
	for j := range entries {
		entries[j] = solver.Entry{Row: j, Column: j, Value: 1e-4}
	}
	curved.Quadratic = solver.NewMatrix(len(entries), len(entries), entries)
	cancelled, cancel := context.WithCancel(t.Context())
	cancel()
	for name, p := range map[string]*solver.Problem{
		"pivots": blending(rand.New(rand.NewPCG(1, 1)), 40, false, false), "steps": season, "quadratic": &curved,
	} {
		for _, c := range []struct {
			name     string
			ctx      context.Context
			settings solver.Settings
		}{
			{"cancelled", cancelled, solver.Settings{}},
			{"time", t.Context(), solver.Settings{Time: time.Nanosecond}},
			{"iterations", t.Context(), solver.Settings{Iterations: 1}},
		} {
			t.Run(name+" "+c.name, func(t *testing.T) {
				s, err := solver.Solve(c.ctx, p, c.settings)
				require.NoError(t, err)
				assert.Equal(t, solver.LimitHit, s.Status)
				assert.Equal(t, solver.NearestSoFar, s.Primal)
				require.Len(t, s.X, len(p.Cost))
				require.Len(t, s.RowDual, p.Rows.RowCount)
				for _, v := range s.X {
					require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
				}
				assert.LessOrEqual(t, s.Iterations, 1)
				assert.InDelta(t, dot(p.Cost, s.X)+dot(writeOut(p).rise(s.X), s.X)/2, s.Objective, 1e-6*(1+abs(s.Objective)))
			})
		}
	}
}

// TestRefusals: what cannot be understood is an error that names the place.
func TestRefusals(t *testing.T) {
	nan := math.NaN()
	good := func() *solver.Problem {
		var m solver.Model
		m.Column(1, 0, 5)
		m.Column(2, 0, inf)
		m.Row(1, 4, term(0, 1), term(1, 2))
		m.Square(1, term(0, 1), term(1, 1))
		return m.Problem()
	}
	for _, c := range []struct {
		says  string
		spoil func(p *solver.Problem, s *solver.Settings)
	}{
		{"solver: Cost[1] is not a number", func(p *solver.Problem, _ *solver.Settings) { p.Cost[1] = nan }},
		{"solver: Cost[0] is +Inf", func(p *solver.Problem, _ *solver.Settings) { p.Cost[0] = inf }},
		{"solver: Lower[0] is +Inf", func(p *solver.Problem, _ *solver.Settings) { p.Lower[0] = inf }},
		{"solver: Upper[1] is -Inf", func(p *solver.Problem, _ *solver.Settings) { p.Upper[1] = -inf }},
		{"solver: RowLower[0] is not a number", func(p *solver.Problem, _ *solver.Settings) { p.RowLower[0] = nan }},
		{"solver: RowUpper has length 2, not 1", func(p *solver.Problem, _ *solver.Settings) { p.RowUpper = []float64{1, 2} }},
		{"solver: Rows[1] has NaN in row 0", func(p *solver.Problem, _ *solver.Settings) { p.Rows.Value[1] = nan }},
		{"solver: Rows is nil; an empty matrix has zero rows", func(p *solver.Problem, _ *solver.Settings) { p.Rows = nil }},
		{"solver: Quadratic[1] has +Inf in row 1", func(p *solver.Problem, _ *solver.Settings) { p.Quadratic.Value[2] = inf }},
		{"solver: Quadratic[0] has a negative diagonal, so the cost is not convex", func(p *solver.Problem, _ *solver.Settings) { p.Quadratic.Value[0] = -1 }},
		{"solver: Integer has length 1, not 2", func(p *solver.Problem, _ *solver.Settings) { p.Integer = []bool{true} }},
		{"solver: Settings.Tolerance is outside 1e-12 to 1e-3", func(_ *solver.Problem, s *solver.Settings) { s.Tolerance = 1 }},
		{"solver: Settings.Time is negative", func(_ *solver.Problem, s *solver.Settings) { s.Time = -1 }},
		{"solver: Settings.Gap is not a number from 0", func(_ *solver.Problem, s *solver.Settings) { s.Gap = nan }},
		{"solver: Settings.Nodes is negative", func(_ *solver.Problem, s *solver.Settings) { s.Nodes = -1 }},
		{"solver: Settings.Iterations is negative", func(_ *solver.Problem, s *solver.Settings) { s.Iterations = -1 }},
	} {
		t.Run(c.says, func(t *testing.T) {
			p, s := good(), solver.Settings{}
			c.spoil(p, &s)
			_, err := solver.Solve(t.Context(), p, s)
			var wrong *solver.ProblemError
			require.ErrorAs(t, err, &wrong)
			assert.EqualError(t, err, c.says)
		})
	}
}

// FuzzSolve reads a problem from bytes, any finite numbers in it, and asks for
// an answer that is one: no panic, and nothing called optimal that is not.
func FuzzSolve(f *testing.F) {
	f.Add([]byte{2, 1, 0})
	f.Add([]byte{3, 2, 7, 0, 0, 0, 0, 0, 0, 0xf0, 0x3f, 1, 2, 3, 4, 5, 6, 7, 8, 9})
	f.Add([]byte{4, 4, 255, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xef, 0x7f, 0, 0, 0, 0, 0, 0, 0, 0x80})
	f.Fuzz(func(t *testing.T, data []byte) {
		next := func() byte {
			if len(data) == 0 {
				return 0
			}
			b := data[0]
			data = data[1:]
			return b
		}
		number := func() float64 {
			kind := next()
			if kind%4 != 0 || len(data) < 8 {
				return float64(int8(kind)) / 4
			}
			v := math.Float64frombits(binary.LittleEndian.Uint64(data))
			data = data[8:]
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return 0
			}
			return v
		}
		bounds := func() (float64, float64) {
			switch next() % 5 {
			case 0:
				return -inf, number()
			case 1:
				return number(), inf
			case 2:
				v := number()
				return v, v
			case 3:
				return -inf, inf
			}
			return number(), number()
		}
		var m solver.Model
		n, rows := 1+int(next()%5), int(next()%5)
		options := next()
		for range n {
			low, high := bounds()
			j := m.Column(number(), low, high)
			if options&1 != 0 && next()%2 == 0 {
				m.Integer(j)
			}
		}
		for range rows {
			low, high := bounds()
			var terms []solver.Term
			for j := range n {
				terms = append(terms, term(j, number()))
			}
			m.Row(low, high, terms...)
		}
		if options&6 == 6 {
			m.Square(1, term(0, float64(next())), term(n-1, float64(next())))
		}
		began := time.Now()
		s, err := solver.Solve(t.Context(), m.Problem(), solver.Settings{Time: time.Second, Nodes: 100})
		require.Less(t, time.Since(began), 5*time.Second)
		if err != nil {
			var wrong *solver.ProblemError
			require.ErrorAs(t, err, &wrong) // entries that add up to infinity
			return
		}
		require.NotEqual(t, "unsolved", s.Status.String())
		if s.Status == solver.Optimal {
			require.LessOrEqual(t, s.Residuals.Primal, 1e-6)
		}
	})
}
