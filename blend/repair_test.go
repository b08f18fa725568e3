package blend_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// hopeless are plans that cannot work, each for a reason of its own: the keys
// of the demands that are at odds.
var hopeless = []struct {
	plan     string
	conflict []string
	sentence string
}{
	{"too-rich", []string{"carbon_to_nitrogen"}, "C:N of 17.0 or less, so C:N of at least 25"},
	{"too-poor", []string{"carbon_to_nitrogen"}, "C:N of 80.0 or more, so C:N of at most 35"},
	{"too-wet", []string{"moisture"}, "moisture of 82 % or more, so moisture of at most 60 %"},
	{"too-dense", []string{"carbon_to_nitrogen", "densest", "moisture"}, "a bulk density of at most 450 kg/m3"},
	{"share-and-least", []string{"at_least", "share_at_most", "stock"}, "turkey litter at most 10 % of the volume"},
}

// examplePlan reads a plan of the examples.
func examplePlan(t testing.TB, name string) *blend.Problem {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "plans", name+".toml"))
	require.NoError(t, err)
	return problemOf(t, string(text))
}

// mended are the reasons of a problem with candidates to mend it.
func mended(t testing.TB, p *blend.Problem, candidates []blend.Material) (*blend.Recipe, *blend.Reasons) {
	t.Helper()
	r := formulated(t, p)
	why, err := blend.Explain(t.Context(), r, candidates)
	require.NoError(t, err, describe(p))
	return r, why
}

// candidates are all that the library offers, in sacks.
func candidates(t testing.TB, p *blend.Problem) []blend.Material {
	t.Helper()
	sack, err := feedstocks.DefaultMeasures().ParseUnit("sack")
	require.NoError(t, err)
	return p.Candidates(library(t), sack, true)
}

// plus is a problem with more on hand, done by hand.
func plus(p *blend.Problem, additions []blend.Addition, share float64) *blend.Problem {
	return changed(p, func(q *blend.Problem) {
		for _, a := range additions {
			j := slices.IndexFunc(q.Materials, func(m blend.Material) bool { return m.Name == a.Material.Name })
			if j < 0 {
				j = len(q.Materials)
				m := a.Material
				m.OnHandKg = 0
				q.Materials = append(q.Materials, m)
			}
			q.Materials[j].OnHandKg += share * a.AmountKg
		}
	})
}

// wantedBulk is the loose volume, or the mass, that a repaired pile is to have:
// that of the size wanted, or of the nearest pile, or of what there would be
// but for the limits on shares, density and air.
func wantedBulk(t testing.TB, r *blend.Recipe) float64 {
	p := r.Problem
	if r.Conflict {
		r = formulated(t, changed(p, func(q *blend.Problem) {
			q.Pile.DensestKgM3, q.Pile.AirAtLeast = 0, 0
			for j := range q.Materials {
				q.Materials[j].ShareAtMost = 0
			}
		}))
		if r.Conflict {
			return 0
		}
	}
	bulk := bulkOf(p, r.Mixture)
	if p.Pile.SizeM3 > 0 {
		bulk = max(bulk, p.Pile.SizeM3/(1-p.Pile.Shrink))
	}
	return bulk
}

// reachable asks the referee whether the ranges can be reached with a bulk or,
// where stock is given, with at least that much of each.
func reachable(p *blend.Problem, bulk float64, stock []blend.Material) verdict {
	if stock != nil {
		p = changed(p, func(q *blend.Problem) {
			for j, m := range stock {
				q.Materials[j].AtLeastKg = m.OnHandKg * (1 - 1e-9)
			}
		})
	}
	r := newReferee(p)
	r = r.with(r.within(1)...)
	if bulk > 0 {
		per := bulkPerKg(p)
		j := -1
		r.lessThanSize(combine(-1, r.over(0, func(blend.Material) float64 { j++; return per[r.index[j]] }), 0, nil), -bulk*(1-1e-9))
	}
	_, v := r.least(make([]float64, r.width))
	return v
}

// aFifthLess is the share of an addition that is down by one step of what
// people measure out, and by a fifth at least.
func aFifthLess(a blend.Addition) float64 {
	step := stepOf(a.Material, a.AmountKg)
	if a.Material.OnHand.Unit.Measure {
		step /= 10
	}
	return min(0.8, 1-step/a.AmountKg*(1+1e-9))
}

func TestPlansThatCannotWork(t *testing.T) {
	for _, test := range hopeless {
		t.Run(test.plan, func(t *testing.T) {
			p := examplePlan(t, test.plan)
			r, why := mended(t, p, candidates(t, p))
			require.Equal(t, blend.OutOfReach, r.Status)
			var keys []string
			for _, s := range why.Conflict {
				keys = append(keys, s.Key)
			}
			slices.Sort(keys)
			assert.Equal(t, test.conflict, keys, "%v", why.Sentence())
			assert.Contains(t, why.Sentence(), test.sentence)
			require.Greater(t, len(why.Repairs), 3)
			goal := wantedBulk(t, r)
			all := 0
			for _, repair := range why.Repairs {
				require.Len(t, repair.Additions, 1)
				a := repair.Additions[0]
				at := fmt.Sprintf("%g kg of %s", a.AmountKg, a.Material.Name)
				more := formulated(t, plus(p, repair.Additions, 1))
				assert.NotEqual(t, blend.OutOfReach, more.Status, at)
				assert.InDelta(t, more.Distance, repair.Recipe.Distance, agreement, at)
				if a.Material.Composition.DensityKgM3 > 0 { // else the pile is planned by weight
					assert.Equal(t, possible, reachable(plus(p, repair.Additions, 1), goal, nil), at)
					assert.NotEqual(t, possible, reachable(plus(p, repair.Additions, aFifthLess(a)), goal, nil), at)
				}
				if len(repair.AllAdditions) > 0 {
					all++
					require.Len(t, repair.AllAdditions, 1)
					whole := repair.AllAdditions[0]
					assert.GreaterOrEqual(t, whole.AmountKg, a.AmountKg*(1-agreement), at)
					assert.Equal(t, possible, reachable(plus(p, repair.AllAdditions, 1), 0, p.Materials), at)
					assert.NotEqual(t, possible, reachable(plus(p, repair.AllAdditions, aFifthLess(whole)), 0, p.Materials), at)
				}
			}
			assert.Positive(t, all)
		})
	}
}

// With prices the cheapest comes first, and no more is got than can be had.
func TestMayGet(t *testing.T) {
	const onHand = `
[on_hand]
"hen manure" = "50 kg"
"broiler litter" = "80 kg"
`
	p := problemOf(t, onHand+`
[may_get]
straw = { amount = "20 sacks", price = "3 per sack" }
leaves = { amount = "40 sacks", price = "0.40 per sack" }
sawdust = { amount = "20 kg", price = "0.01 per kg" }
cardboard = "9 sacks"
`)
	r, why := mended(t, p, p.Candidates(library(t), leafSack, false))
	var names []string
	for k, repair := range why.Repairs {
		require.Len(t, repair.Additions, 1)
		a := repair.Additions[0]
		names = append(names, a.Material.Name)
		assert.InDelta(t, a.AmountKg*a.Material.PricePerKg, repair.Cost, 1e-9)
		for _, m := range p.MayGet {
			if m.Name == a.Material.Name {
				assert.LessOrEqual(t, a.AmountKg, m.OnHandKg)
				for _, all := range repair.AllAdditions {
					assert.LessOrEqual(t, all.AmountKg, m.OnHandKg)
				}
			}
		}
		if k > 0 {
			assert.GreaterOrEqual(t, repair.Cost, why.Repairs[k-1].Cost)
		}
		assert.NotEqual(t, blend.OutOfReach, formulated(t, plus(p, repair.Additions, 1)).Status)
		assert.NotEqual(t, possible, reachable(plus(p, repair.Additions, aFifthLess(a)), wantedBulk(t, r), nil), a.Material.Name)
	}
	// What has no price is free; of the sawdust there is too little.
	assert.Equal(t, []string{"cardboard", "leaves", "straw"}, names)

	few := problemOf(t, onHand+`
[may_get]
leaves = "1 sack"
`)
	_, why = mended(t, few, few.MayGet)
	assert.Empty(t, why.Repairs)

	// A least amount of what may be got is not asked of a repair.
	least := problemOf(t, onHand+`
[may_get]
cardboard = { amount = "20 sacks", at_least = "15 sacks" }
`)
	_, why = mended(t, least, least.MayGet)
	assert.Len(t, why.Repairs, 1)
}

// What may be got under the name of something on hand is more of the same, and
// its share of the volume is one share.
func TestMoreOfTheSame(t *testing.T) {
	p := problemOf(t, `
[on_hand]
"broiler litter" = { amount = "40 kg", at_least = "40 kg" }
straw = { amount = "1 sack", share_at_most = "60 %" }
leaves = "1 sack"
[may_get]
straw = "30 sacks"
`)
	r, why := mended(t, p, p.MayGet)
	require.Equal(t, blend.OutOfReach, r.Status)
	require.Len(t, why.Repairs, 1)
	assert.NotEqual(t, blend.OutOfReach, formulated(t, plus(p, why.Repairs[0].Additions, 1)).Status)
	free := changed(p, func(q *blend.Problem) { q.Materials[1].ShareAtMost = 0 })
	_, why = mended(t, free, free.MayGet)
	require.Len(t, why.Repairs, 1)
	a := why.Repairs[0].Additions[0]
	assert.NotEqual(t, possible, reachable(plus(free, why.Repairs[0].Additions, aFifthLess(a)), wantedBulk(t, formulated(t, free)), nil))
}

// Where no mix obeys the plan at all, a repair still makes one that does.
func TestRepairOfNoMixAtAll(t *testing.T) {
	p := problemOf(t, `
[pile]
densest = "400 kg/m3"
[on_hand]
"horse manure" = "6 barrows"
`)
	r, why := mended(t, p, candidates(t, p))
	require.True(t, r.Conflict)
	require.NotEmpty(t, why.Conflict)
	require.NotEmpty(t, why.Repairs)
	goal := wantedBulk(t, r)
	for _, repair := range why.Repairs {
		more := formulated(t, plus(p, repair.Additions, 1))
		assert.NotEqual(t, blend.OutOfReach, more.Status)
		if a := repair.Additions[0]; len(repair.Additions) == 1 && a.Material.Composition.DensityKgM3 > 0 {
			assert.NotEqual(t, possible, reachable(plus(p, repair.Additions, aFifthLess(a)), goal, nil), a.Material.Name)
		}
	}
}

// A share of the volume cannot be asked of a candidate where a density is not
// known: it is passed over.
func TestCandidateThatNeedsADensity(t *testing.T) {
	p := problemOf(t, `
[on_hand]
"goat manure" = "40 kg"
"hen manure" = { amount = "40 kg", at_least = "40 kg" }
[may_get]
leaves = { amount = "40 sacks", share_at_most = "50 %" }
cardboard = "20 sacks"
`)
	_, why := mended(t, p, p.MayGet)
	require.Len(t, why.Repairs, 1)
	assert.Equal(t, "cardboard", why.Repairs[0].Additions[0].Material.Name)
}

// Whatever is on hand and whatever may be got, there are reasons.
func TestReasonsSweep(t *testing.T) {
	repairs := 0
	for seed := range uint64(60) {
		p := randomProblem(seeded(100_000+seed), 6)
		q := randomProblem(seeded(300_000+seed), 5)
		inVessels(seeded(seed), q, 12)
		for k := range q.Materials {
			q.Materials[k].Name = fmt.Sprintf("candidate %d", k+1)
		}
		r, why := mended(t, p, q.Materials)
		if r.Status != blend.OutOfReach {
			assert.Empty(t, why.Repairs)
		}
		for _, repair := range why.Repairs {
			repairs++
			after := formulated(t, changed(plus(p, repair.Additions, 1), func(q *blend.Problem) {
				for j := range q.Materials[len(p.Materials):] {
					q.Materials[len(p.Materials)+j].AtLeastKg = 0
				}
			}))
			assert.NotEqual(t, blend.OutOfReach, after.Status, "seed %d\n%s", seed, describe(p))
			assert.LessOrEqual(t, len(repair.Additions), 2)
		}
	}
	require.Greater(t, repairs, 8)
}

func TestBestPair(t *testing.T) {
	// Rich and soaking, and no one of these is both poor and dry enough in
	// the amount that can be had.
	p := problemOf(t, `
[on_hand]
"grass clippings" = "10 barrows"
[may_get]
leaves = { amount = "5 sacks", price = "1 per sack" }
"wheat straw" = { amount = "1 bale", price = "5 per bale" }
cardboard = { amount = "1 sack", price = "2 per sack" }
sawdust = { amount = "3 sacks", price = "1.50 per sack" }
"shrub trimmings" = { amount = "2 sacks", price = "0.80 per sack" }
newspaper = "1 sack"
`)
	checkPair(t, p)

	found, random := 0, 0
	for seed := range uint64(50) {
		c := seeded(90_000 + seed)
		p := randomProblem(c, 3)
		if hollow(p) {
			continue
		}
		p.MayGet = nil
		for k := range 5 {
			m := onHand(fmt.Sprintf("candidate %d", k+1), scaled(c, 5, 500), randomComposition(c))
			m.OnHand = feedstocks.Quantity{Number: m.OnHandKg, Unit: kilogram}
			m.PricePerKg = scaled(c, 0.01, 10)
			if m.Composition.Nitrogen > 0 {
				p.MayGet = append(p.MayGet, m)
			}
		}
		if formulated(t, p).Status == blend.OutOfReach && len(p.MayGet) > 2 {
			random++
			if checkPair(t, p) {
				found++
			}
		}
	}
	require.Greater(t, random, 10)
	require.Greater(t, found, 0)
}

// checkPair compares the best pair with the best of all pairs tried one by one;
// it reports whether there is one.
func checkPair(t *testing.T, p *blend.Problem) bool {
	r, why := mended(t, p, p.MayGet)
	if len(why.Repairs) != 1 || len(why.Repairs[0].Additions) != 2 {
		for _, repair := range why.Repairs {
			require.Len(t, repair.Additions, 1, describe(p))
		}
		if len(why.Repairs) > 0 {
			return false
		}
	}
	best := math.Inf(1)
	for i := range p.MayGet {
		for j := range i {
			pair, err := blend.Repairs(t.Context(), r, []blend.Material{p.MayGet[j], p.MayGet[i]})
			require.NoError(t, err)
			for _, repair := range pair {
				best = min(best, repair.Cost)
			}
		}
	}
	if len(why.Repairs) == 0 {
		assert.True(t, math.IsInf(best, 1), describe(p))
		return false
	}
	repair := why.Repairs[0]
	// amounts are rounded up to two digits, so costs compare to a tenth
	assert.LessOrEqual(t, repair.Cost, best*1.1+1e-9, "%v\n%s", repair.Additions, describe(p))
	assert.NotEqual(t, blend.OutOfReach, formulated(t, plus(p, repair.Additions, 1)).Status)
	return true
}

func TestNothingToMend(t *testing.T) {
	p := problemOf(t, `
[on_hand]
leaves = "10 sacks"
"grass clippings" = "3 barrows"
`)
	r := formulated(t, p)
	require.NotEqual(t, blend.OutOfReach, r.Status)
	repairs, err := blend.Repairs(t.Context(), r, candidates(t, p))
	require.NoError(t, err)
	assert.Empty(t, repairs)
}
