package blend_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// manyMaterials is a plan for the fewest of the first materials of the library
// that have a density: three sacks of a hundred litres of each, and from the
// second seed on amounts from a third to twice of that.
func manyMaterials(t testing.TB, count int, seed uint64) *blend.Problem {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	chance := rand.New(rand.NewPCG(seed, 1))
	p := &blend.Problem{Target: blend.DefaultTarget()}
	for _, f := range lib.All() {
		c, err := f.Composition()
		if err != nil || !(c.DensityKgM3 > 0) || len(p.Materials) == count {
			continue
		}
		m := blend.Material{Name: f.Name, Feedstock: f, Composition: c, OnHandKg: 0.3 * c.DensityKgM3}
		if seed > 0 {
			m.OnHandKg *= 0.3 + 1.7*chance.Float64()
		}
		p.Materials = append(p.Materials, m)
	}
	require.Len(t, p.Materials, count)
	p.Pile.WaterKg = 1000
	p.Pile.Prefer = blend.PreferFewest
	return p
}

func usedOf(r *blend.Recipe) int {
	used := 0
	for _, part := range r.Mixture.Parts {
		if part.MassKg > 0 {
			used++
		}
	}
	return used
}

// One material after another left out, while the pile can still be had: that
// gives a number that the fewest may not exceed. So many of the largest volumes
// as make the pile give one that they cannot be under.
func TestFewestOfMany(t *testing.T) {
	for _, materials := range []int{20, 24, 40} {
		for seed := range uint64(4) {
			name := fmt.Sprintf("%d materials, seed %d", materials, seed)
			p := manyMaterials(t, materials, seed)
			from := time.Now()
			r := formulated(t, p)
			took := time.Since(from)
			require.NotEqual(t, blend.OutOfReach, r.Status, name)
			assert.Empty(t, r.Notes, name)
			assert.Empty(t, fault(p, r), name)
			// milliseconds where nothing else runs; a bound that a loaded machine keeps
			assert.Less(t, took, 5*time.Second, name)

			largest := *p
			largest.Materials = slices.Clone(p.Materials)
			largest.Pile.Prefer = blend.PreferLargest
			goal := 0.5 * bulkOf(p, formulated(t, &largest).Mixture)
			assert.GreaterOrEqual(t, bulkOf(p, r.Mixture), goal*(1-2*agreement), name)

			var volumes []float64
			for _, m := range p.Materials {
				volumes = append(volumes, m.OnHandKg/m.Composition.DensityKgM3)
			}
			slices.Sort(volumes)
			least, sum := 0, 0.0
			for _, v := range slices.Backward(volumes) {
				if sum < goal*(1-2*agreement) {
					least, sum = least+1, sum+v
				}
			}
			greedy := materials
			for j := range largest.Materials {
				kept := largest.Materials[j].OnHandKg
				largest.Materials[j].OnHandKg = 0
				q, err := blend.Formulate(t.Context(), &largest)
				if err != nil || q.Status == blend.OutOfReach || bulkOf(p, q.Mixture) < goal {
					largest.Materials[j].OnHandKg = kept
					continue
				}
				greedy--
			}
			assert.LessOrEqual(t, usedOf(r), greedy, name)
			assert.GreaterOrEqual(t, usedOf(r), least, name)
		}
	}
}

func benchmarkFewest(b *testing.B, materials int) {
	p := manyMaterials(b, materials, 0)
	for b.Loop() {
		if _, err := blend.Formulate(b.Context(), p); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFewest24(b *testing.B) { benchmarkFewest(b, 24) }
func BenchmarkFewest40(b *testing.B) { benchmarkFewest(b, 40) }
