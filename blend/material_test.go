package blend_test

import (
	"context"
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// composed makes a composition out of moisture (wet basis) and carbon and
// nitrogen (of dry matter), all fractions, and a bulk density in kg/m3.
func composed(moisture, carbon, nitrogen, densityKgM3 float64) feedstocks.Composition {
	return feedstocks.Composition{
		Moisture: moisture, Carbon: carbon, Nitrogen: nitrogen, DensityKgM3: densityKgM3,
		VolatileSolids: min(1, 1.8*carbon),
		Lignin:         math.NaN(), Phosphate: math.NaN(), Potash: math.NaN(),
	}
}

// mixed is a mixture of masses in kg and compositions, with no water added.
func mixed(parts ...blend.Part) blend.Mixture { return blend.Mixture{Parts: parts} }

func part(kg float64, c feedstocks.Composition) blend.Part {
	return blend.Part{MassKg: kg, Composition: c}
}

// onHand is a material of which kg are on hand.
func onHand(name string, kg float64, c feedstocks.Composition) blend.Material {
	return blend.Material{Name: name, OnHandKg: kg, Composition: c}
}

// forced is a material all of which must go in.
func forced(name string, kg float64, c feedstocks.Composition) blend.Material {
	m := onHand(name, kg, c)
	m.AtLeastKg = kg
	return m
}

// wateredProblem is a problem with the default target, no mixing shrink and as
// much water as is needed.
func wateredProblem(materials ...blend.Material) *blend.Problem {
	return &blend.Problem{
		Materials: materials,
		Target:    blend.DefaultTarget(),
		Pile:      blend.Pile{WaterKg: math.Inf(1)},
	}
}

// formulated is the recipe for a problem that must have one.
func formulated(t testing.TB, p *blend.Problem) *blend.Recipe {
	t.Helper()
	r, err := blend.Formulate(context.Background(), p)
	require.NoError(t, err)
	return r
}

// readLibrary reads the built-in library once: reading takes longer than most
// tests, and a library does not change.
var readLibrary = sync.OnceValues(feedstocks.Default)

// library is the built-in library.
func library(t testing.TB) *feedstocks.Library {
	t.Helper()
	lib, err := readLibrary()
	require.NoError(t, err)
	return lib
}
