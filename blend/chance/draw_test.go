package chance

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// of draws for a recipe.
func of(t testing.TB, r *blend.Recipe, draws int, seed uint64) *Chance {
	c, err := Of(t.Context(), r, Settings{Draws: draws, Seed: seed})
	require.NoError(t, err)
	return c
}

// weighed is a mix of three materials in kg.
func weighed(t testing.TB) *blend.Problem {
	return planned(t, `
[pile]
water = "60 L"
[on_hand]
leaves = "100 kg"
"grass clippings" = { amount = "60 kg", moisture = [70, 78, 84] }
"horse manure" = "80 kg"
`)
}

// TestLinearCases draws for mixes whose figure is one unknown times a number
// plus a number, so that its distribution is that of the unknown, moved and
// stretched. Percentiles and the chance must be the exact ones, within the
// sampling error, over many seeds, and without a lean to one side.
func TestLinearCases(t *testing.T) {
	const draws = 20_000
	seeds := uint64(few(24))
	seed := seedOf(t)
	for _, row := range []struct {
		name string
		free feedstocks.Kind
		of   func(*Chance) (Percentiles, float64)
		aim  func(blend.Target) blend.Aim
		// exact gives the figure for a value of the unknown
		exact func(p *blend.Problem, v float64) float64
	}{
		{
			"moisture of a weighed mix", feedstocks.Moisture,
			func(c *Chance) (Percentiles, float64) { return c.Moisture, c.InMoisture },
			func(t blend.Target) blend.Aim { return t.Moisture },
			func(p *blend.Problem, v float64) float64 {
				wet := 60 + 60*v
				for _, j := range []int{0, 2} {
					wet += p.Materials[j].OnHandKg * p.Materials[j].Composition.Moisture
				}
				return wet / 300
			},
		},
		{
			"C:N when one carbon is unknown", feedstocks.Carbon,
			func(c *Chance) (Percentiles, float64) { return c.CarbonToNitrogen, c.InCarbonToNitrogen },
			func(t blend.Target) blend.Aim { return t.CarbonToNitrogen },
			func(p *blend.Problem, v float64) float64 {
				carbon, nitrogen := 0.0, 0.0
				for j, m := range p.Materials {
					dry, c := m.OnHandKg*(1-m.Composition.Moisture), m.Composition.Carbon
					nitrogen += dry * m.Composition.Nitrogen
					if j == 1 {
						c = v
					}
					carbon += dry * c
				}
				return carbon / nitrogen
			},
		},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := weighed(t)
			// nitrogen by itself, so that it does not move with carbon
			m := &p.Materials[1]
			delete(m.Feedstock.Properties, feedstocks.CarbonToNitrogen)
			if row.free == feedstocks.Carbon {
				c := m.Composition.Carbon
				m.Feedstock = m.Feedstock.With(feedstocks.Carbon, feedstocks.Property{Low: 0.8 * c, Typical: c, High: 1.1 * c})
			}
			fixed(&p.Materials[0])
			fixed(&p.Materials[2])
			fixed(m, row.free)
			r := judged(t, p)
			u := unknowns(p)
			require.Len(t, u, 1)
			require.Equal(t, PERT, u[0].Spread.Shape)
			beta, width := betaOf(u[0].Spread, nil), u[0].Spread.High-u[0].Spread.Low
			at := func(share float64) float64 {
				return row.exact(p, u[0].Spread.Low+width*beta.Quantile(share))
			}
			step := row.exact(p, u[0].Spread.Low+width) - row.exact(p, u[0].Spread.Low)
			// the range's upper edge at the exact 60 % point, to have a chance that is known
			aim := row.aim(p.Target)
			aim.Low, aim.Aim, aim.High = at(0.2), at(0.4), at(0.6)
			if row.free == feedstocks.Moisture {
				p.Target.Moisture = aim
			} else {
				p.Target.CarbonToNitrogen = aim
			}
			lean := map[float64]float64{}
			for s := range seeds {
				c := of(t, r, draws, seed+s)
				got, in := row.of(c)
				for _, q := range []struct{ share, value float64 }{{0.1, got.P10}, {0.5, got.P50}, {0.9, got.P90}} {
					density := beta.Prob(beta.Quantile(q.share)) / step
					z := (q.value - at(q.share)) * density / math.Sqrt(q.share*(1-q.share)/draws)
					assert.Less(t, math.Abs(z), veryFar, "%g %%, seed %d", 100*q.share, seed+s)
					lean[q.share] += z / math.Sqrt(float64(seeds))
				}
				z := (in - 0.4) / c.Error(0.4)
				assert.Less(t, math.Abs(z), veryFar, "chance, seed %d", seed+s)
				lean[-1] += z / math.Sqrt(float64(seeds))
			}
			for what, z := range lean {
				assert.Less(t, math.Abs(z), far, "leans at %g", what)
			}
		})
	}
}

// TestVolumeOfWeighedStuff: so many kg of one material of lognormal density
// fill a lognormal volume; so many litres always the same.
func TestVolumeOfWeighedStuff(t *testing.T) {
	seed := seedOf(t)
	for _, row := range []struct {
		amount string
		spread bool
	}{{"80 kg", true}, {"1000 L", false}} {
		p := planned(t, "[on_hand]\nleaves = \""+row.amount+"\"\n[feedstock.leaves]\nbulk_density = [40, 80, 160]")
		fixed(&p.Materials[0], feedstocks.BulkDensity)
		r := judged(t, p)
		c := of(t, r, 100_000, seed)
		if !row.spread {
			for _, v := range []float64{c.VolumeM3.P10, c.VolumeM3.P50, c.VolumeM3.P90} {
				assert.InEpsilon(t, 0.8, v, 1e-12)
			}
			continue
		}
		exact := distuv.LogNormal{Mu: math.Log(0.8), Sigma: math.Log(2) / z95}
		for _, q := range []struct{ share, value float64 }{{0.1, c.VolumeM3.P10}, {0.5, c.VolumeM3.P50}, {0.9, c.VolumeM3.P90}} {
			want := exact.Quantile(q.share)
			deviation := math.Sqrt(q.share*(1-q.share)/100_000) / exact.Prob(want)
			assert.InDelta(t, want, q.value, far*deviation+1e-3*want, "%g %%", 100*q.share)
		}
	}
}

// TestDeltaMethod: where spreads are narrow, a figure's variance is the sum of
// (slope x deviation)^2 over the unknowns, the slopes by differences here. The
// distance of the 10 and 90 % points tells the deviation.
func TestDeltaMethod(t *testing.T) {
	p := planned(t, `
[pile]
water = "60 L"
[on_hand]
leaves = { amount = "100 kg", moisture = 30, carbon_to_nitrogen = 45 }
"grass clippings" = { amount = "60 kg", moisture = 78, carbon_to_nitrogen = 17 }
"horse manure" = { amount = "80 kg", moisture = 70, carbon_to_nitrogen = 30 }
`)
	r := judged(t, p)
	d := newDrawer(r)
	variance := [2]float64{}
	for _, u := range d.unknowns {
		mean, deviation := moments(u.table())
		figure := func(v float64) [2]float64 {
			carbon, nitrogen, wet := 0.0, 0.0, 60.0
			for j, m := range p.Materials {
				c, ratio, moisture := m.Composition.Carbon, m.Composition.Carbon/m.Composition.Nitrogen, m.Composition.Moisture
				if j == u.material {
					switch u.Kind {
					case feedstocks.Carbon:
						c = v
					case feedstocks.CarbonToNitrogen:
						ratio = v
					case feedstocks.Moisture:
						moisture = v
					}
				}
				dry := m.OnHandKg * (1 - moisture)
				carbon += dry * c
				nitrogen += dry * c / ratio
				wet += m.OnHandKg * moisture
			}
			return [2]float64{carbon / nitrogen, wet / 300}
		}
		up, down := figure(mean+deviation), figure(mean-deviation)
		for o := range variance {
			variance[o] += sq((up[o] - down[o]) / 2)
		}
	}
	c := of(t, r, 100_000, seedOf(t))
	ends := 2 * distuv.UnitNormal.Quantile(0.9)
	// 0.6 % sampling error of the distance, and as much of curvature and of
	// the sum's not being normal
	assert.InEpsilon(t, math.Sqrt(variance[0]), (c.CarbonToNitrogen.P90-c.CarbonToNitrogen.P10)/ends, 0.03)
	assert.InEpsilon(t, math.Sqrt(variance[1]), (c.Moisture.P90-c.Moisture.P10)/ends, 0.03)
}

// TestStatedErrorIsTheError: over seeds, the estimates of a chance spread by
// what Error says.
func TestStatedErrorIsTheError(t *testing.T) {
	const draws = 1000
	seeds := float64(few(300))
	seed := seedOf(t)
	r := judged(t, weighed(t))
	r.Problem.Target.CarbonToNitrogen = blend.Aim{Low: 20, Aim: 25, High: 30}
	truth := of(t, r, 50_000*few(10), seed)
	require.True(t, truth.InCarbonToNitrogen > 0.1 && truth.InCarbonToNitrogen < 0.9, "a chance with a spread is wanted, not %g", truth.InCarbonToNitrogen)
	var sum, square float64
	for s := range uint64(seeds) {
		c := of(t, r, draws, seed+1+s)
		away := c.InCarbonToNitrogen - truth.InCarbonToNitrogen
		sum += away
		square += away * away
	}
	stated := (&Chance{Draws: draws}).Error(truth.InCarbonToNitrogen)
	chi := distuv.ChiSquared{K: seeds}
	got := square / sq(stated)
	assert.True(t, got > chi.Quantile(5e-5) && got < chi.Quantile(1-5e-5), "spread is %.3g of what is stated", math.Sqrt(got/seeds))
	assert.Less(t, math.Abs(sum)/stated/math.Sqrt(seeds), far, "lean")
}

// onCores runs work on a number of processors.
func onCores[T any](n int, work func() T) T {
	before := runtime.GOMAXPROCS(n)
	defer runtime.GOMAXPROCS(before)
	return work()
}

func TestSameOnAnyNumberOfCores(t *testing.T) {
	r := rand.New(rand.NewPCG(seedOf(t), 3))
	for range few(2) {
		p := randomPlan(t, r, few(5))
		recipe, err := blend.Formulate(t.Context(), p)
		require.NoError(t, err)
		if recipe.Conflict {
			continue
		}
		type answer struct {
			chance *Chance
			shares []Share
			gains  []Gain
			surest []blend.Part
		}
		work := func() answer {
			a := answer{chance: of(t, recipe, 10_007, 7)}
			var err error
			a.shares, err = Shares(t.Context(), recipe, 7)
			require.NoError(t, err)
			a.gains, err = Gains(t.Context(), recipe, 7)
			require.NoError(t, err)
			s, err := Surest(t.Context(), p, 0.9, 7)
			require.NoError(t, err)
			a.surest = s.Recipe.Mixture.Parts
			for j := range a.surest { // NaN is not equal to itself
				a.surest[j].Composition = feedstocks.Composition{}
			}
			return a
		}
		one := onCores(1, work)
		assert.Equal(t, one, onCores(2, work), describe(p))
	}
}

func TestSeeds(t *testing.T) {
	r := judged(t, weighed(t))
	assert.Equal(t, of(t, r, 20_000, 11), of(t, r, 20_000, 11))
	a, b := of(t, r, 20_000, 11), of(t, r, 20_000, 12)
	assert.NotEqual(t, a.CarbonToNitrogen, b.CarbonToNitrogen)
	assert.InDelta(t, a.InAll, b.InAll, far*math.Sqrt2*a.Error(0.5))
	zero, err := Of(t.Context(), r, Settings{})
	require.NoError(t, err)
	assert.Equal(t, of(t, r, 100_000, 1), zero, "the zero settings")
}

// TestPercentilesAgainstSort, also on values that defeat a careless choice of
// pivot.
func TestPercentilesAgainstSort(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 400).Draw(t, "n")
		values := make([]float64, n)
		switch rapid.IntRange(0, 4).Draw(t, "kind") {
		case 0:
			for i := range values {
				values[i] = rapid.Float64().Draw(t, "value")
			}
		case 1: // few values, many times
			for i := range values {
				values[i] = float64(rapid.IntRange(0, 2).Draw(t, "value"))
			}
		case 2: // rising, falling
			for i := range values {
				values[i] = float64(i)
			}
			if rapid.Bool().Draw(t, "falling") {
				slices.Reverse(values)
			}
		case 3: // an organ pipe
			for i := range values {
				values[i] = float64(min(i, n-i))
			}
		default: // with infinities
			for i := range values {
				values[i] = math.Inf(rapid.SampledFrom([]int{-1, 1}).Draw(t, "sign"))
			}
		}
		sorted := slices.Clone(values)
		slices.Sort(sorted)
		k := rapid.IntRange(0, n-1).Draw(t, "k")
		assert.Equal(t, sorted[k], nth(slices.Clone(values), k))
		p := percentiles(values)
		assert.Equal(t, sorted[int(0.1*float64(n-1)+0.5)], p.P10)
		assert.Equal(t, sorted[int(0.5*float64(n-1)+0.5)], p.P50)
		assert.Equal(t, sorted[int(0.9*float64(n-1)+0.5)], p.P90)
	})
}

// TestSelectionStaysQuick: the order that makes every median of three the
// worst (Musser 1997, Softw. Pract. Exper. 27:983-993) must not take quadratic
// time, which 100,000 values would show as minutes.
func TestSelectionStaysQuick(t *testing.T) {
	const n = 100_000
	values := make([]float64, n)
	for i := range n / 2 {
		if i%2 == 0 {
			values[i] = float64(i + 1)
		} else {
			values[i] = float64(n/2 + i)
		}
		values[n/2+i] = float64(2 * (i + 1))
	}
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	for _, k := range []int{0, n / 10, n / 2, n - 1} {
		assert.Equal(t, sorted[k], nth(slices.Clone(values), k))
	}
}

// TestCoverage draws hidden truths with other code: 80 % of them must lie
// between the 10 and 90 % points.
func TestCoverage(t *testing.T) {
	truths, draws := few(4000), few(100_000)
	seed := seedOf(t)
	r := rand.New(rand.NewPCG(seed, 4))
	covered, of80 := 0.0, 0.0
	for n := 2; n <= 12; n += 1 + 2/few(10) {
		p := randomPlan(t, r, n)
		for j := range p.Materials {
			if j%2 == 0 { // some by weight, or volume would not vary
				p.Materials[j].OnHand = feedstocks.Quantity{}
			}
		}
		p.Pile.WaterKg = 50
		recipe := judged(t, p)
		c := of(t, recipe, draws, seed)
		figures := []struct {
			name string
			p    Percentiles
			of   func(Outcome) float64
			in   int
		}{
			{"C:N", c.CarbonToNitrogen, func(o Outcome) float64 { return o.CarbonToNitrogen }, 0},
			{"moisture", c.Moisture, func(o Outcome) float64 { return o.Moisture }, 0},
			{"volume", c.VolumeM3, func(o Outcome) float64 { return o.VolumeM3 }, 0},
			{"density", c.BulkDensityKgM3, func(o Outcome) float64 { return o.BulkDensityKgM3 }, 0},
		}
		source := rand.NewPCG(seed, uint64(n))
		list := unknowns(p)
		for range truths {
			pile := pileOf(recipe, list, source)
			for i := range figures {
				if v := figures[i].of(pile); v >= figures[i].p.P10 && v <= figures[i].p.P90 {
					figures[i].in++
				}
			}
		}
		// the error of the truths, and that of the two points
		error := math.Sqrt(0.8*0.2/float64(truths) + 2*0.1*0.9/float64(draws))
		for _, f := range figures {
			share := float64(f.in) / float64(truths)
			assert.Less(t, math.Abs(share-0.8)/error, veryFar, "%s of %d materials: %.1f %%\n%s", f.name, n, 100*share, describe(p))
			covered += float64(f.in)
			of80 += float64(truths)
		}
	}
	t.Logf("%.2f %% of %.0f figures lay between the 10 and 90 %% points", 100*covered/of80, of80)
}

func TestDrawsStop(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	r := judged(t, weighed(t))
	_, err := Of(ctx, r, Settings{})
	assert.ErrorIs(t, err, context.Canceled)
	_, err = Shares(ctx, r, 1)
	assert.ErrorIs(t, err, context.Canceled)
	_, err = Gains(ctx, r, 1)
	assert.ErrorIs(t, err, context.Canceled)
	_, err = Surest(ctx, r.Problem, 0.9, 1)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestSettingsOutOfBounds(t *testing.T) {
	r := judged(t, weighed(t))
	for _, draws := range []int{-1, 5, 99, 10_000_001, math.MaxInt} {
		_, err := Of(t.Context(), r, Settings{Draws: draws})
		assert.ErrorContains(t, err, fmt.Sprintf("there cannot be %d draws, only 100 to 10000000", draws))
	}
}

// TestNoPileIsFullerThanFull: wet and dense stuff that nests would be left with
// less than no air.
func TestNoPileIsFullerThanFull(t *testing.T) {
	p := planned(t, "[pile]\nwater = \"100 L\"\n[on_hand]\n\"dairy manure\" = \"1000 L\"")
	r := judged(t, p)
	d := newDrawer(r)
	full := false
	u := make([]float64, len(d.unknowns))
	for _, v := range []float64{0, 0.5, 0.9, 1} {
		for i := range u {
			u[i] = v
		}
		o := d.at(u)
		assert.GreaterOrEqual(t, o.FreeAirSpace, 0.0)
		full = full || o.FreeAirSpace == 0
	}
	assert.True(t, full)
}

// TestNoDensity: what a mix weighs and holds can be told without.
func TestNoDensity(t *testing.T) {
	p := weighed(t)
	p.Materials[0].Composition.DensityKgM3 = math.NaN()
	c := of(t, judged(t, p), 1000, 1)
	assert.True(t, math.IsNaN(c.VolumeM3.P50) && math.IsNaN(c.BulkDensityKgM3.P10) && math.IsNaN(c.FreeAirSpace.P90))
	assert.Positive(t, c.CarbonToNitrogen.P50)
	assert.InDelta(t, 1.0, c.InLimits, 0)
	_, err := Shares(t.Context(), judged(t, p), 1)
	assert.NoError(t, err)
	if raced {
		return // what follows draws much and shares nothing new
	}
	_, err = Gains(t.Context(), judged(t, p), 1)
	assert.NoError(t, err)
	s, err := Surest(t.Context(), p, 0.99, 1)
	require.NoError(t, err)
	assert.Positive(t, s.Chance.InAll)
}

// TestNoneOfOneMaterial: amounts of zero bring nothing and harm nothing.
func TestNoneOfOneMaterial(t *testing.T) {
	p := weighed(t)
	p.Materials[1].OnHandKg = 0
	r := judged(t, p)
	c := of(t, r, 1000, 1)
	assert.False(t, math.IsNaN(c.CarbonToNitrogen.P50) || math.IsNaN(c.InAll))
	shares, err := Shares(t.Context(), r, 1)
	require.NoError(t, err)
	for _, s := range shares {
		assert.NotEqual(t, "grass clippings", s.Unknown.Material)
	}
	s, err := Surest(t.Context(), p, 0.999, 1)
	require.NoError(t, err)
	assert.Zero(t, s.Recipe.Mixture.Parts[1].MassKg)
}

func TestNoMixNoChance(t *testing.T) {
	empty := &blend.Recipe{Problem: &blend.Problem{Target: blend.DefaultTarget()}, Conflict: true}
	_, err := Of(t.Context(), empty, Settings{})
	assert.ErrorContains(t, err, "chance: there is no mix")
	_, err = Shares(t.Context(), empty, 1)
	assert.ErrorContains(t, err, "chance: there is no mix")
	_, err = Gains(t.Context(), empty, 1)
	assert.ErrorContains(t, err, "chance: there is no mix")
}
