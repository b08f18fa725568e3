package solver_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

// mixedProblem invents a small problem with whole and other columns.
func mixedProblem(r *rand.Rand) *solver.Problem {
	var m solver.Model
	wholes, others := 2+r.IntN(3), 1+r.IntN(3)
	for j := range wholes {
		low := float64(r.IntN(5) - 2)
		m.Column(float64(r.IntN(13)-6), low, low+float64(1+r.IntN(3))+0.5*float64(r.IntN(2)))
		m.Integer(j)
	}
	for range others {
		m.Column(3*r.Float64()-1.5, -1, 4)
	}
	for range 2 + r.IntN(4) {
		var terms []solver.Term
		for j := range wholes + others {
			if v := r.IntN(9) - 4; v != 0 {
				terms = append(terms, term(j, float64(v)+0.25*float64(r.IntN(2))))
			}
		}
		low := float64(r.IntN(13) - 8)
		m.Row(low, low+1+9*r.Float64(), terms...)
	}
	return m.Problem()
}

// TestCutsHold: at every choice of whole numbers, the most that the left side
// of a cut can come to is within it, and every cut cuts something off.
func TestCutsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 7))
	cuts := 0
	for range 2000 {
		p := mixedProblem(r)
		for _, cut := range solver.RootCuts(t.Context(), p) {
			cuts++
			q := *p
			q.Cost = make([]float64, len(p.Cost))
			for _, s := range cut.Terms {
				q.Cost[s.Column] = -s.Coefficient
			}
			relaxed := q
			relaxed.Integer = nil
			s, err := solver.Solve(t.Context(), &relaxed, solver.Settings{})
			require.NoError(t, err)
			require.Equal(t, solver.Optimal, s.Status)
			assert.Greater(t, -s.Objective, cut.Most, "a row that cuts nothing off")
			if most := -enumerate(t, &q); !math.IsInf(most, -1) {
				require.LessOrEqual(t, most, cut.Most+1e-7*(1+math.Abs(cut.Most)))
			}
		}
	}
	t.Logf("%d cuts", cuts)
	assert.Greater(t, cuts, 1000)
}

// lots invents a problem of lot sizes: two goods made in weekly runs, each
// with a set-up cost, on a machine that can do so much.
func lots(r *rand.Rand, weeks int) *solver.Problem {
	var m solver.Model
	inf := solver.Inf()
	work := make([][]solver.Term, weeks)
	for range 2 {
		store := -1
		for t := range weeks {
			run := m.Column(20+20*r.Float64(), 0, 1)
			m.Integer(run)
			made, kept := m.Column(0, 0, inf), m.Column(0.3+r.Float64(), 0, inf)
			m.Row(-inf, 0, term(made, 1), term(run, -60))
			work[t] = append(work[t], term(made, 1), term(run, 4))
			terms := []solver.Term{term(made, 1), term(kept, -1)}
			if store >= 0 {
				terms = append(terms, term(store, 1))
			}
			wanted := 5 + 20*r.Float64()
			m.Row(wanted, wanted, terms...)
			store = kept
		}
	}
	for t := range weeks {
		m.Row(-inf, 75, work[t]...)
	}
	return m.Problem()
}

// oneGood is a problem of lot sizes without limits on a run, and its least
// cost by the recursion of Wagner and Whitin (1958), "Dynamic version of the
// economic lot size model", Manage. Sci. 5:89-96 (from memory): a run makes all
// that is wanted until the next.
func oneGood(r *rand.Rand, weeks int) (p *solver.Problem, least float64) {
	var m solver.Model
	inf := solver.Inf()
	setUp, keep, wanted := make([]float64, weeks), make([]float64, weeks), make([]float64, weeks)
	total := 0.0
	for t := range weeks {
		setUp[t], keep[t], wanted[t] = 20+30*r.Float64(), 0.2+r.Float64(), float64(2+r.IntN(20))
		total += wanted[t]
	}
	store := -1
	for t := range weeks {
		run := m.Column(setUp[t], 0, 1)
		m.Integer(run)
		made, kept := m.Column(0, 0, inf), m.Column(keep[t], 0, inf)
		m.Row(-inf, 0, term(made, 1), term(run, -total))
		terms := []solver.Term{term(made, 1), term(kept, -1)}
		if store >= 0 {
			terms = append(terms, term(store, 1))
		}
		m.Row(wanted[t], wanted[t], terms...)
		store = kept
	}
	best := make([]float64, weeks+1) // of the weeks before
	for end := 1; end <= weeks; end++ {
		best[end] = inf
		for run := range end {
			cost, ahead := best[run]+setUp[run], 0.0
			for t := end - 1; t > run; t-- {
				ahead += wanted[t]
				cost += keep[t-1] * ahead
			}
			best[end] = min(best[end], cost)
		}
	}
	return m.Problem(), best[weeks]
}

// TestScoutedSearch: with so many integer columns a scout goes beside the
// search. The answer is the recursion's, the same every time, and no worse
// than the point it began from.
func TestScoutedSearch(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 8))
	for range 3 {
		p, least := oneGood(r, 48)
		s := solve(t, p)
		require.Equal(t, solver.Optimal, s.Status)
		assert.InDelta(t, least, s.Objective, 1e-7*least)
		again := solve(t, p)
		assert.Equal(t, s.X, again.X)
		assert.Equal(t, s.Nodes, again.Nodes)

		cut, err := solver.Solve(t.Context(), p, solver.Settings{Nodes: 5, Start: s.X})
		require.NoError(t, err)
		require.Equal(t, solver.Answer, cut.Primal)
		assert.InDelta(t, least, cut.Objective, 1e-7*least)
	}
	p := lots(r, 24)
	s, again := solve(t, p), solve(t, p)
	require.Equal(t, solver.Optimal, s.Status)
	assert.Greater(t, s.Nodes, 200, "long enough for the scout to come back")
	assert.Equal(t, s.X, again.X)
	assert.Equal(t, s.Nodes, again.Nodes)
}

// TestStart: a start that is no point is passed over; one that is no vector of
// the problem is an error.
func TestStart(t *testing.T) {
	p := knapsack()
	want := solve(t, p)
	far := make([]float64, len(p.Cost))
	for j := range far {
		far[j] = 1e9
	}
	s, err := solver.Solve(t.Context(), p, solver.Settings{Start: far})
	require.NoError(t, err)
	assert.InDelta(t, want.Objective, s.Objective, 1e-9)
	for _, bad := range [][]float64{{1}, append(far[1:], math.NaN())} {
		_, err := solver.Solve(t.Context(), p, solver.Settings{Start: bad})
		assert.ErrorContains(t, err, "Settings.Start")
	}
}

// TestTighten: the rows that the caller knows of are used, and asked for at
// the root alone.
func TestTighten(t *testing.T) {
	p := lots(rand.New(rand.NewPCG(31, 9)), 20)
	want := solve(t, p)
	wanted := 0
	rows := func(x []float64) (broken []solver.Inequality) {
		wanted++
		for j, is := range p.Integer {
			if is && x[j+1] > 60*x[j]+1e-3 { // a run of each week makes no more
				broken = append(broken, solver.Inequality{Terms: []solver.Term{term(j+1, 1), term(j, -60)}})
			}
		}
		return broken
	}
	s, err := solver.Solve(t.Context(), p, solver.Settings{Tighten: rows})
	require.NoError(t, err)
	assert.InDelta(t, want.Objective, s.Objective, 1e-6*want.Objective)
	assert.Positive(t, wanted)

	// A row that cuts the answer off shows that they are used.
	s, err = solver.Solve(t.Context(), p, solver.Settings{Tighten: func([]float64) []solver.Inequality {
		all := solver.Inequality{Most: 5}
		for j, is := range p.Integer {
			if is {
				all.Terms = append(all.Terms, term(j, 1))
			}
		}
		return []solver.Inequality{all}
	}})
	require.NoError(t, err)
	assert.False(t, s.Status == solver.Optimal && math.Abs(s.Objective-want.Objective) < 1e-3)
}

// TestTightenSpoiled: rows that rounding makes useless, here by no numbers at
// all, leave the search as it was.
func TestTightenSpoiled(t *testing.T) {
	p := lots(rand.New(rand.NewPCG(31, 9)), 12)
	want := solve(t, p)
	s, err := solver.Solve(t.Context(), p, solver.Settings{Tighten: func([]float64) []solver.Inequality {
		return []solver.Inequality{{Terms: []solver.Term{term(0, math.NaN())}}}
	}})
	require.NoError(t, err)
	require.Equal(t, solver.Optimal, s.Status)
	assert.InDelta(t, want.Objective, s.Objective, 1e-6*want.Objective)
}
