package feedstocks

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"
)

func TestStudent(t *testing.T) {
	// Tables of Student's t, 95 % point (any book of statistics).
	for freedom, want := range map[int]float64{4: 2.132, 5: 2.015, 6: 1.943, 8: 1.860, 10: 1.812, 20: 1.725, 30: 1.697} {
		assert.InDelta(t, want, student95(freedom), 0.002, "%d degrees", freedom)
	}
	for freedom := singleFreedom; freedom < 200; freedom++ {
		exact := distuv.StudentsT{Sigma: 1, Nu: float64(freedom)}.Quantile(0.95)
		assert.InEpsilon(t, exact, student95(freedom), 1e-3, "%d degrees", freedom)
	}
}

func TestSpreadLimits(t *testing.T) {
	mean, half := spreadOf([]float64{450}, 45)
	assert.Equal(t, 450.0, mean)
	assert.InDelta(t, 45, half, 1e-9, "one reading has what the procedure is good to")

	_, half = spreadOf([]float64{450, 450, 450, 450}, 45)
	assert.Greater(t, half, 10.0, "readings that coincide are not taken for perfect")
	assert.Less(t, half, 45.0)

	many := make([]float64, 100)
	for i := range many {
		many[i] = 450 + 40*float64(i%2)
	}
	mean, half = spreadOf(many, 45)
	// The usual interval: t(99) = 1.660, s = 20 sqrt(100/99).
	assert.InDelta(t, 470, mean, 1e-9)
	assert.InEpsilon(t, 1.660*20*math.Sqrt(100.0/99)/10, half, 0.02)
}

// TestSpreadCovers draws readings whose spread is what the procedure has, in
// the mean of the prior, and asks how often the range holds the truth.
func TestSpreadCovers(t *testing.T) {
	const trials = 20000
	seed := uint64(20261103)
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 0))
	for _, n := range []int{1, 2, 3, 5, 10} {
		const truth, single = 400.0, 40.0
		s0 := single / student95(singleFreedom)
		held := 0
		readings := make([]float64, n)
		for range trials {
			// The variance itself is drawn from the prior that spreadOf takes.
			squares := 0.0
			for range singleFreedom {
				z := r.NormFloat64()
				squares += z * z
			}
			s := s0 * math.Sqrt(singleFreedom/squares)
			for i := range readings {
				readings[i] = truth + s*r.NormFloat64()
			}
			if mean, half := spreadOf(readings, single); math.Abs(mean-truth) <= half {
				held++
			}
		}
		// Standard error of a share of 0.9 in 20,000 is 0.0021; four of them.
		assert.InDelta(t, 0.90, float64(held)/trials, 0.0085, "%d readings", n)
	}
}
