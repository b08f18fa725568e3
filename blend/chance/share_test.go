package chance

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// shareError is the standard error that Shares is documented with.
const shareError = 0.02

// TestIndicesOfKnownFunctions holds the estimates against functions whose
// indices are known: their error over seeds must be the one that is stated,
// and they must not lean to one side.
func TestIndicesOfKnownFunctions(t *testing.T) {
	const seeds = 12
	seed := seedOf(t)
	for _, row := range []struct {
		name         string
		f            func(u []float64) float64
		first, total []float64
	}{
		{
			// Ishigami's function with a = 7 and b = 0.1; indices as in Saltelli
			// et al. (2008), "Global Sensitivity Analysis: The Primer".
			"Ishigami",
			func(u []float64) float64 {
				x := func(j int) float64 { return math.Pi * (2*u[j] - 1) }
				return math.Sin(x(0)) + 7*sq(math.Sin(x(1))) + 0.1*math.Pow(x(2), 4)*math.Sin(x(0))
			},
			[]float64{0.3139, 0.4424, 0}, []float64{0.5576, 0.4424, 0.2437},
		},
		{
			// The g-function of Sobol' with a = 0, 1, 4.5: each first-order variance
			// is v = 1/3/(1+a)^2, and those of groups are products, so the variance
			// is the product of 1+v, less 1.
			"g",
			func(u []float64) float64 {
				g := 1.0
				for j, a := range []float64{0, 1, 4.5} {
					g *= (math.Abs(4*u[j]-2) + a) / (1 + a)
				}
				return g
			},
			gFirst([]float64{0, 1, 4.5}), gTotal([]float64{0, 1, 4.5}),
		},
		{
			// A sum: the shares are those of the squared factors, 1 : 4 : 9.
			"sum",
			func(u []float64) float64 { return 1000 + u[0] + 2*u[1] + 3*u[2] },
			[]float64{1. / 14, 4. / 14, 9. / 14}, []float64{1. / 14, 4. / 14, 9. / 14},
		},
	} {
		t.Run(row.name, func(t *testing.T) {
			k := len(row.first)
			var square, worst float64
			lean := make([]float64, 2*k)
			for s := range uint64(seeds) {
				first, total, err := sobol(t.Context(), &drawer{unknowns: make([]Unknown, k)}, shareDraws, seed+s, 1,
					func(u, out []float64) { out[0] = row.f(u) })
				require.NoError(t, err)
				for j := range k {
					for o, away := range []float64{first[0][j] - row.first[j], total[0][j] - row.total[j]} {
						square += away * away / float64(2*k*seeds)
						worst = max(worst, math.Abs(away))
						lean[o*k+j] += away / seeds
					}
				}
			}
			t.Logf("standard error %.4f, worst %.4f", math.Sqrt(square), worst)
			assert.Less(t, math.Sqrt(square), shareError)
			assert.Less(t, worst, veryFar*shareError)
			for _, l := range lean {
				assert.Less(t, math.Abs(l), veryFar*shareError/math.Sqrt(seeds))
			}
		})
	}
}

func gVariances(a []float64) (v []float64, all float64) {
	all = 1
	for _, a := range a {
		v = append(v, 1./3/sq(1+a))
		all *= 1 + v[len(v)-1]
	}
	return v, all - 1
}

func gFirst(a []float64) (out []float64) {
	v, all := gVariances(a)
	for _, v := range v {
		out = append(out, v/all)
	}
	return out
}

func gTotal(a []float64) (out []float64) {
	v, all := gVariances(a)
	for _, v := range v {
		out = append(out, v*(all+1)/(1+v)/all)
	}
	return out
}

// TestSharesOfMoisture: the moisture of a mix by weight is a sum over its
// materials, so each share is its part of the sum of squares.
func TestSharesOfMoisture(t *testing.T) {
	r := judged(t, weighed(t))
	shares, err := Shares(t.Context(), r, seedOf(t))
	require.NoError(t, err)
	parts, sum := map[string]float64{}, 0.0
	for _, u := range unknowns(r.Problem) {
		if u.Kind == feedstocks.Moisture {
			_, deviation := moments(u.table())
			parts[u.Material] = sq(deviation * r.Mixture.Parts[u.material].MassKg)
			sum += parts[u.Material]
		}
	}
	before := math.Inf(1)
	for _, s := range shares {
		want := 0.0
		if s.Unknown.Kind == feedstocks.Moisture {
			want = parts[s.Unknown.Material] / sum
		}
		assert.InDelta(t, want, s.FirstMoisture, veryFar*shareError, s.Unknown.Words())
		assert.InDelta(t, want, s.TotalMoisture, veryFar*shareError, s.Unknown.Words())
		largest := max(s.TotalRatio, s.TotalMoisture)
		assert.LessOrEqual(t, largest, before, "ranked")
		before = largest
	}
}

// twoHeaps is a small case: so many kg of two materials, of which only the
// moisture and C:N of the second and the moisture of the first are not known.
func twoHeaps(t *testing.T) *blend.Problem {
	p := planned(t, `
[target]
moisture_range = [52, 58]
carbon_to_nitrogen_range = [28, 33]
[on_hand]
leaves = { amount = "200 kg", moisture = [20, 38, 50] }
"grass clippings" = { amount = "200 kg", moisture = [60, 76, 86], carbon_to_nitrogen = [14, 17, 21] }
`)
	fixed(&p.Materials[0], feedstocks.Moisture)
	fixed(&p.Materials[1], feedstocks.Moisture, feedstocks.CarbonToNitrogen)
	return p
}

// TestGainsByBruteForce does the measuring over again: many true values, each
// read into a plan anew as the user's own figure, mixed, and built many times
// by other code.
func TestGainsByBruteForce(t *testing.T) {
	seed := seedOf(t)
	p := twoHeaps(t)
	r, err := blend.Formulate(t.Context(), p)
	require.NoError(t, err)
	gains, err := Gains(t.Context(), r, seed)
	require.NoError(t, err)
	require.NotEmpty(t, gains)
	for _, g := range gains {
		j := g.Unknown.material
		const values, piles = 60, 600
		beta, in := betaOf(g.Unknown.Spread, nil), 0
		for i := range values {
			value := g.Unknown.Spread.Low + (g.Unknown.Spread.High-g.Unknown.Spread.Low)*beta.Quantile((float64(i)+0.5)/values)
			again := *p
			again.Materials = append([]blend.Material{}, p.Materials...)
			m := &again.Materials[j]
			m.Feedstock = m.Feedstock.With(g.Unknown.Kind, feedstocks.Measured(value))
			kept := m.Composition.Carbon
			m.Composition, err = m.Feedstock.Composition()
			require.NoError(t, err)
			require.InDelta(t, kept, m.Composition.Carbon, 1e-9)
			mix, err := blend.Formulate(t.Context(), &again)
			require.NoError(t, err)
			list, truths := unknowns(&again), rand.NewPCG(seed, uint64(i))
			for range piles {
				pile := pileOf(mix, list, truths)
				if pile.CarbonToNitrogen >= 28 && pile.CarbonToNitrogen <= 33 && pile.Moisture >= 0.52 && pile.Moisture <= 0.58 {
					in++
				}
			}
		}
		brute := float64(in) / (values * piles)
		t.Logf("%s: from %.3f to %.3f, by brute force %.3f", g.How, g.Before, g.After, brute)
		error := math.Sqrt(0.25/(values*piles) + 0.25/(gainPoints*gainDraws))
		// the twelve results tried stand for all, within a hundredth
		assert.InDelta(t, brute, g.After, far*error+0.01, g.How)
	}
}

// TestGainsAreGains, on random plans, and in order.
func TestGainsAreGains(t *testing.T) {
	r := rand.New(rand.NewPCG(seedOf(t), 5))
	told := 0
	for n := 2; n < 2+few(4); n++ {
		p := randomPlan(t, r, n)
		recipe, err := blend.Formulate(t.Context(), p)
		require.NoError(t, err)
		if recipe.Conflict {
			continue
		}
		gains, err := Gains(t.Context(), recipe, 1)
		require.NoError(t, err, describe(p))
		for i, g := range gains {
			told++
			assert.Greater(t, g.After, g.Before)
			assert.LessOrEqual(t, g.After, 1.0+1e-9)
			assert.NotEqual(t, feedstocks.Carbon, g.Unknown.Kind)
			if i > 0 {
				assert.LessOrEqual(t, g.After, gains[i-1].After)
			}
		}
	}
	assert.Positive(t, told)
}

// TestGainIsNotThatOfMixingAnew: a recipe that misses its range gains by being
// mixed again. What measuring brings is counted from there.
func TestGainIsNotThatOfMixingAnew(t *testing.T) {
	p := twoHeaps(t)
	mixed, err := blend.Formulate(t.Context(), p)
	require.NoError(t, err)
	bad := p.Recipe([]float64{200, 5}, 0)
	require.Equal(t, blend.OutOfReach, bad.Status)
	anew := of(t, mixed, 100_000, 1)
	gains, err := Gains(t.Context(), bad, 1)
	require.NoError(t, err)
	require.NotEmpty(t, gains)
	for _, g := range gains {
		assert.InDelta(t, anew.InAll, g.Before, 1e-12)
	}
}

// TestGainsWithoutFeedstock: a material of numbers alone can be measured too.
func TestGainsWithoutFeedstock(t *testing.T) {
	p := twoHeaps(t)
	for j := range p.Materials {
		p.Materials[j].Feedstock = nil
	}
	r, err := blend.Formulate(t.Context(), p)
	require.NoError(t, err)
	gains, err := Gains(t.Context(), r, 1)
	require.NoError(t, err)
	assert.NotEmpty(t, gains)
}
