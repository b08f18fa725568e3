package solver_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"heapwright/solver"
)

// system is the upper triangle of a quasi-definite matrix, by places.
type system struct {
	positive int
	above    map[[2]int]float64 // row < column
	own      []float64          // positive, then negative
}

func (s *system) matrix() *solver.Matrix {
	var entries []solver.Entry
	for k, v := range s.own {
		entries = append(entries, solver.Entry{Row: k, Column: k, Value: v})
	}
	for at, v := range s.above {
		entries = append(entries, solver.Entry{Row: at[0], Column: at[1], Value: v})
	}
	return solver.NewMatrix(len(s.own), len(s.own), entries)
}

// drawSystem draws a diagonal and a coupling block of so many entries a column;
// the columns that share a row stand near each other, but for one row in all of
// them where full is set.
func drawSystem(r *rand.Rand, positive, negative, each int, full bool) *system {
	s := &system{positive: positive, above: map[[2]int]float64{}}
	for k := range positive + negative {
		v := 0.1 + r.Float64()
		if k >= positive {
			v = -v
		}
		s.own = append(s.own, v)
	}
	for j := range positive {
		near := j * negative / positive
		for range each {
			s.above[[2]int{j, positive + (near+r.IntN(8))%negative}] = 2*r.Float64() - 1
		}
		if full {
			s.above[[2]int{j, positive + negative - 1}] = r.Float64()
		}
	}
	return s
}

// TestFactorBesideDense compares solutions with those of gonum's dense LU, on
// systems whose order, blocks and full rows differ.
func TestFactorBesideDense(t *testing.T) {
	for k, c := range []struct {
		positive, negative, each int
		full                     bool
	}{
		{1, 1, 1, false}, {5, 3, 2, false}, {40, 30, 0, false}, {60, 40, 1, false}, {60, 40, 3, true},
		{30, 50, 8, false}, {200, 100, 2, false}, {200, 100, 3, true}, {400, 150, 4, true},
	} {
		r := rand.New(rand.NewPCG(uint64(k), 4))
		s := drawSystem(r, c.positive, c.negative, c.each, c.full)
		n := len(s.own)
		whole := mat.NewDense(n, n, nil)
		for i, v := range s.own {
			whole.Set(i, i, v)
		}
		for at, v := range s.above {
			whole.Set(at[0], at[1], v)
			whole.Set(at[1], at[0], v)
		}
		b := make([]float64, n)
		for i := range b {
			b[i] = 2*r.Float64() - 1
		}
		var want mat.VecDense
		require.NoError(t, want.SolveVec(whole, mat.NewVecDense(n, slices.Clone(b))))
		got := solver.SolveQuasiDefinite(s.matrix(), s.positive, b)
		assert.InDeltaSlicef(t, want.RawVector().Data, got, 1e-9, "system %d", k)
	}
}

// TestOrderOfTree: a tree can be eliminated from its leaves without any fill,
// and an order by fill finds how (Parter 1961, "The use of linear graphs in
// Gauss elimination", SIAM Rev. 3:119-130, from memory).
func TestOrderOfTree(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 4))
	for range 20 {
		n := 2 + r.IntN(500)
		names := r.Perm(n)
		s := &system{positive: n, above: map[[2]int]float64{}, own: slices.Repeat([]float64{1}, n)}
		for k := 1; k < n; k++ {
			a, b := names[k], names[r.IntN(k)]
			s.above[[2]int{min(a, b), max(a, b)}] = 0.1
		}
		order, fill := solver.OrderAndFill(s.matrix())
		slices.Sort(order)
		for k, v := range order {
			require.EqualValues(t, k, v)
		}
		assert.Equal(t, n-1, fill)
	}
}

// TestOrderOfChain: the factor of a chain, each link joined to the next alone,
// has no more entries than along the chain, whatever order it comes in: the band
// of a column is the rest of its link and the next one.
func TestOrderOfChain(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const width = 6
	for _, links := range []int{50, 500, 5000} {
		n := links * width
		names := r.Perm(n)
		s := &system{positive: n, above: map[[2]int]float64{}, own: slices.Repeat([]float64{1}, n)}
		band := 0
		for k := range n {
			for j := k + 1; j < min(n, (k/width+2)*width); j++ {
				band++
				if r.IntN(3) == 0 {
					s.above[[2]int{min(names[k], names[j]), max(names[k], names[j])}] = 0.01
				}
			}
		}
		_, fill := solver.OrderAndFill(s.matrix())
		assert.Less(t, fill, band)
	}
}
