package blend_test

import (
	"math/bits"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// hollow reports whether a material on hand has no nitrogen: the least nitrogen
// asked of a mix then depends on what is on hand, and subsets differ in it.
func hollow(p *blend.Problem) bool {
	return slices.ContainsFunc(p.Materials, func(m blend.Material) bool { return m.OnHandKg > 0 && m.Composition.Nitrogen == 0 })
}

// onlyOf is the problem with the materials of a set of bits alone; ok is false
// where it leaves out one that must go in, or all that there is.
func onlyOf(p *blend.Problem, set uint) (q *blend.Problem, ok bool) {
	out := *p
	out.Materials = slices.Clone(p.Materials)
	some := false
	for j := range out.Materials {
		m := &out.Materials[j]
		if set>>j&1 == 0 {
			if m.AtLeastKg > 0 {
				return nil, false
			}
			m.OnHandKg = 0
		}
		some = some || m.OnHandKg > 0
	}
	return &out, some
}

func TestFewestAgainstEverySubset(t *testing.T) {
	tried, fewer := 0, 0
	for seed := range uint64(150) {
		p := randomProblem(seeded(21_000+seed), 5)
		p.Pile.Prefer = blend.PreferLargest
		if hollow(p) || p.Validate() != nil {
			continue
		}
		largest := formulated(t, p)
		if largest.Status == blend.OutOfReach {
			continue
		}
		goal := 0.5 * bulkOf(p, largest.Mixture)
		if p.Pile.SizeM3 > 0 {
			goal *= 2
		}
		least := len(p.Materials) + 1
		for set := range uint(1) << len(p.Materials) {
			q, ok := onlyOf(p, set)
			if n := bits.OnesCount(set); ok && n < least {
				r, err := blend.Formulate(t.Context(), q)
				if err == nil && r.Status != blend.OutOfReach && bulkOf(p, r.Mixture) >= goal*(1-agreement) {
					least = n
				}
			}
		}
		tried++
		q := *p
		q.Pile.Prefer = blend.PreferFewest
		r := formulated(t, &q)
		used := 0
		for _, part := range r.Mixture.Parts {
			if part.MassKg > 0 {
				used++
			}
		}
		assert.Equal(t, least, used, "seed %d\n%s", seed, describe(p))
		assert.Empty(t, fault(&q, r), "seed %d\n%s", seed, describe(p))
		assert.NotEqual(t, blend.OutOfReach, r.Status, "seed %d\n%s", seed, describe(p))
		assert.GreaterOrEqual(t, bulkOf(p, r.Mixture), goal*(1-2*agreement), "seed %d\n%s", seed, describe(p))
		if used < len(p.Materials) {
			fewer++
		}
	}
	require.Greater(t, tried, 15)
	require.Greater(t, fewer, 4)
}
