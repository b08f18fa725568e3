package chance

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// twelve is a plan of twelve materials without limits, and its nearest mix.
func twelve(b *testing.B) *blend.Recipe {
	p := randomPlan(b, rand.New(rand.NewPCG(12, 12)), 12)
	p.Pile = blend.Pile{WaterKg: math.Inf(1), Shrink: 0.2}
	for j := range p.Materials {
		p.Materials[j].AtLeastKg, p.Materials[j].ShareAtMost = 0, 0
	}
	r, err := blend.Formulate(b.Context(), p)
	require.NoError(b, err)
	return r
}

// BenchmarkOf12 is 100,000 draws for twelve materials: under 100 ms wanted.
func BenchmarkOf12(b *testing.B) {
	r := twelve(b)
	for b.Loop() {
		of(b, r, 100_000, 1)
	}
}

func BenchmarkShares12(b *testing.B) {
	r := twelve(b)
	for b.Loop() {
		_, err := Shares(b.Context(), r, 1)
		require.NoError(b, err)
	}
}

// narrow ranges leave something to gain.
func narrow(r *blend.Recipe) *blend.Recipe {
	r.Problem.Target.CarbonToNitrogen = blend.Aim{Low: 29, Aim: 30, High: 31}
	r.Problem.Target.Moisture = blend.Aim{Low: 0.54, Aim: 0.55, High: 0.56}
	return r
}

func BenchmarkGains12(b *testing.B) {
	r := narrow(twelve(b))
	for b.Loop() {
		_, err := Gains(b.Context(), r, 1)
		require.NoError(b, err)
	}
}

func BenchmarkSurest12(b *testing.B) {
	r := narrow(twelve(b))
	for b.Loop() {
		s, err := Surest(b.Context(), r.Problem, 0.99, 1)
		require.NoError(b, err)
		require.NotEqual(b, s.Recipe, s.Nearest)
	}
}
