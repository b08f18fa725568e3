package blend_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// limitsOf are the limits of a recipe.
func limitsOf(t testing.TB, r *blend.Recipe) ([]blend.Limit, []string) {
	t.Helper()
	limits, idle, err := blend.Limits(t.Context(), r)
	require.NoError(t, err, describe(r.Problem))
	return limits, idle
}

// changed is a problem with the materials copied, to be changed by hand.
func changed(p *blend.Problem, by func(*blend.Problem)) *blend.Problem {
	q := *p
	q.Materials = slices.Clone(p.Materials)
	by(&q)
	return &q
}

// byHand gives way on a demand as its Change says.
func byHand(t testing.TB, p *blend.Problem, l blend.Limit) *blend.Problem {
	return changed(p, func(q *blend.Problem) {
		m := &blend.Material{}
		for j := range q.Materials {
			if q.Materials[j].Name == l.Material {
				m = &q.Materials[j]
			}
		}
		switch l.Key {
		case "stock":
			m.OnHandKg += stepOf(*m, m.OnHandKg)
		case "at_least":
			m.AtLeastKg -= min(m.AtLeastKg, stepOf(*m, m.AtLeastKg))
		case "share_at_most":
			m.ShareAtMost = min(1, m.ShareAtMost+0.05)
		case "water":
			q.Pile.WaterKg += 10
		case "size":
			q.Pile.SizeM3, q.Pile.LargestM3 = 0, 0
		case "densest":
			q.Pile.DensestKgM3 += 50
		case "air_at_least":
			q.Pile.AirAtLeast = max(0, q.Pile.AirAtLeast-0.05)
		default:
			t.Fatalf("no such limit: %+v", l.Statement)
		}
	})
}

func withoutWaterKg(r *blend.Recipe) float64 {
	mass := 0.0
	for _, part := range r.Mixture.Parts {
		mass += part.MassKg
	}
	return mass
}

// What a limit promises is what the changed plan gives, and its multiplier has
// the sign of its side: a demand for more raises the least cost, and one for
// no more than so much lowers it.
func TestLimitsDeliver(t *testing.T) {
	keys := map[string]int{}
	for seed := range uint64(80) {
		c := seeded(70_000 + seed)
		p := randomProblem(c, 6)
		inVessels(c, p, 12)
		switch seed { // what random problems rarely have
		case 0:
			p = examplePlan(t, "too-dense")
		case 1:
			p = examplePlan(t, "too-dense")
			p.Pile.DensestKgM3, p.Pile.AirAtLeast = 0, 0.65
		}
		if p.Validate() != nil {
			continue
		}
		r := formulated(t, p)
		limits, _ := limitsOf(t, r)
		if r.Conflict {
			assert.Empty(t, limits)
			continue
		}
		for _, l := range limits {
			keys[l.Key]++
			at := fmt.Sprintf("seed %d: %s, %s\n%s", seed, l.Text, l.Change, describe(p))
			after := formulated(t, byHand(t, p, l))
			assert.InDelta(t, r.Distance-after.Distance, l.Distance, agreement*(1+r.Distance), at)
			assert.InDelta(t, withoutWaterKg(after)-withoutWaterKg(r), l.MassKg, 1e-4*withoutWaterKg(r), at)
			if !math.IsNaN(r.Figures.VolumeM3) {
				assert.InDelta(t, after.Figures.VolumeM3-r.Figures.VolumeM3, l.VolumeM3, agreement*(1+r.Figures.VolumeM3), at)
			}
			if l.Key == "at_least" {
				assert.Positive(t, l.Multiplier, at)
			} else {
				assert.Negative(t, l.Multiplier, at)
			}
			assert.LessOrEqual(t, math.Abs(l.Multiplier), 1+agreement, at)
			gain := l.Distance > 0.005 || r.Status != blend.OutOfReach && bulkOf(p, after.Mixture) > bulkOf(p, r.Mixture)
			assert.True(t, gain, at)
			assert.NotEmpty(t, l.Change)
		}
	}
	for _, key := range []string{"stock", "at_least", "share_at_most", "water", "size", "densest", "air_at_least"} {
		assert.Positive(t, keys[key], key)
	}
}

// Whatever is not listed brings next to nothing when it gives way: the duals
// miss no limit.
func TestLimitsMissNothing(t *testing.T) {
	tried := 0
	for seed := range uint64(50) {
		c := seeded(80_000 + seed)
		p := randomProblem(c, 5)
		inVessels(c, p, 12)
		p.Pile.Prefer = []blend.Prefer{blend.PreferTarget, blend.PreferLargest}[seed%2]
		if p.Validate() != nil {
			continue
		}
		r := formulated(t, p)
		if r.Conflict {
			continue
		}
		limits, idle := limitsOf(t, r)
		listed := map[string]bool{}
		for _, l := range limits {
			listed[l.Key+l.Material] = true
		}
		for j, m := range p.Materials {
			if m.OnHandKg == 0 {
				continue
			}
			s := blend.Statement{Key: "stock", Material: m.Name}
			after := formulated(t, byHand(t, p, blend.Limit{Statement: s}))
			tried++
			at := fmt.Sprintf("seed %d, %s: distance %g to %g, volume %g to %g\n%s", seed, m.Name, r.Distance, after.Distance, r.Figures.VolumeM3, after.Figures.VolumeM3, describe(p))
			if !listed["stock"+m.Name] {
				assert.Greater(t, after.Distance, r.Distance-0.005-1e-6, at)
				if r.Status != blend.OutOfReach && after.Distance < r.Distance+1e-6 {
					assert.Less(t, bulkOf(p, after.Mixture), bulkOf(p, r.Mixture)*1.0011, at)
				}
			}
			if slices.Contains(idle, m.Name) {
				assert.Greater(t, m.OnHandKg, r.Mixture.Parts[j].MassKg, at)
				assert.InDelta(t, r.Distance, after.Distance, agreement*(1+r.Distance), at)
				if !math.IsNaN(r.Figures.VolumeM3) {
					assert.InDelta(t, r.Figures.VolumeM3, after.Figures.VolumeM3, agreement*(1+r.Figures.VolumeM3), at)
				}
			}
		}
	}
	require.Greater(t, tried, 60)
}

// The multipliers of what limits the size are the rates at which the pile
// grows, each over the largest: told by finite differences.
func TestMultipliersAreRates(t *testing.T) {
	const step = 1e-4 // of the stock
	compared := 0
	for _, p := range randomProblems(11, 60, 5) {
		for j := range p.Materials {
			p.Materials[j].OnHand.Unit = kilogram
		}
		r := formulated(t, p)
		if r.Status != blend.OnTarget {
			continue
		}
		limits, _ := limitsOf(t, r)
		rates := map[string][2]float64{} // multiplier and rate
		largest, smooth := 0.0, true
		for _, l := range limits {
			if l.Key != "stock" {
				smooth = false
				continue
			}
			grown := func(by float64) float64 {
				after := formulated(t, changed(p, func(q *blend.Problem) {
					for j := range q.Materials {
						if q.Materials[j].Name == l.Material {
							q.Materials[j].OnHandKg += by
						}
					}
				}))
				return (after.Figures.VolumeM3 - r.Figures.VolumeM3) / by
			}
			kg := 0.0
			for _, m := range p.Materials {
				if m.Name == l.Material {
					kg = step * m.OnHandKg
				}
			}
			more, less := grown(kg), grown(-kg)
			smooth = smooth && math.Abs(more-less) < 1e-3*math.Abs(more)
			rates[l.Material] = [2]float64{l.Multiplier, more}
			largest = max(largest, more)
		}
		if !smooth || len(rates) < 2 {
			continue
		}
		compared++
		for name, v := range rates {
			assert.InDelta(t, v[1]/largest, -v[0], 2e-3, "%s of\n%s", name, describe(p))
		}
	}
	require.Greater(t, compared, 10)
}

func TestWordsOfLimits(t *testing.T) {
	p := problemOf(t, `
[on_hand]
leaves = "10 sacks"
"grass clippings" = "3 barrows"
"hen litter" = { feedstock = "broiler litter", amount = "60 kg", share_at_most = "5 %" }
`)
	limits, idle := limitsOf(t, formulated(t, p))
	var changes []string
	for _, l := range limits {
		changes = append(changes, l.Change)
	}
	said := strings.Join(changes, "; ")
	assert.Contains(t, said, "one more sack of leaves")
	assert.NotContains(t, said, "one more barrow of grass clippings and", said)
	for _, name := range idle {
		assert.NotContains(t, said, "of "+name)
	}
	require.NotEmpty(t, limits)
}
