package feedstocks_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/feedstocks"
)

// dried is one sample in g, by oven.
func dried(dish float64, weights ...float64) feedstocks.DryingSample {
	s := feedstocks.DryingSample{DishKg: dish / 1000}
	for _, g := range weights {
		s.WeightsKg = append(s.WeightsKg, g/1000)
	}
	return s
}

func drying(by feedstocks.Dryer, samples ...feedstocks.DryingSample) feedstocks.Drying {
	return feedstocks.Drying{Dryer: by, Samples: samples}
}

func TestMoistureByDrying(t *testing.T) {
	// Richard and Trautmann, Cornell Composting: 10 g of wet grass clippings,
	// a container of 4 g, 6.3 g dry with the container: 77 %.
	f, err := drying(feedstocks.Oven, dried(4, 14, 6.3)).Moisture()
	got := only(t, f, err)
	assert.InDelta(t, 0.77, got.Typical, 1e-9)
	assert.InDelta(t, 0.02, got.High-got.Typical, 1e-9, "one sample by oven is good to 2 points (common practice, no source)")
	assert.Empty(t, f.Warnings)

	// Cornell Composting, a laboratory page: 4.3 g wet and 2.8 g dry, so 1.54
	// wet to dry, and 7.7 g hold 5 g of dry matter.
	f, err = drying(feedstocks.Oven, dried(0, 4.3, 2.8)).Moisture()
	m := only(t, f, err).Typical
	assert.InDelta(t, 1.54, feedstocks.WetPerDry(m), 0.005)
	assert.InDelta(t, 7.7, 5*feedstocks.WetPerDry(m), 0.05)
	assert.Equal(t, []string{"small-sample"}, keys(f))

	// METER Group, a page on the water content of compost: 50 % on dry basis
	// is 33 % on wet basis.
	assert.InDelta(t, 0.33, feedstocks.WetFromDryBasis(0.5), 0.005)
	f, err = feedstocks.MoistureFromDryBasis(0.5)
	assert.InDelta(t, 0.33, only(t, f, err).Typical, 0.005)
}

func TestMoistureOfTwoSamples(t *testing.T) {
	f, err := drying(feedstocks.Oven, dried(4, 104, 44), dried(5, 105, 43)).Moisture()
	got := only(t, f, err)
	assert.InDelta(t, 0.61, got.Typical, 1e-9, "the mean of 60 and 62 %")
	assert.Less(t, got.High-got.Typical, 0.02, "two say more than one")
	assert.Empty(t, f.Warnings, "2 points apart")

	f, err = drying(feedstocks.Oven, dried(4, 104, 44), dried(5, 105, 40.9)).Moisture()
	require.NoError(t, err)
	assert.Equal(t, []string{"samples-differ"}, keys(f), "4.1 points apart")
	assert.Len(t, f.Doubtful(), 1)
}

func TestMicrowaveSeries(t *testing.T) {
	// The last burst takes off under 1 g of 100 g (Saskatchewan; Ohio State).
	f, err := drying(feedstocks.Microwave, dried(210, 310, 265, 250, 248.5, 248.1)).Moisture()
	got := only(t, f, err)
	assert.InDelta(t, 0.619, got.Typical, 1e-9)
	assert.InDelta(t, 0.03, got.High-got.Typical, 1e-9, "3 points, as on straw")
	assert.Empty(t, f.Warnings)

	f, err = drying(feedstocks.Microwave, dried(0, 100, 60, 45)).Moisture()
	got = only(t, f, err)
	assert.Equal(t, []string{"still-drying"}, keys(f))
	assert.InDelta(t, 0.55, got.Typical, 1e-9)
	assert.InDelta(t, 0.55+0.03+0.15, got.High, 1e-9, "the range goes up by what was still leaving")

	// Exactly 1 g of 100 g is not under it.
	f, err = drying(feedstocks.Microwave, dried(0, 100, 46, 45)).Moisture()
	require.NoError(t, err)
	assert.Equal(t, []string{"still-drying"}, keys(f))

	charred := dried(0, 100, 46, 45.5, 40)
	charred.Charred = true
	f, err = drying(feedstocks.Microwave, charred).Moisture()
	got = only(t, f, err)
	assert.InDelta(t, 0.545, got.Typical, 1e-9, "charred: the weight before it")
	assert.Equal(t, []string{"charred"}, keys(f))

	f, err = drying(feedstocks.Microwave, dried(0, 100, 46)).Moisture()
	require.NoError(t, err)
	assert.Equal(t, []string{"not-checked"}, keys(f))
}

func TestMoistureRefuses(t *testing.T) {
	charred := dried(0, 100, 40)
	charred.Charred = true
	for name, test := range map[string]struct {
		drying feedstocks.Drying
		says   string
	}{
		"no sample":              {drying(feedstocks.Oven), "no sample"},
		"dry heavier than wet":   {drying(feedstocks.Oven, dried(4, 14, 15)), "dry (11 g) is heavier than wet (10 g)"},
		"dish heavier than all":  {drying(feedstocks.Oven, dried(20, 14, 6)), "leaves nothing"},
		"negative dish":          {drying(feedstocks.Oven, dried(-4, 14, 6)), "negative"},
		"nan":                    {drying(feedstocks.Oven, dried(0, math.NaN(), 6)), "NaN"},
		"nan dish":               {drying(feedstocks.Oven, dried(math.NaN(), 14, 6)), "NaN"},
		"one weight":             {drying(feedstocks.Oven, dried(0, 14)), "a wet and a dry weight"},
		"weight goes up":         {drying(feedstocks.Microwave, dried(0, 100, 50, 60)), "weight 3"},
		"charred before a check": {drying(feedstocks.Microwave, charred), "charred before"},
		"all water":              {drying(feedstocks.Oven, dried(4, 14, 4)), "leaves nothing"},
	} {
		t.Run(name, func(t *testing.T) {
			f, err := test.drying.Moisture()
			assert.Contains(t, refused(t, f, err).Error(), test.says)
		})
	}
	for _, d := range []float64{-0.1, math.NaN(), math.Inf(1), 1000} {
		f, err := feedstocks.MoistureFromDryBasis(d)
		refused(t, f, err)
	}
}

// TestMoistureOfAnySample: what was put in comes out, whatever the dish.
func TestMoistureOfAnySample(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(0, 0.95).Draw(t, "moisture")
		wet := rapid.Float64Range(10, 500).Draw(t, "wet, g")
		dish := rapid.Float64Range(0, 900).Draw(t, "dish, g")
		f, err := drying(feedstocks.Oven, dried(dish, dish+wet, dish+wet*(1-want))).Moisture()
		require.NoError(t, err)
		got := f.Figures[0]
		assert.InDelta(t, want, got.Typical, 1e-6)
		assert.True(t, 0 <= got.Low && got.High < 1)
	})
}

func TestMoistureFromDensity(t *testing.T) {
	// Leaves published at 150 kg/m3 and 38 %, so 93 kg of dry matter in a m3;
	// 210 measured is 55.7 % (arithmetic on the relation).
	f, err := feedstocks.MoistureFromDensity(210, 150, 0.38)
	got := only(t, f, err)
	assert.InDelta(t, 0.557, got.Typical, 0.0005)
	assert.InDelta(t, 0.10, got.High-got.Typical, 1e-9, "10 points, a judgement")
	assert.Empty(t, f.Doubtful())

	f, err = feedstocks.MoistureFromDensity(150, 150, 0.38)
	assert.InDelta(t, 0.38, only(t, f, err).Typical, 1e-12, "the published density is at the published moisture")

	f, err = feedstocks.MoistureFromDensity(80, 150, 0.38)
	assert.Zero(t, only(t, f, err).Typical)
	assert.Len(t, f.Doubtful(), 1, "lighter than bone dry")
	f, err = feedstocks.MoistureFromDensity(1200, 150, 0.38)
	assert.InDelta(t, 0.9, only(t, f, err).Typical, 1e-12)
	assert.Len(t, f.Doubtful(), 1)

	for _, bad := range [][3]float64{{0, 150, 0.38}, {math.NaN(), 150, 0.38}, {210, -1, 0.38}, {210, 150, 1}, {210, 150, math.NaN()}} {
		f, err := feedstocks.MoistureFromDensity(bad[0], bad[1], bad[2])
		refused(t, f, err)
	}
}
