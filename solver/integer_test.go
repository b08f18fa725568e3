package solver_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/solver"
)

// enumerate tries every whole value of the integer columns, which must be
// bounded, and solves for the others.
func enumerate(t require.TestingT, p *solver.Problem) float64 {
	held := *p
	held.Integer = nil
	held.Lower, held.Upper = append([]float64{}, p.Lower...), append([]float64{}, p.Upper...)
	best := math.Inf(1)
	var try func(j int)
	try = func(j int) {
		for ; j < len(p.Cost) && !p.Integer[j]; j++ {
		}
		if j == len(p.Cost) {
			s, err := solver.Solve(context.Background(), &held, solver.Settings{})
			require.NoError(t, err)
			if s.Status == solver.Optimal {
				best = min(best, s.Objective)
			} else {
				require.Equal(t, solver.Infeasible, s.Status)
			}
			return
		}
		for v := math.Ceil(p.Lower[j]); v <= p.Upper[j]; v++ {
			held.Lower[j], held.Upper[j] = v, v
			try(j + 1)
		}
	}
	try(0)
	return best
}

// TestIntegerEnumeration holds the search against full enumeration.
func TestIntegerEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m solver.Model
		number := rapid.IntRange(-6, 6)
		n := rapid.IntRange(1, 4).Draw(t, "integer columns")
		for j := range n {
			low := number.Draw(t, "lower")
			m.Column(float64(number.Draw(t, "cost")), float64(low), float64(low+rapid.IntRange(0, 4).Draw(t, "span"))+0.5*float64(rapid.IntRange(0, 1).Draw(t, "half")))
			m.Integer(j)
		}
		extra := rapid.IntRange(0, 2).Draw(t, "other columns")
		for range extra {
			m.Column(float64(number.Draw(t, "cost")), 0, 3)
		}
		terms := func() (list []solver.Term) {
			for j := range n + extra {
				if v := number.Draw(t, "coefficient"); v != 0 {
					list = append(list, term(j, float64(v)+0.1*float64(v*v)))
				}
			}
			return list
		}
		for range rapid.IntRange(0, 4).Draw(t, "rows") {
			low := float64(rapid.IntRange(-12, 12).Draw(t, "row"))
			m.Row(low, low+float64(rapid.IntRange(0, 8).Draw(t, "row span")), terms()...)
		}
		if rapid.IntRange(0, 3).Draw(t, "quadratic") == 0 {
			m.Square(1, terms()...)
		}
		p := m.Problem()
		s, err := solver.Solve(context.Background(), p, solver.Settings{})
		require.NoError(t, err)
		want := enumerate(t, p)
		if math.IsInf(want, 1) {
			require.Equal(t, solver.Infeasible, s.Status)
			return
		}
		require.Equal(t, solver.Optimal, s.Status)
		require.Equal(t, solver.Answer, s.Primal)
		tolerance := 1e-7
		if p.Quadratic == nil {
			tolerance = 1e-8
		}
		require.InDelta(t, want, s.Objective, tolerance*(1+math.Abs(want)))
		require.InDelta(t, want, s.Bound, tolerance*(1+math.Abs(want)))
		d := writeOut(p)
		for j, v := range s.X {
			require.True(t, v >= p.Lower[j]-1e-8 && v <= p.Upper[j]+1e-8)
			if p.Integer[j] {
				require.Zero(t, v-math.Round(v))
			}
		}
		for i := range d.a {
			a := dot(d.a[i], s.X)
			require.True(t, a >= p.RowLower[i]-1e-7 && a <= p.RowUpper[i]+1e-7)
		}
	})
}

// TestIntegerRounding keeps two random failures: whole numbers that leave a
// single point, off its bound by the last digit of a sum, and a cost most of
// which the held columns cancel.
func TestIntegerRounding(t *testing.T) {
	var point solver.Model
	point.Column(0, 0, 2)
	point.Integer(0)
	point.Column(0, 0, 3)
	point.Row(-12, -12, term(0, -2.4), term(1, -4+1.6))
	point.Square(1, term(0, -0.9), term(1, -3+0.1*9))

	var cancels solver.Model
	for j, c := range []struct{ cost, low, high float64 }{{-4, 0, 2}, {-3, 1, 3}, {4, -3, -3}, {3, 5, 5}} {
		cancels.Column(c.cost, c.low, c.high)
		cancels.Integer(j)
	}
	cancels.Column(0, 0, 3)
	cancels.Column(4, 0, 3)
	var terms []solver.Term
	for j, v := range []float64{-0.9, 0, 5.6, -2.4, -0.9, 9.6} {
		terms = append(terms, term(j, v))
	}
	cancels.Square(1, terms...)
	for name, p := range map[string]*solver.Problem{"a single point": point.Problem(), "a cost that cancels": cancels.Problem()} {
		s := solve(t, p)
		require.Equal(t, solver.Optimal, s.Status, name)
		assert.InDelta(t, enumerate(t, p), s.Objective, 1e-7, name)
	}
}

// wholeMeasures invents the choice of whole sacks and barrows: how many of
// each, so that the mix stands in its ranges of C:N and moisture and fills at
// least a part of the bay. Nearest asks for the mix nearest to the aims, the
// distance being the worse of the two, 1 at the edge of its range; else the
// cheapest is wanted.
func wholeMeasures(r *rand.Rand, materials int, nearest bool) *solver.Problem {
	const (
		aim, reach       = 30.0, 5.0
		moisture, spread = 0.55, 0.05
	)
	var m solver.Model
	distance := m.Column(1, 0, 1)
	if !nearest {
		m.SetCost(distance, 0)
	}
	water := m.Column(0, 0, 400)
	wet := []solver.Term{term(water, 1-moisture)}
	var balance, volume []solver.Term
	carbon, mass, room := 0.0, 0.0, 0.0
	for k := range materials {
		most := float64(2 + r.IntN(12))
		price := 0.0
		if !nearest {
			price = 0.5 + 4*r.Float64()
		}
		j := m.Column(price, 0, most)
		m.Integer(j)
		heavy := 5 + 40*r.Float64()
		share := 10 + 10*r.Float64()
		if k%2 == 1 {
			share = 40 + 150*r.Float64()
		}
		moist := 0.1 + 0.7*r.Float64()
		c := 0.35 + 0.15*r.Float64()
		balance = append(balance, term(j, heavy*(1-moist)*(c-aim*c/share)))
		wet = append(wet, term(j, heavy*(moist-moisture)))
		fill := []float64{0.085, 0.11}[k%2]
		volume = append(volume, term(j, fill))
		carbon += heavy * (1 - moist) * c / share * most / 2
		mass += heavy * most / 2
		room += fill * most
	}
	m.Row(-inf, 0, append(balance[:len(balance):len(balance)], term(distance, -reach*carbon))...)
	m.Row(0, inf, append(balance[:len(balance):len(balance)], term(distance, reach*carbon))...)
	m.Row(-inf, 0, append(wet[:len(wet):len(wet)], term(distance, -spread*mass))...)
	m.Row(0, inf, append(wet[:len(wet):len(wet)], term(distance, spread*mass))...)
	m.Row(0.4*room, 0.6*room, volume...)
	return m.Problem()
}

// nearEnough is a distance from the aim that nobody could measure.
const nearEnough = 0.002

// TestWholeMeasures finds whole measures nearest to the aim and cheapest, the
// first to a distance that does not matter, and compares the second with
// glpsol's where that is installed.
func TestWholeMeasures(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 0))
	for k := range 20 {
		p := wholeMeasures(r, 12, true)
		s, err := solver.Solve(t.Context(), p, solver.Settings{AbsoluteGap: nearEnough})
		require.NoError(t, err)
		require.Equal(t, solver.Optimal, s.Status)
		assert.LessOrEqual(t, s.Objective-s.Bound, nearEnough)
		p = wholeMeasures(r, 12, false)
		s = solve(t, p)
		require.Equal(t, solver.Optimal, s.Status)
		if k < 5 {
			assertSameAsGLPK(t, p, s)
		}
	}
}

// TestIntegerLimits: a search cut short gives its best point and says so.
func TestIntegerLimits(t *testing.T) {
	p := knapsack()
	full := solve(t, p)
	require.Equal(t, solver.Optimal, full.Status)
	s, err := solver.Solve(t.Context(), p, solver.Settings{Nodes: 3})
	require.NoError(t, err)
	assert.Equal(t, solver.LimitHit, s.Status)
	assert.LessOrEqual(t, s.Bound, full.Objective)
	if s.Primal == solver.Answer {
		assert.GreaterOrEqual(t, s.Objective, full.Objective)
		assert.InDelta(t, (s.Objective-s.Bound)/(1+abs(s.Objective)), s.Gap, 1e-12)
	}
	s, err = solver.Solve(t.Context(), p, solver.Settings{Gap: 0.1})
	require.NoError(t, err)
	assert.Equal(t, solver.Optimal, s.Status)
	assert.LessOrEqual(t, s.Objective-s.Bound, 0.1*abs(s.Objective)+1e-9)
	assert.LessOrEqual(t, s.Bound, full.Objective+1e-9)

	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	s, err = solver.Solve(ctx, p, solver.Settings{})
	require.NoError(t, err)
	assert.Equal(t, solver.LimitHit, s.Status)
	s, err = solver.Solve(t.Context(), p, solver.Settings{Time: time.Nanosecond})
	require.NoError(t, err)
	assert.Equal(t, solver.LimitHit, s.Status)
}

func TestIntegerProgress(t *testing.T) {
	calls, last := 0, solver.Progress{}
	s, err := solver.Solve(t.Context(), knapsack(), solver.Settings{Progress: func(p solver.Progress) {
		calls++
		assert.LessOrEqual(t, p.Bound, p.Cost)
		last = p
	}})
	require.NoError(t, err)
	assert.Positive(t, calls)
	assert.InDelta(t, s.Objective, last.Cost, 1e-9)
}

// knapsack is a market-split-like choice that needs some hundred nodes.
func knapsack() *solver.Problem {
	r := rand.New(rand.NewPCG(5, 5))
	var m solver.Model
	for j := range 25 {
		m.Column(-float64(20+r.IntN(60)), 0, 1)
		m.Integer(j)
	}
	for range 3 {
		var terms []solver.Term
		total := 0.0
		for j := range 25 {
			v := float64(10 + r.IntN(50))
			total += v
			terms = append(terms, term(j, v))
		}
		m.Row(-inf, math.Floor(total/2), terms...)
	}
	return m.Problem()
}

func TestIntegerWithoutAnswer(t *testing.T) {
	var m solver.Model
	x := m.Column(1, 0, 10)
	m.Integer(x)
	m.Row(0.25, 0.75, term(x, 1))
	s := solve(t, m.Problem())
	assert.Equal(t, solver.Infeasible, s.Status)
	assert.Equal(t, solver.NoVector, s.Dual, "only the whole numbers fail: no multipliers prove that")

	m = solver.Model{}
	x = m.Column(1, 0, 10)
	m.Integer(x)
	m.Row(11, inf, term(x, 1))
	p := m.Problem()
	verifyFarkas(t, p, solve(t, p))

	m = solver.Model{}
	x = m.Column(-1, 0, inf)
	m.Integer(x)
	p = m.Problem()
	verifyRay(t, p, solve(t, p))
}

func BenchmarkWholeMeasures12(b *testing.B) {
	for name, nearest := range map[string]bool{"nearest": true, "cheapest": false} {
		b.Run(name, func(b *testing.B) {
			r := rand.New(rand.NewPCG(12, 0))
			var problems []*solver.Problem
			for range 60 {
				problems = append(problems, wholeMeasures(r, 12, nearest))
			}
			b.ReportAllocs()
			nodes, k := 0, 0
			for b.Loop() {
				s, err := solver.Solve(b.Context(), problems[k%60], solver.Settings{AbsoluteGap: nearEnough, Nodes: 20000})
				require.NoError(b, err)
				require.NotEqual(b, solver.LimitHit, s.Status)
				nodes += s.Nodes
				k++
			}
			b.ReportMetric(float64(nodes)/float64(b.N), "nodes/op")
		})
	}
}
