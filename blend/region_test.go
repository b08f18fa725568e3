package blend_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// regionOf is the region of a problem in n slices, in order of moisture.
func regionOf(t testing.TB, p *blend.Problem, n int) blend.Region {
	t.Helper()
	region, err := p.Region(t.Context(), n)
	require.NoError(t, err, describe(p))
	for i, s := range region.Slices {
		require.LessOrEqual(t, s.CarbonToNitrogen.Low, s.CarbonToNitrogen.High, describe(p))
		require.True(t, i == 0 || s.Moisture > region.Slices[i-1].Moisture, describe(p))
	}
	return region
}

// TestRegionOfTwoMaterials: without water, the moisture of a mix of two says
// how much there is of each, and so its C:N. For 1 kg of poor (20 % moist, 48 %
// C, 0.6 % N) to y kg of rich (80 %, 42 %, 3 %), by hand: M = (0.2+0.8y)/(1+y),
// y = (M-0.2)/(0.8-M); carbon 0.384 + 0.084 y; nitrogen 0.0048 + 0.006 y.
func TestRegionOfTwoMaterials(t *testing.T) {
	p := wateredProblem(
		onHand("poor", 200, composed(0.2, 0.48, 0.006, 100)),
		onHand("rich", 300, composed(0.8, 0.42, 0.030, 400)))
	p.Pile.WaterKg = 0
	region := regionOf(t, p, 13)
	require.Len(t, region.Slices, 13)
	assert.InDelta(t, 0.2, region.Slices[0].Moisture, 1e-7)
	assert.InDelta(t, 0.8, region.Slices[12].Moisture, 1e-7)
	for _, s := range region.Slices {
		want := 14.0
		if s.Moisture < 0.8-1e-7 {
			y := max(0, (s.Moisture-0.2)/(0.8-s.Moisture))
			want = (0.384 + 0.084*y) / (0.0048 + 0.006*y)
		}
		assert.InEpsilon(t, want, s.CarbonToNitrogen.Low, 1e-5, "at %g", s.Moisture)
		assert.InEpsilon(t, want, s.CarbonToNitrogen.High, 1e-5, "at %g", s.Moisture)
	}
	// at one half, y = 1: 0.468 / 0.0108
	s, ok := region.At(0.5)
	require.True(t, ok)
	assert.InEpsilon(t, 43.3333, s.CarbonToNitrogen.Low, 1e-5)
	_, ok = region.At(0.19)
	assert.False(t, ok)
}

func TestRegionOfOneMaterial(t *testing.T) {
	p := wateredProblem(onHand("leaves", 200, composed(0.2, 0.48, 0.008, 100)))
	p.Pile.WaterKg = 0
	region := regionOf(t, p, 9)
	require.Len(t, region.Slices, 1, "a point")
	assert.InDelta(t, 0.2, region.Slices[0].Moisture, 1e-7)
	assert.InEpsilon(t, 60, region.Slices[0].CarbonToNitrogen.High, 1e-6)

	p.Pile.WaterKg = math.Inf(1)
	region = regionOf(t, p, 9)
	require.Len(t, region.Slices, 9)
	assert.InDelta(t, 0.2, region.Slices[0].Moisture, 1e-7)
	assert.InDelta(t, 0.98, region.Slices[8].Moisture, 1e-7)
	assert.True(t, region.Open)
	for _, s := range region.Slices { // a line: water changes no C:N
		assert.InEpsilon(t, 60, s.CarbonToNitrogen.Low, 1e-6)
		assert.InEpsilon(t, 60, s.CarbonToNitrogen.High, 1e-6)
	}
}

// TestRegionWithNextToNoNitrogen: a C:N beyond all digits is no failure.
func TestRegionWithNextToNoNitrogen(t *testing.T) {
	p := wateredProblem(
		onHand("ash", 100, composed(0.3, 0.40, 1e-14, 100)),
		onHand("grass", 100, composed(0.6, 0.40, 0.03, 100)))
	region := regionOf(t, p, 9)
	require.NotEmpty(t, region.Slices)
	assert.Greater(t, region.Slices[0].CarbonToNitrogen.High, 1e6)
	s, ok := region.At(0.9)
	require.True(t, ok)
	assert.InEpsilon(t, 0.40/0.03, s.CarbonToNitrogen.Low, agreement)
	assert.Greater(t, s.CarbonToNitrogen.High, 1e6)
}

func TestNoRegion(t *testing.T) {
	p := wateredProblem(forced("leaves", 200, composed(0.2, 0.48, 0.008, 100)))
	p.Pile.LargestM3 = 1 // and 2 m3 must go in
	assert.Empty(t, regionOf(t, p, 9).Slices)

	p.Pile.LargestM3 = -1
	_, err := p.Region(t.Context(), 9)
	assert.Error(t, err)
}

// TestRegionAgainstPairs: without limits on amounts, a mix at the end of a slice
// is of two materials at the most, one of them perhaps water: the program has
// two equations. So the ends are found by trying every pair.
func TestRegionAgainstPairs(t *testing.T) {
	for seed := range uint64(20) {
		c := seeded(70_000 + seed)
		p := wateredProblem()
		if c.odds(1, 2) {
			p.Pile.WaterKg = 0
		}
		for range 2 + c.below(6) {
			carbon := between(c, 0.3, 0.56)
			p.Materials = append(p.Materials, onHand("m", scaled(c, 1, 500), composed(between(c, 0.05, 0.9), carbon, carbon/scaled(c, 6, 400), 200)))
		}
		type stuff struct{ moisture, carbon, nitrogen float64 } // per kg
		var all []stuff
		for _, m := range p.Materials {
			x := part(1, m.Composition)
			all = append(all, stuff{m.Composition.Moisture, x.CarbonKg(), x.NitrogenKg()})
		}
		if p.Pile.WaterKg > 0 {
			all = append(all, stuff{moisture: 1})
		}
		region := regionOf(t, p, 11)
		require.GreaterOrEqual(t, len(region.Slices), 11)
		require.Equal(t, p.Pile.WaterKg > 0, region.Open)
		for i, s := range region.Slices {
			low, high := math.Inf(1), 0.0
			for _, a := range all {
				for _, b := range all {
					share := (s.Moisture - b.moisture) / (a.moisture - b.moisture) // of a
					if !(share >= -1e-7 && share <= 1+1e-7) || a == b {
						continue
					}
					r := (share*a.carbon + (1-share)*b.carbon) / (share*a.nitrogen + (1-share)*b.nitrogen)
					low, high = min(low, r), max(high, r)
				}
			}
			within := agreement
			if i == 0 || i == len(region.Slices)-1 {
				within = 1e-3 // a corner, where a little moisture is much
			}
			assert.InEpsilon(t, low, s.CarbonToNitrogen.Low, within, "seed %d at %g\n%s", seed, s.Moisture, describe(p))
			assert.InEpsilon(t, high, s.CarbonToNitrogen.High, within, "seed %d at %g\n%s", seed, s.Moisture, describe(p))
		}
	}
}

// TestRegionAgainstRandomMixes: of mixes at random, brought to the moisture of a
// slice by putting two of them together, none lies outside of it.
func TestRegionAgainstRandomMixes(t *testing.T) {
	checked, near := 0, 0
	for seed := range uint64(60) {
		p := randomProblem(seeded(80_000+seed), 6)
		if hollow(p) {
			continue
		}
		region := regionOf(t, p, 9)
		c := seeded(90_000 + seed)
		var mixes [][]float64 // amounts, then water
		for range 400 {
			x := make([]float64, len(p.Materials)+1)
			mass := 0.0
			for j, m := range p.Materials {
				x[j] = m.AtLeastKg
				if c.odds(1, 2) {
					x[j] += (m.OnHandKg - m.AtLeastKg) * c.unit()
				}
				mass += x[j]
			}
			if c.odds(1, 2) {
				x[len(p.Materials)] = min(p.Pile.WaterKg, mass*scaled(c, 0.01, 5))
			}
			if mass > 0 && strictlyWithin(p, mixture(p, x)) && known(ratio(p, x...)) {
				mixes = append(mixes, x)
			}
		}
		require.True(t, len(mixes) == 0 || len(region.Slices) > 0, describe(p))
		if len(mixes) == 0 {
			continue
		}
		for range 200 {
			a, b := mixes[c.below(len(mixes))], mixes[c.below(len(mixes))]
			s := region.Slices[c.below(len(region.Slices))]
			// dry and water of a t + b (1-t), and so the t of that moisture
			over := func(x []float64) float64 {
				m := mixture(p, x)
				return m.WaterKg() - s.Moisture*m.MassKg()
			}
			share := over(b) / (over(b) - over(a))
			if !(share >= 0 && share <= 1) {
				continue
			}
			x := make([]float64, len(a))
			for j := range x {
				x[j] = share*a[j] + (1-share)*b[j]
			}
			checked++
			require.InDelta(t, s.Moisture, mixture(p, x).Moisture(), 1e-9)
			r := ratio(p, x...)
			low, high := s.CarbonToNitrogen.Low, s.CarbonToNitrogen.High
			if r < low*(1-1e-6) || r > high*(1+1e-6) {
				t.Fatalf("seed %d: C:N %g at moisture %g outside of %+v\n%s", seed, r, s.Moisture, s, describe(p))
			}
			if r < low*1.03 || r > high/1.03 {
				near++
			}
		}
	}
	require.Greater(t, checked, 1000)
	assert.Greater(t, near, 50, "some come near the ends")
}

// mixture is amounts in kg, then water, as a mix of the problem.
func mixture(p *blend.Problem, x []float64) blend.Mixture {
	m := blend.Mixture{AddedWaterKg: x[len(p.Materials)]}
	for j, material := range p.Materials {
		m.Parts = append(m.Parts, part(x[j], material.Composition))
	}
	return m
}

func known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// TestRegionAgainstTheReferee: with all kinds of limits, gonum's simplex method
// finds mixes up to each end of a slice and none beyond.
func TestRegionAgainstTheReferee(t *testing.T) {
	const near = 1e-3
	sure, unsure := 0, 0
	for seed := range uint64(60) {
		p := randomProblem(seeded(100_000+seed), 6)
		if hollow(p) {
			continue
		}
		region := regionOf(t, p, 7)
		if len(region.Slices) < 7 {
			continue
		}
		judge := newReferee(p)
		for _, s := range region.Slices[1 : len(region.Slices)-1] {
			if s.Moisture > 0.95 {
				continue // the referee's water is not unlimited
			}
			moist := judge.moistureBand(s.Moisture-1e-6, s.Moisture+1e-6)
			low, high := s.CarbonToNitrogen.Low, s.CarbonToNitrogen.High
			for _, end := range []struct {
				name string
				want verdict
				row  []float64
			}{
				{"low", possible, judge.ratioBand(0, low*(1+near))[0]},
				{"under low", impossible, judge.ratioBand(0, low*(1-near))[0]},
				{"high", possible, judge.ratioBand(high*(1-near), 1e9)[1]},
				{"over high", impossible, judge.ratioBand(high*(1+near), 1e9)[1]},
			} {
				if low == 0 && end.name == "under low" {
					continue
				}
				_, v := judge.with(moist[0], moist[1], end.row).least(make([]float64, judge.width))
				if v == failed {
					unsure++
					continue
				}
				sure++
				assert.Equal(t, end.want, v, "seed %d: %s at %g of %+v\n%s", seed, end.name, s.Moisture, s, describe(p))
			}
		}
	}
	require.Greater(t, sure, 400)
	assert.Less(t, unsure, sure/20)
}

func benchmarkRegion(b *testing.B, materials int) {
	problems := randomProblems(1, 32, materials)
	i := 0
	for b.Loop() {
		if _, err := problems[i%len(problems)].Region(b.Context(), 33); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

func BenchmarkRegion12(b *testing.B) { benchmarkRegion(b, 12) }
func BenchmarkRegion60(b *testing.B) { benchmarkRegion(b, 60) }
