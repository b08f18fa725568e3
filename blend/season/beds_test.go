package season_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/blend"
	"heapwright/blend/season"
	"heapwright/feedstocks"
)

const (
	cubicYard = 0.764554857984 // m3; exact by the international yard
	cubicFoot = cubicYard / 27
	acre      = 4046.8564224 // m2
	pound     = 0.45359237   // kg
)

func volumeOf(t *testing.T, text string) float64 {
	t.Helper()
	size, err := season.ParseSize(text, feedstocks.DefaultMeasures())
	require.NoError(t, err, text)
	return season.NewBed("bed", size, false).CompostM3
}

// TestPublishedAreaDepth checks area x depth against printed figures.
func TestPublishedAreaDepth(t *testing.T) {
	// Cornell Waste Management Institute, compost marketing and labelling
	// guidelines, formula page: 350 ft x 200 ft, 2 in -> 434 yd3 by its rounded
	// factor of 0.0031 yd3 for a ft2 and an inch. Exactly it is 432.1.
	exact := volumeOf(t, "350 ft x 200 ft x 2 in") / cubicYard
	assert.InDelta(t, 432.1, exact, 0.05)
	assert.InDelta(t, 434, exact*0.0031*324, 0.05, "by Cornell's factor")
	// Figures derived by hand: 1 in over 1000 ft2 is 3.086 yd3, over an acre
	// 134.4 yd3.
	assert.InDelta(t, 3.086, volumeOf(t, "1000 ft2 x 1 in")/cubicYard, 0.0005)
	assert.InDelta(t, 134.4, volumeOf(t, "1 acre x 1 in")/cubicYard, 0.05)
	// A bed of 30 in x 100 ft, 1 in deep: 20.83 ft3 = 0.772 yd3, 3.5 level
	// barrows of 6 ft3, 31.2 buckets of 5 US gal.
	bed := volumeOf(t, "30 in x 100 ft x 1 in")
	assert.InDelta(t, 20.83, bed/cubicFoot, 0.005)
	assert.InDelta(t, 0.772, bed/cubicYard, 0.0005)
	assert.InDelta(t, 3.5, bed/(6*cubicFoot), 0.05)
	assert.InDelta(t, 31.2, bed/(5*0.003785411784), 0.05)
	assert.InDelta(t, 0.281, volumeOf(t, "0.75 m x 15 m x 25 mm"), 0.0005)
}

// TestNutrientsOfAnInch checks what an inch brings to an acre: 1234 lb N, 1081
// lb P2O5 and 1097 lb K2O at 1000 lb/yd3, 40 % moisture and the CalRecycle
// means; a tenth of the nitrogen in the first year.
func TestNutrientsOfAnInch(t *testing.T) {
	n := season.TypicalCompost().Nutrients(volumeOf(t, "1 acre x 1 in"))
	assert.InDelta(t, 1234, n.NitrogenKg/pound, 1)
	assert.InDelta(t, 1081, n.PhosphateKg/pound, 1)
	assert.InDelta(t, 1097, n.PotashKg/pound, 1)
	assert.InDelta(t, 123, n.FirstYearKg.Usual/pound, 0.5)
	// 1081 lb P2O5 is 472 lb P; crops take 10 to 80 lb a year.
	years := season.PhosphorusYears(n.PhosphateKg, acre)
	assert.InDelta(t, 472./80, years.Low, 0.05)
	assert.InDelta(t, 472./10, years.High, 0.5)
}

func TestSizes(t *testing.T) {
	for _, c := range []struct {
		text, why string
		area, m3  float64
	}{
		{"10 of 0.75 m x 15 m x 25 mm", "a count", 112.5, 2.8125},
		{"10 beds of 0.75 m × 15 m × 2,5 cm", "decimal comma and a real times sign", 112.5, 2.8125},
		{"100 m2 at 5 L/m2", "a rate by volume", 100, 0.5},
		{"100 m2 at 1/2 L/m2", "a fraction has a slash of its own", 100, 0.05},
		{"1 ha at 593.2764 kg per 100 m2", "a rate by weight, at the density of typical compost", 1e4, 100},
		{"3 barrows", "an amount outright", 0, 0.255},
		{"2 acres x 1/4 in", "plural and fraction", 2 * acre, 2 * acre * 0.0254 / 4},
		{"100 m2", "no depth: half an inch", 100, 1.27},
	} {
		size, err := season.ParseSize(c.text, feedstocks.DefaultMeasures())
		require.NoError(t, err, c.text)
		assert.InDelta(t, c.area, size.AreaM2, 1e-9*(1+c.area), c.why)
		assert.InDelta(t, c.m3, season.NewBed("bed", size, false).CompostM3, 1e-9*(1+c.m3), c.why)
	}
	for _, bad := range []string{
		"", "x", "3", "3 m", "3 m x", "3 m x 4 m x 5 m x 6 m", "3 m x 4 m x 5 m", "-3 m x 4 m", "nan m2", "3 m2 x 4 m2",
		"3 m3 x 2 cm", "3 m3 at 5 L/m2", "3 m2 at 5", "3 m2 at L/m2", "3 m2 at 5 L/m", "3 m2 x 2 cm at 5 L/m2", "0 m2 x 1 cm",
		"1e999 m2", "99999999999999999999 m2", "3 furlongs x 2 m", "1/0 m x 2 m x 3 cm",
	} {
		_, err := season.ParseSize(bad, feedstocks.DefaultMeasures())
		var e *season.SizeError
		assert.ErrorAs(t, err, &e, bad)
	}
}

func FuzzParseSize(f *testing.F) {
	f.Add("10 of 0.75 m x 15 m x 25 mm")
	f.Add("100 m2 at 1/2 L per 3 m2")
	f.Fuzz(func(t *testing.T, text string) {
		size, err := season.ParseSize(text, feedstocks.DefaultMeasures())
		if err != nil {
			return
		}
		for _, v := range []float64{size.AreaM2, size.DepthM, size.VolumeM3, size.MassKg} {
			if !(v >= 0) || math.IsInf(v, 0) {
				t.Errorf("%q: %+v", text, size)
			}
		}
	})
}

// TestNeed: raw mix times what is left is the compost, whatever the beds.
func TestNeed(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var beds season.Beds
		for range rapid.IntRange(1, 5).Draw(r, "beds") {
			size := season.Size{AreaM2: rapid.Float64Range(0.1, 1e4).Draw(r, "area"), DepthM: rapid.Float64Range(0.001, 0.1).Draw(r, "depth")}
			size.VolumeM3 = size.AreaM2 * size.DepthM
			beds.Beds = append(beds.Beds, season.NewBed("bed", size, rapid.Bool().Draw(r, "new")))
		}
		need, err := beds.Need(nil)
		require.NoError(r, err)
		assert.InEpsilon(r, need.CompostM3, need.RawM3.Low*need.Left.High, 1e-12)
		assert.InEpsilon(r, need.CompostM3, need.RawM3.High*need.Left.Low, 1e-12)
		assert.Less(r, need.RawM3.Low, need.RawM3.High)
	})
}

// TestNeedOfRecipe scales a recipe so that its likely compost is what beds ask
// for.
func TestNeedOfRecipe(t *testing.T) {
	plan := blend.NewPlan("")
	plan.Set("14 sacks", "on_hand", "leaves")
	plan.Set("60 kg", "on_hand", "broiler litter")
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	problem, err := plan.Problem(lib)
	require.NoError(t, err)
	recipe, err := blend.Formulate(t.Context(), problem)
	require.NoError(t, err)
	beds := season.Beds{Beds: []season.Bed{season.NewBed("bed", season.Size{VolumeM3: 3}, false)}}
	need, err := beds.Need(recipe)
	require.NoError(t, err)
	scaled := problem.Recipe(need.Loads, need.WaterKg)
	assert.InEpsilon(t, 3, scaled.Figures.FinishedM3.Usual, 1e-9)
	assert.InEpsilon(t, recipe.Figures.CarbonToNitrogen, scaled.Figures.CarbonToNitrogen, 1e-9)
	assert.InEpsilon(t, recipe.Figures.Moisture, scaled.Figures.Moisture, 1e-9)
	// Of the nitrogen that went in four fifths come out.
	assert.InEpsilon(t, 0.8*scaled.Figures.NitrogenKg, need.Compost.Nutrients(3).NitrogenKg, 1e-9)
}
