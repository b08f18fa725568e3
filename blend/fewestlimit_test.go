package blend

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/feedstocks"
)

// A search without time answers with what makes the pile, and says that it may
// not be the fewest.
func TestFewestOutOfTime(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	p := &Problem{Target: DefaultTarget(), Pile: Pile{WaterKg: 200, Prefer: PreferFewest}}
	for _, name := range []string{"leaves", "grass clippings", "straw", "horse manure", "hay"} {
		f, err := lib.Find(name)
		require.NoError(t, err)
		c, err := f.Composition()
		require.NoError(t, err)
		p.Materials = append(p.Materials, Material{Name: name, Feedstock: f, Composition: c, OnHandKg: 100})
	}
	within := p.allowed()
	for _, c := range p.criteria() {
		within.rows = append(within.rows, c.limit(c.aim.Low, 0, math.Inf(1)), c.limit(c.aim.High, math.Inf(-1), 0))
	}
	vertex, _, err := p.optimise(t.Context(), within, p.bulk().times(-1))
	require.NoError(t, err)
	require.NotNil(t, vertex)
	bulk := p.bulk()
	most := bulk.value(vertex[:5], vertex[5])

	chosen, note, err := p.fewest(t.Context(), within, most, time.Nanosecond)
	require.NoError(t, err)
	assert.Contains(t, note, "a pile of fewer may be possible")
	vertex, _, err = p.optimise(t.Context(), chosen, bulk.times(-1))
	require.NoError(t, err)
	require.NotNil(t, vertex, "the materials make no pile")
	assert.GreaterOrEqual(t, bulk.value(vertex[:5], vertex[5]), 0.49*most)

	_, note, err = p.fewest(t.Context(), within, most, fewestTime)
	require.NoError(t, err)
	assert.Empty(t, note)
}
