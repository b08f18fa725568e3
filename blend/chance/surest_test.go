package chance

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// brokenLimit says which limit of the plan a mix breaks, by plain arithmetic;
// "" for none.
func brokenLimit(p *blend.Problem, amounts []float64) string {
	const slack = 1e-6
	last := len(amounts) - 1
	mass, loose := amounts[last], 0.0
	for j, m := range p.Materials {
		x := amounts[j]
		if x < m.AtLeastKg*(1-slack)-slack || x > m.OnHandKg*(1+slack) || x < 0 {
			return "stock of " + m.Name
		}
		mass += x
		loose += x / m.Composition.DensityKgM3
	}
	for j, m := range p.Materials {
		if s := m.ShareAtMost; s > 0 && amounts[j]/m.Composition.DensityKgM3 > (s+slack)*loose {
			return "share of " + m.Name
		}
	}
	built := loose * (1 - p.Pile.Shrink)
	switch pile := p.Pile; {
	case amounts[last] > pile.WaterKg*(1+slack)+slack || amounts[last] < 0:
		return "water"
	case pile.SizeM3 > 0 && built > pile.SizeM3*(1+slack), pile.LargestM3 > 0 && built > pile.LargestM3*(1+slack):
		return "size"
	case pile.DensestKgM3 > 0 && mass/built > pile.DensestKgM3*(1+slack):
		return "density"
	}
	return ""
}

// TestSurestReachesItsChance, in draws that it has not seen, and obeys the
// limits; and a chance that the nearest mix has already leaves that as it is.
func TestSurestReachesItsChance(t *testing.T) {
	seed := seedOf(t)
	r := rand.New(rand.NewPCG(seed, 6))
	reached, moved, missed := 0, 0, 0
	for i := range few(10) {
		p := randomPlan(t, r, 2+r.IntN(5))
		nearest, err := blend.Formulate(t.Context(), p)
		require.NoError(t, err)
		asked := 0.9
		if !nearest.Conflict {
			// a little less or more than there is
			asked = min(0.99, max(0.01, of(t, nearest, 2000, seed).InAll+0.15*r.Float64()-0.02))
		}
		s, err := Surest(t.Context(), p, asked, seed)
		require.NoError(t, err, describe(p))
		if s.Recipe.Conflict {
			assert.Nil(t, s.Chance)
			assert.False(t, s.Reached)
			continue
		}
		assert.Empty(t, brokenLimit(p, amountsOf(s.Recipe)), "plan %d\n%s", i, describe(p))
		assert.Same(t, p, s.Recipe.Problem)
		again := of(t, s.Recipe, 50_000, seed+1000)
		assert.InDelta(t, s.Chance.InAll, again.InAll, veryFar*again.Error(0.5)*math.Sqrt(1.5))
		if !s.Reached {
			missed++
			assert.GreaterOrEqual(t, s.Chance.InAll, s.Before.InAll, "plan %d: surer than the nearest\n%s", i, describe(p))
			continue
		}
		reached++
		assert.Greater(t, again.InAll, asked-veryFar*again.Error(asked)*math.Sqrt(1.5), "plan %d\n%s", i, describe(p))
		if s.Recipe == s.Nearest {
			assert.GreaterOrEqual(t, s.Before.InAll, asked)
			continue
		}
		moved++
		assert.Less(t, s.Before.InAll, asked)
		assert.GreaterOrEqual(t, s.Recipe.Distance, s.Nearest.Distance-1e-6, "the price of sureness")
	}
	t.Logf("%d reached, %d of them by another mix, %d not", reached, moved, missed)
	if !raced {
		assert.Positive(t, moved)
		assert.Positive(t, missed)
	}
}

// TestNothingBeatsTheSurest by more than sampling error, among thousands of
// random mixes within the same limits: some at random over all proportions,
// some near the surest.
func TestNothingBeatsTheSurest(t *testing.T) {
	seed := seedOf(t)
	r := rand.New(rand.NewPCG(seed, 7))
	for i := range few(5) {
		p := randomPlan(t, r, 2+r.IntN(6))
		s, err := Surest(t.Context(), p, 0.9999, seed)
		require.NoError(t, err)
		if s.Recipe.Conflict || s.Chance.InAll > 0.995 {
			continue
		}
		sieve, err := newLots(t.Context(), s.Nearest, 1000, seed+1)
		require.NoError(t, err)
		sure := amountsOf(s.Recipe)
		best, bestChance := sure, sieve.chance(sure)
		tried := 0
		for range few(1200) {
			amounts := make([]float64, len(sure))
			near := r.IntN(2) == 0
			for j := range amounts {
				most := s.Recipe.Mixture.MassKg()
				if j < len(p.Materials) {
					most = p.Materials[j].OnHandKg
				}
				if near {
					amounts[j] = sure[j] * math.Exp(0.2*r.NormFloat64())
					if r.IntN(6) == 0 {
						amounts[j] += 0.02 * most * r.Float64()
					}
				} else if r.IntN(3) > 0 {
					amounts[j] = most * r.ExpFloat64()
				}
			}
			mix := sieve.fit(amounts)
			if mix == nil || brokenLimit(p, amountsOf(mix)) != "" {
				continue
			}
			tried++
			if c := sieve.chance(amountsOf(mix)); c > bestChance {
				best, bestChance = amountsOf(mix), c
			}
		}
		// The sieve's draws flatter the best: others judge.
		judge, err := newLots(t.Context(), s.Nearest, 20_000, seed+2)
		require.NoError(t, err)
		found, told := judge.chance(best), judge.chance(sure)
		t.Logf("plan %d, %d materials: nearest %.4f, surest %.4f, best of %d random mixes %.4f", i, len(p.Materials), s.Before.InAll, told, tried, found)
		assert.Less(t, found, told+far*math.Sqrt(0.5*0.5/20_000), "%v beats %v\n%s", best, sure, describe(p))
	}
}

func TestSurestRefuses(t *testing.T) {
	p := weighed(t)
	for _, asked := range []float64{0, 1, -0.5, 1.5, math.NaN(), math.Inf(1)} {
		_, err := Surest(t.Context(), p, asked, 1)
		var e *blend.ProblemError
		require.ErrorAs(t, err, &e, "%g", asked)
		assert.NotEmpty(t, e.Hint)
	}
	_, err := Surest(t.Context(), &blend.Problem{}, 0.9, 1)
	assert.Error(t, err)
}

// TestSurestOfAConflict: where no mix obeys the limits there is none to be
// sure of.
func TestSurestOfAConflict(t *testing.T) {
	p := weighed(t)
	p.Materials[0].AtLeastKg = 90
	p.Pile.SizeM3 = 0.2
	s, err := Surest(t.Context(), p, 0.9, 1)
	require.NoError(t, err)
	assert.True(t, s.Recipe.Conflict)
	assert.False(t, s.Reached)
	assert.Nil(t, s.Chance)
}

// TestSurestKeepsFurtherLimits that a caller added.
func TestSurestKeepsFurtherLimits(t *testing.T) {
	p := weighed(t)
	p.Further = []blend.Further{{Material: []float64{1, -1, 0}}} // no more leaves than clippings
	s, err := Surest(t.Context(), p, 0.9999, 1)
	require.NoError(t, err)
	x := amountsOf(s.Recipe)
	assert.LessOrEqual(t, x[0], x[1]*(1+1e-6))
	assert.Len(t, p.Further, 1, "the plan is not changed")
}

// TestSoftSlope holds the slope against differences.
func TestSoftSlope(t *testing.T) {
	p := weighed(t)
	p.Pile.DensestKgM3, p.Pile.AirAtLeast = 400, 0.5
	l, err := newLots(t.Context(), judged(t, p), 500, seedOf(t))
	require.NoError(t, err)
	at := []float64{100, 60, 80, 60}
	slope := make([]float64, 4)
	l.softChance(at, 500, 0.3, slope)
	for j := range at {
		const step = 1e-4
		up, down := append([]float64{}, at...), append([]float64{}, at...)
		up[j] += step
		down[j] -= step
		want := (l.softChance(up, 500, 0.3, nil) - l.softChance(down, 500, 0.3, nil)) / (2 * step)
		assert.InDelta(t, want, slope[j], 1e-7+1e-4*math.Abs(want), "%d", j)
	}
}
