package solver_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

func benchmarkBlending(b *testing.B, materials int) {
	r := rand.New(rand.NewPCG(7, uint64(materials)))
	p := blending(r, materials, false, false)
	b.ReportAllocs()
	for b.Loop() {
		s, err := solver.Solve(b.Context(), p, solver.Settings{})
		require.NoError(b, err)
		require.Equal(b, solver.Optimal, s.Status)
	}
}

func BenchmarkSolve12(b *testing.B) { benchmarkBlending(b, 12) }
func BenchmarkSolve60(b *testing.B) { benchmarkBlending(b, 60) }
