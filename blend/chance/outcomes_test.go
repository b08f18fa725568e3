package chance

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// TestOutcomesAreThoseOfTheChance: the chance is the share of the outcomes that
// lie in the ranges, and the outcomes of fewer draws are the first of them.
func TestOutcomesAreThoseOfTheChance(t *testing.T) {
	p := randomPlan(t, rand.New(rand.NewPCG(3, 3)), 4)
	p.Pile = blend.Pile{WaterKg: math.Inf(1), Shrink: 0.2}
	r, err := blend.Formulate(t.Context(), p)
	require.NoError(t, err)
	require.False(t, r.Conflict)
	const n = 3000
	all, err := Outcomes(t.Context(), r, n, 7)
	require.NoError(t, err)
	c := of(t, r, n, 7)
	in := 0
	for _, o := range all {
		if p.Target.CarbonToNitrogen.Holds(o.CarbonToNitrogen) && p.Target.Moisture.Holds(o.Moisture) {
			in++
		}
	}
	assert.InDelta(t, c.InAll, float64(in)/n, 1e-12)
	assert.Less(t, 0, in)
	some, err := Outcomes(t.Context(), r, 300, 7)
	require.NoError(t, err)
	assert.True(t, slices.Equal(some, all[:300]))

	none, err := Outcomes(t.Context(), &blend.Recipe{Problem: p, Conflict: true}, 300, 7)
	assert.NoError(t, err)
	assert.Empty(t, none)
}
