package blend_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// problemOf reads a plan that must be good.
func problemOf(t testing.TB, text string) *blend.Problem {
	t.Helper()
	plan, err := blend.ReadPlan(strings.NewReader(text), "plan.toml")
	require.NoError(t, err)
	p, err := plan.Problem(library(t))
	require.NoError(t, err)
	return p
}

// only is the one material of a plan.
func only(t testing.TB, p *blend.Problem) blend.Material {
	t.Helper()
	require.Len(t, p.Materials, 1)
	return p.Materials[0]
}

const wholePlan = `
title = "Hedge-end bay, second week of November"

[target]
carbon_to_nitrogen = 28
carbon_to_nitrogen_range = [24, 34]
moisture = 56
moisture_range = [51, 62]

[pile]
size = "1.5 m3"
largest = "3 m3"
water = "300 L"
mixing_shrink = 0.15
prefer = "largest"
densest = "600 kg/m3"
air_at_least = "35 %"

[measures]
barrow = "80 L"
sack = "100 L"
tub = "2 barrows"

[on_hand]
leaves = "14 sacks"
"grass clippings" = { amount = "5 barrows", moisture = 78, at_least = "2 barrows" }
"hen litter" = { feedstock = "broiler litter", amount = "60 kg", share_at_most = "25 %", price = "4.50 per sack" }
"hop waste" = "1 tub"

[feedstock."hop waste"]
nitrogen = 3.1
carbon_to_nitrogen = 14
moisture = 70
bulk_density = "420 kg/m3"
source = "laboratory sheet, 3 November"
`

func TestAPlanWithEverything(t *testing.T) {
	plan, err := blend.ReadPlan(strings.NewReader(wholePlan), "plan.toml")
	require.NoError(t, err)
	assert.Equal(t, "Hedge-end bay, second week of November", plan.Title())
	assert.Equal(t, "plan.toml", plan.File())
	p, err := plan.Problem(library(t))
	require.NoError(t, err)

	assert.Equal(t, blend.Aim{Low: 24, Aim: 28, High: 34}, p.Target.CarbonToNitrogen)
	assert.Equal(t, blend.Aim{Low: 0.51, Aim: 0.56, High: 0.62}, p.Target.Moisture)
	assert.Equal(t, blend.Pile{
		SizeM3: 1.5, LargestM3: 3, WaterKg: 300, Shrink: 0.15,
		DensestKgM3: 600, AirAtLeast: 0.35, Prefer: blend.PreferLargest,
	}, p.Pile)

	var names []string
	for _, m := range p.Materials {
		names = append(names, m.Name)
	}
	require.Equal(t, []string{"leaves", "grass clippings", "hen litter", "hop waste"}, names, "in the order of the file")
	leaves, grass, litter, hops := p.Materials[0], p.Materials[1], p.Materials[2], p.Materials[3]

	assert.InDelta(t, 1.4*leaves.Composition.DensityKgM3, leaves.OnHandKg, 1e-9)
	assert.Equal(t, "14 sacks", leaves.OnHand.String())
	assert.Equal(t, 0.78, grass.Composition.Moisture, "this lot's moisture, not the library's")
	assert.InDelta(t, 0.4*grass.Composition.DensityKgM3, grass.OnHandKg, 1e-9)
	assert.InDelta(t, 0.4, grass.AtLeastKg/grass.OnHandKg, 1e-12)
	assert.Equal(t, 60.0, litter.OnHandKg)
	assert.Equal(t, 0.25, litter.ShareAtMost)
	assert.InDelta(t, 4.5/(0.1*litter.Composition.DensityKgM3), litter.PricePerKg, 1e-12)
	assert.Equal(t, "broiler litter", litter.Feedstock.Name)
	assert.InDelta(t, 0.031*14, hops.Composition.Carbon, 1e-12)
	assert.InDelta(t, 0.16*420, hops.OnHandKg, 1e-9, "a tub is two of this plan's barrows")
}

func TestDefaultsOfAPlan(t *testing.T) {
	p := problemOf(t, "[on_hand]\nleaves = \"14 sacks\"")
	assert.Equal(t, blend.DefaultTarget(), p.Target)
	assert.Equal(t, blend.Pile{WaterKg: math.Inf(1), Shrink: blend.DefaultShrink}, p.Pile)
	assert.Equal(t, "target", p.Pile.Prefer.String())
}

func TestAimsAndRanges(t *testing.T) {
	usual := blend.DefaultTarget()
	for _, row := range []struct {
		name, target string
		ratio        blend.Aim
		moisture     blend.Aim
	}{
		{"aims alone shift the usual range", "carbon_to_nitrogen = 35\nmoisture = 60",
			blend.Aim{Low: 30, Aim: 35, High: 40}, blend.Aim{Low: 0.55, Aim: 0.60, High: 0.65}},
		{"ranges alone keep the usual aim inside", "carbon_to_nitrogen_range = [20, 40]\nmoisture_range = [45, 65]",
			blend.Aim{Low: 20, Aim: 30, High: 40}, blend.Aim{Low: 0.45, Aim: 0.55, High: 0.65}},
		{"ranges alone aim at their middle where the usual aim lies outside", "carbon_to_nitrogen_range = [32, 40]\nmoisture_range = [60, 70]",
			blend.Aim{Low: 32, Aim: 36, High: 40}, blend.Aim{Low: 0.60, Aim: 0.65, High: 0.70}},
		{"a usual aim on the edge of the range is no aim", "carbon_to_nitrogen_range = [30, 40]",
			blend.Aim{Low: 30, Aim: 35, High: 40}, usual.Moisture},
		{"an aim near nothing keeps its range over it", "carbon_to_nitrogen = 4",
			blend.Aim{Low: 0, Aim: 4, High: 9}, usual.Moisture},
		{"moisture may be text with its sign", "moisture = \"58 %\"\nmoisture_range = [\"52 %\", \"62,5 %\"]",
			usual.CarbonToNitrogen, blend.Aim{Low: 0.52, Aim: 0.58, High: 0.625}},
		{"fractions of a per cent", "carbon_to_nitrogen = 27.5\nmoisture = 57.5",
			blend.Aim{Low: 22.5, Aim: 27.5, High: 32.5}, blend.Aim{Low: 0.525, Aim: 0.575, High: 0.625}},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := problemOf(t, "[target]\n"+row.target+"\n[on_hand]\nleaves = \"14 sacks\"")
			for _, pair := range [][2]blend.Aim{{row.ratio, p.Target.CarbonToNitrogen}, {row.moisture, p.Target.Moisture}} {
				assert.InDelta(t, pair[0].Low, pair[1].Low, 1e-12)
				assert.InDelta(t, pair[0].Aim, pair[1].Aim, 1e-12)
				assert.InDelta(t, pair[0].High, pair[1].High, 1e-12)
			}
		})
	}
}

// The pound is 0.45359237 kg and the US gallon 231 in3 (NIST Handbook 44).
func TestUnitOfEntryChangesNothing(t *testing.T) {
	density := only(t, problemOf(t, "[on_hand]\nleaves = \"1 kg\"")).Composition.DensityKgM3
	const gallon = 231 * 16.387064e-6
	for _, row := range []struct {
		amount string
		kg     float64
	}{
		{"42 kg", 42}, {"42kg", 42}, {"42000 g", 42}, {"0.042 t", 42}, {"0,042 t", 42},
		{"100 lb", 45.359237}, {"1 1/2 kg", 1.5}, {"½ t", 500},
		{"2.5 m3", 2.5 * density}, {"2500 L", 2.5 * density}, {"2,5 m3", 2.5 * density},
		{"100 US gal", 100 * gallon * density},
		{"14 sacks", 1.54 * density}, {"1 sack", 0.11 * density}, {"2 barrows", 0.17 * density}, {"1.5 Barrows", 0.1275 * density},
	} {
		t.Run(row.amount, func(t *testing.T) {
			for _, form := range []string{`leaves = "%"`, `leaves = { amount = "%" }`, `leaves = { amount = "%", at_least = "%" }`} {
				m := only(t, problemOf(t, "[on_hand]\n"+strings.ReplaceAll(form, "%", row.amount)))
				assert.InEpsilon(t, row.kg, m.OnHandKg, 1e-9, form)
				if strings.Contains(form, "at_least") {
					assert.Equal(t, m.OnHandKg, m.AtLeastKg)
				}
			}
		})
	}
}

func TestWaysToWriteAPile(t *testing.T) {
	for _, row := range []struct {
		name, pile string
		check      func(*testing.T, blend.Pile)
	}{
		{"no water at hand", `water = "0 L"`, func(t *testing.T, p blend.Pile) { assert.Zero(t, p.WaterKg) }},
		{"water by weight", `water = "120 kg"`, func(t *testing.T, p blend.Pile) { assert.Equal(t, 120.0, p.WaterKg) }},
		{"water by the bucket", `water = "12 buckets"`, func(t *testing.T, p blend.Pile) { assert.InDelta(t, 120, p.WaterKg, 1e-9) }},
		{"size in a measure of one's own", `size = "10 barrows"`, func(t *testing.T, p blend.Pile) { assert.InDelta(t, 0.8, p.SizeM3, 1e-12) }},
		{"largest with a decimal comma", `largest = "2,75 m3"`, func(t *testing.T, p blend.Pile) { assert.Equal(t, 2.75, p.LargestM3) }},
		{"shrink as per cent", `mixing_shrink = "25 %"`, func(t *testing.T, p blend.Pile) { assert.Equal(t, 0.25, p.Shrink) }},
		{"no shrink", `mixing_shrink = 0`, func(t *testing.T, p blend.Pile) { assert.Zero(t, p.Shrink) }},
		{"density in pounds", `densest = "1000 lb/yd3"`, func(t *testing.T, p blend.Pile) { assert.InDelta(t, 593.3, p.DensestKgM3, 0.1) }},
		{"air as a number", `air_at_least = 40`, func(t *testing.T, p blend.Pile) { assert.Equal(t, 0.4, p.AirAtLeast) }},
		{"prefer target", `prefer = "target"`, func(t *testing.T, p blend.Pile) { assert.Equal(t, blend.PreferTarget, p.Prefer) }},
		{"prefer cheapest", "size = \"1 m3\"\nprefer = \"cheapest\"", func(t *testing.T, p blend.Pile) { assert.Equal(t, blend.PreferCheapest, p.Prefer) }},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := problemOf(t, "[measures]\nbarrow = \"80 L\"\n[pile]\n"+row.pile+"\n[on_hand]\nleaves = \"40 sacks\"")
			row.check(t, p.Pile)
		})
	}
}

func TestFiguresOfOnesOwn(t *testing.T) {
	lib := library(t)
	grass, err := lib.Find("grass clippings")
	require.NoError(t, err)
	published, err := grass.Composition()
	require.NoError(t, err)

	t.Run("a lot's figure leaves the others alone", func(t *testing.T) {
		m := only(t, problemOf(t, `
[on_hand]
"grass clippings" = { amount = "50 kg", moisture = 70 }`))
		assert.Equal(t, 0.70, m.Composition.Moisture)
		assert.Equal(t, published.Carbon, m.Composition.Carbon)
		assert.Equal(t, published.Nitrogen, m.Composition.Nitrogen)
		assert.Equal(t, published.DensityKgM3, m.Composition.DensityKgM3)
	})
	t.Run("a lot's density sets its weight", func(t *testing.T) {
		m := only(t, problemOf(t, `
[on_hand]
"grass clippings" = { amount = "1 m3", bulk_density = "300 kg/m3" }`))
		assert.Equal(t, 300.0, m.OnHandKg)
	})
	t.Run("a feedstock table replaces figure by figure", func(t *testing.T) {
		m := only(t, problemOf(t, `
[on_hand]
"grass clippings" = "1 m3"
[feedstock."grass clippings"]
bulk_density = 300
nitrogen = [2, 4]`))
		assert.Equal(t, 300.0, m.OnHandKg)
		assert.InDelta(t, 0.03, m.Composition.Nitrogen, 1e-12, "the middle of the range")
		assert.InDelta(t, published.Carbon, m.Composition.Carbon, 1e-12, "one measurement is not multiplied with somebody else's average")
		assert.Equal(t, published.Moisture, m.Composition.Moisture)
	})
	t.Run("a lot's figure goes before the table's", func(t *testing.T) {
		m := only(t, problemOf(t, `
[on_hand]
"grass clippings" = { amount = "50 kg", moisture = 70 }
[feedstock."grass clippings"]
moisture = 60
ash = 12`))
		assert.Equal(t, 0.70, m.Composition.Moisture)
		assert.Equal(t, 0.88, m.Composition.VolatileSolids)
	})
	t.Run("a name of one's own for a known material", func(t *testing.T) {
		m := only(t, problemOf(t, `
[on_hand]
"front lawn" = { feedstock = "Lawn Clippings", amount = "50 kg" }`))
		assert.Equal(t, "front lawn", m.Name)
		assert.Equal(t, "grass clippings", m.Feedstock.Name)
	})
	t.Run("two lots of one material", func(t *testing.T) {
		p := problemOf(t, `
[on_hand]
"old leaves" = { feedstock = "leaves", amount = "50 kg", moisture = 60 }
leaves = "50 kg"`)
		require.Len(t, p.Materials, 2)
		assert.Equal(t, 0.60, p.Materials[0].Composition.Moisture)
		assert.Equal(t, 0.38, p.Materials[1].Composition.Moisture)
	})
	t.Run("a material without density goes by weight", func(t *testing.T) {
		m := only(t, problemOf(t, "[on_hand]\n\"sheep manure\" = \"80 kg\""))
		assert.True(t, math.IsNaN(m.Composition.DensityKgM3))
		assert.Equal(t, 80.0, m.OnHandKg)
	})
	t.Run("and by volume with a density of one's own", func(t *testing.T) {
		m := only(t, problemOf(t, `
[on_hand]
"sheep manure" = { amount = "2 barrows", bulk_density = "9 kg per 20 L" }`))
		assert.InDelta(t, 0.17*450, m.OnHandKg, 1e-9)
	})
}

// Each value of a plan set by Set, as a flag of the command does, says the same
// as the line in the file.
func TestSetSaysTheSame(t *testing.T) {
	set := blend.NewPlan("")
	set.Set(28.0, "target", "carbon_to_nitrogen")
	set.Set([]any{int64(24), int64(34)}, "target", "carbon_to_nitrogen_range")
	set.Set(int64(56), "target", "moisture")
	set.Set([]any{51.0, 62.0}, "target", "moisture_range")
	set.Set("1.5 m3", "pile", "size")
	set.Set("3 m3", "pile", "largest")
	set.Set("300 L", "pile", "water")
	set.Set(0.15, "pile", "mixing_shrink")
	set.Set("largest", "pile", "prefer")
	set.Set("600 kg/m3", "pile", "densest")
	set.Set("35 %", "pile", "air_at_least")
	set.Set("80 L", "measures", "barrow")
	set.Set("100 L", "measures", "sack")
	set.Set("2 barrows", "measures", "tub")
	set.Set("14 sacks", "on_hand", "leaves")
	set.Set("5 barrows", "on_hand", "grass clippings")
	set.SetLot(int64(78), "on_hand", "grass clippings", "moisture")
	set.SetLot("2 barrows", "on_hand", "grass clippings", "at_least")
	set.Set(map[string]any{"feedstock": "broiler litter", "amount": "60 kg", "share_at_most": "25 %", "price": "4.50 per sack"}, "on_hand", "hen litter")
	set.Set("1 tub", "on_hand", "hop waste")
	set.Set(3.1, "feedstock", "hop waste", "nitrogen")
	set.Set(int64(14), "feedstock", "hop waste", "carbon_to_nitrogen")
	set.Set(int64(70), "feedstock", "hop waste", "moisture")
	set.Set("420 kg/m3", "feedstock", "hop waste", "bulk_density")
	assert.Empty(t, set.File())

	p, err := set.Problem(library(t))
	require.NoError(t, err)
	file := problemOf(t, wholePlan)
	assert.Equal(t, file.Target, p.Target)
	assert.Equal(t, file.Pile, p.Pile)
	require.Len(t, p.Materials, len(file.Materials))
	for j, m := range p.Materials {
		was := file.Materials[j]
		assert.Equal(t, was.Name, m.Name)
		assert.Equal(t, was.OnHandKg, m.OnHandKg)
		assert.Equal(t, was.AtLeastKg, m.AtLeastKg)
		assert.Equal(t, was.ShareAtMost, m.ShareAtMost)
		assert.Equal(t, was.PricePerKg, m.PricePerKg)
		assert.Equal(t, was.Composition.Carbon, m.Composition.Carbon)
		assert.Equal(t, was.Composition.Moisture, m.Composition.Moisture)
	}
}

// A value that is set replaces the one in the file, and only that.
func TestSetReplacesALine(t *testing.T) {
	plan, err := blend.ReadPlan(strings.NewReader(wholePlan), "plan.toml")
	require.NoError(t, err)
	plan.Set("20 sacks", "on_hand", "leaves")
	plan.Set(int64(33), "target", "carbon_to_nitrogen")
	p, err := plan.Problem(library(t))
	require.NoError(t, err)
	assert.Equal(t, "leaves", p.Materials[0].Name)
	assert.Equal(t, "20 sacks", p.Materials[0].OnHand.String())
	assert.Equal(t, blend.Aim{Low: 24, Aim: 33, High: 34}, p.Target.CarbonToNitrogen)
	assert.Equal(t, 0.56, p.Target.Moisture.Aim)
}

func TestMeasuresOfAPlan(t *testing.T) {
	plan, err := blend.ReadPlan(strings.NewReader(wholePlan), "plan.toml")
	require.NoError(t, err)
	q, err := plan.Measures().Parse("3 tubs")
	require.NoError(t, err)
	m3, err := q.M3(0)
	require.NoError(t, err)
	assert.InDelta(t, 0.48, m3, 1e-12)
}
