package feedstocks_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/feedstocks"
)

// published makes a material out of the library-like figures given.
func published(figures map[feedstocks.Kind]float64) *feedstocks.Feedstock {
	f := &feedstocks.Feedstock{Name: "trial"}
	for k, v := range figures {
		f = f.With(k, feedstocks.Property{Low: v, Typical: v, High: v, Cite: feedstocks.Cite{Source: "X", Standing: feedstocks.AsRead}})
	}
	return f
}

const (
	nit = feedstocks.Nitrogen
	cn  = feedstocks.CarbonToNitrogen
	car = feedstocks.Carbon
	ash = feedstocks.Ash
	moi = feedstocks.Moisture
)

// The published figures and the carbon that they make impossible are conflict
// 1 of the survey of sources; the relation carbon = (1 - ash) / 1.8 is that of
// Adams et al. 1951 by way of Cornell.
func TestCarbonOfTheLibrary(t *testing.T) {
	rows := []struct {
		material         string
		carbon, nitrogen float64
		from             feedstocks.CarbonBasis
		note             string
		why              string
	}{
		{"leaves", 0.4559, 0.0094, feedstocks.FromProduct, "", "the published medians of N and C:N belong to the same 100 samples"},
		{"grass clippings", 0.034 * 17, 0.034, feedstocks.FromProduct, "", "3.4 x 17 = 57.8 %, just inside"},
		{"wheat straw", 0.0062 * 80, 0.0062, feedstocks.FromProduct, "", "0.62 x 80 = 49.6 %"},
		{"sawdust", 1 / 1.8, 1 / 1.8 / 442, feedstocks.FromLimit, "106 %", "0.24 x 442 = 106 %, ash not known"},
		{"cranberry filter cake", 1 / 1.8, 1 / 1.8 / 31, feedstocks.FromLimit, "86.8 %", "2.8 x 31 = 87 %, ash not known"},
		{"turkey litter", 1 / 1.8, 1 / 1.8 / 14, feedstocks.FromLimit, "58.8 %", "4.2 x 14 = 59 %, ash not known"},
		{"newspaper", 0.975 / 1.8, 0.975 / 1.8 / 625, feedstocks.FromAsh, "62.5 %", "0.1 x 625 = 62 %, ash 2.5 %"},
		{"barley straw", 0.958 / 1.8, 0.958 / 1.8 / 99.1, feedstocks.FromAsh, "76.3 %", "0.77 x 99.1 = 76 %, ash 4.2 %"},
		{"maize cobs", 0.972 / 1.8, 0.972 / 1.8 / 98, feedstocks.FromAsh, "58.8 %", "0.6 x 98 = 59 %, ash 2.8 %"},
		{"apple filter cake", 0.012 * 13, 0.012, feedstocks.FromProduct, "only 15.6 %", "low, and real: it holds a mineral filter aid"},
		{"feedlot manure", 0.013 * 18, 0.013, feedstocks.FromProduct, "only 23.4 %", "low, ash not known"},
	}
	for _, row := range rows {
		t.Run(row.material, func(t *testing.T) {
			c, err := find(t, row.material).Composition()
			require.NoError(t, err)
			assert.InDelta(t, row.carbon, c.Carbon, 1e-9, row.why)
			assert.InDelta(t, row.nitrogen, c.Nitrogen, 1e-9, row.why)
			assert.Equal(t, row.from, c.CarbonFrom, row.why)
			if row.note == "" {
				assert.Empty(t, c.Notes, row.why)
			} else {
				assert.Contains(t, strings.Join(c.Notes, "\n"), row.note, row.why)
			}
		})
	}
}

func TestCarbonRule(t *testing.T) {
	type figures = map[feedstocks.Kind]float64
	rows := []struct {
		name             string
		library, yours   figures
		carbon, nitrogen float64
		from             feedstocks.CarbonBasis
		noted            bool
		why              string
	}{
		{"carbon and nitrogen", figures{car: 0.4, nit: 0.02}, nil, 0.4, 0.02, feedstocks.FromCarbon, false, "rule 3"},
		{"carbon and C:N", figures{car: 0.4, cn: 20}, nil, 0.4, 0.02, feedstocks.FromCarbon, false, "rule 3, nitrogen = carbon / C:N"},
		{"product at the low edge", figures{nit: 0.025, cn: 10}, nil, 0.25, 0.025, feedstocks.FromProduct, false, "rule 4, edges belong to the band"},
		{"low product, ash known", figures{nit: 0.01, cn: 10, ash: 0.55}, nil, 0.25, 0.025, feedstocks.FromAsh, true, "rule 5"},
		{"no nitrogen", figures{cn: 20, ash: 0.1}, nil, 0.5, 0.025, feedstocks.FromAsh, true, "rule 5"},
		{"no C:N", figures{nit: 0.025, ash: 0.1}, nil, 0.5, 0.025, feedstocks.FromAsh, true, "rule 5"},
		{"no nitrogen in it at all", figures{nit: 0, ash: 0.1}, nil, 0.5, 0, feedstocks.FromAsh, true, "nitrogen may be 0"},

		{"your pair beats published carbon", figures{car: 0.48, nit: 0.0094, cn: 48.5}, figures{nit: 0.012, cn: 35}, 0.42, 0.012, feedstocks.FromProduct, false, "rule 1"},
		{"your carbon and C:N", figures{car: 0.48, nit: 0.0094, cn: 48.5}, figures{car: 0.45, cn: 30}, 0.45, 0.015, feedstocks.FromCarbon, false, "rule 1"},
		{"your carbon and nitrogen", figures{nit: 0.034, cn: 17}, figures{car: 0.42, nit: 0.03}, 0.42, 0.03, feedstocks.FromCarbon, false, "rule 1"},
		{"your carbon alone", figures{nit: 0.02, cn: 20}, figures{car: 0.44}, 0.44, 0.02, feedstocks.FromCarbon, false, "rule 1, with the library's nitrogen"},
		{"your pair, impossibly high", nil, figures{nit: 0.05, cn: 20}, 1.0, 0.05, feedstocks.FromProduct, true, "rule 1, as given with a note"},
		{"your pair, low", nil, figures{nit: 0.01, cn: 15}, 0.15, 0.01, feedstocks.FromProduct, true, "rule 1, as given with a note"},
		{"urea", nil, figures{nit: 0.46, car: 0}, 0, 0.46, feedstocks.FromCarbon, false, "carbon may be 0 when the user says so"},
		{"your three disagree", nil, figures{car: 0.45, nit: 0.015, cn: 40}, 0.45, 0.015, feedstocks.FromCarbon, true, "carbon and nitrogen count, with a note"},

		{"your nitrogen, published carbon", figures{car: 0.48, nit: 0.0094, cn: 48.5}, figures{nit: 0.012}, 0.48, 0.012, feedstocks.FromCarbon, false, "rule 2"},
		{"your C:N, published carbon", figures{car: 0.48, nit: 0.0094, cn: 48.5}, figures{cn: 40}, 0.48, 0.012, feedstocks.FromCarbon, false, "rule 2"},
		{"your nitrogen, published pair", figures{nit: 0.08, cn: 6}, figures{nit: 0.03}, 0.48, 0.03, feedstocks.FromPublished, true, "rule 2: stored hen manure keeps its carbon, 3 x 6 would be 18 %"},
		{"your C:N, published pair", figures{nit: 0.08, cn: 6}, figures{cn: 16}, 0.48, 0.03, feedstocks.FromPublished, true, "rule 2: 8 x 16 would be 128 %"},
		{"your nitrogen and ash", figures{nit: 0.08, cn: 6}, figures{nit: 0.03, ash: 0.28}, 0.4, 0.03, feedstocks.FromAsh, false, "rule 2, your ash first"},
		{"your nitrogen beside a published C:N", figures{cn: 27}, figures{nit: 0.015}, 0.405, 0.015, feedstocks.FromProduct, false, "rule 4: nothing was replaced"},
		{"your nitrogen beside a C:N it does not fit", figures{cn: 27}, figures{nit: 0.03}, 1 / 1.8, 0.03, feedstocks.FromLimit, true, "rule 6 with your figure kept"},
		{"your C:N beside a published nitrogen", figures{nit: 0.02}, figures{cn: 20}, 0.4, 0.02, feedstocks.FromProduct, false, "rule 4"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			f := published(row.library).With(moi, feedstocks.Measured(0.5))
			for k, v := range row.yours {
				f = f.With(k, feedstocks.Measured(v))
			}
			c, err := f.Composition()
			require.NoError(t, err, row.why)
			assert.InDelta(t, row.carbon, c.Carbon, 1e-9, row.why)
			assert.InDelta(t, row.nitrogen, c.Nitrogen, 1e-9, row.why)
			assert.Equal(t, row.from, c.CarbonFrom, row.why)
			assert.Equal(t, row.noted, len(c.Notes) > 0, "%v", c.Notes)
		})
	}
}

func TestCompositionWhatIsMissing(t *testing.T) {
	type figures = map[feedstocks.Kind]float64
	rows := []struct {
		name  string
		given figures
		kinds []feedstocks.Kind
		says  string
		why   string
	}{
		{"nothing", nil, []feedstocks.Kind{nit, cn, moi}, "nitrogen, C:N and moisture", "all three are needed"},
		{"moisture", figures{nit: 0.02, cn: 20}, []feedstocks.Kind{moi}, "dry it at 105 C", "how to measure it"},
		{"C:N", figures{nit: 0.02, moi: 0.5}, []feedstocks.Kind{cn}, "carbon_to_nitrogen", "nitrogen alone is half"},
		{"nitrogen", figures{cn: 20, moi: 0.5}, []feedstocks.Kind{nit}, "nitrogen", "C:N alone is half"},
		{"nitrogen beside carbon", figures{car: 0.4, moi: 0.5}, []feedstocks.Kind{nit}, "nitrogen", "carbon alone is half"},
		{"C:N beside ash", figures{ash: 0.2, moi: 0.5}, []feedstocks.Kind{nit, cn}, "C:N", "ash alone says nothing of nitrogen"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			_, err := published(row.given).Composition()
			var missing *feedstocks.MissingError
			require.ErrorAs(t, err, &missing, row.why)
			assert.Equal(t, "trial", missing.Feedstock)
			assert.Equal(t, row.kinds, missing.Kinds, row.why)
			assert.ErrorContains(t, err, row.says, row.why)
		})
	}
}

func TestCompositionOfTheUsableMaterials(t *testing.T) {
	usable := 0
	for _, f := range library(t).All() {
		_, m := f.Properties[moi]
		_, n := f.Properties[nit]
		_, r := f.Properties[cn]
		c, err := f.Composition()
		if !m || !n || !r {
			assert.Error(t, err, f.Name)
			continue
		}
		usable++
		require.NoError(t, err, f.Name)
		assert.GreaterOrEqual(t, c.Carbon, 0.1, f.Name)
		assert.LessOrEqual(t, c.Carbon, 0.6, f.Name)
		assert.Positive(t, c.Nitrogen, f.Name)
		assert.Less(t, c.Carbon+c.Nitrogen, 0.75, f.Name)
		assert.GreaterOrEqual(t, c.VolatileSolids, c.Carbon, f.Name)
		assert.LessOrEqual(t, c.VolatileSolids, 1.0, f.Name)
		density, known := f.Typical(feedstocks.BulkDensity)
		assert.Equal(t, !known, math.IsNaN(c.DensityKgM3), f.Name)
		if known {
			assert.Equal(t, density, c.DensityKgM3, f.Name)
		}
	}
	assert.Equal(t, 76, usable)
}

// Ash 15 % gives 47.2 % carbon (arithmetic on the relation); back from carbon
// the volatile solids are 85 %.
func TestVolatileSolids(t *testing.T) {
	c, err := published(map[feedstocks.Kind]float64{ash: 0.15, cn: 20, moi: 0.5}).Composition()
	require.NoError(t, err)
	assert.InDelta(t, 0.472, c.Carbon, 5e-4)
	assert.InDelta(t, 0.85, c.VolatileSolids, 1e-12)
	c, err = published(map[feedstocks.Kind]float64{car: 0.85 / 1.8, nit: 0.02, moi: 0.5}).Composition()
	require.NoError(t, err)
	assert.InDelta(t, 0.85, c.VolatileSolids, 1e-12)
	assert.True(t, math.IsNaN(c.DensityKgM3) && math.IsNaN(c.Lignin) && math.IsNaN(c.Phosphate) && math.IsNaN(c.Potash), "unknown is NaN")
}

// Whatever is published, carbon that the rule comes up with is no more than
// the band allows, and its ratio to nitrogen is the published one unless
// laboratory carbon says otherwise.
func TestCarbonRuleKeepsTheRatio(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		given := map[feedstocks.Kind]float64{
			nit: rapid.Float64Range(1e-4, 0.2).Draw(t, "nitrogen"),
			cn:  rapid.Float64Range(2, 2000).Draw(t, "C:N"),
			moi: 0.5,
		}
		if rapid.Bool().Draw(t, "ash known") {
			given[ash] = rapid.Float64Range(0, 0.9).Draw(t, "ash")
		}
		c, err := published(given).Composition()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(c.Carbon/c.Nitrogen/given[cn]-1) > 1e-9 {
			t.Fatalf("C:N %g became %g", given[cn], c.Carbon/c.Nitrogen)
		}
		if c.Carbon > 0.58+1e-12 {
			t.Fatalf("carbon %g", c.Carbon)
		}
	})
}

// A user's own figure is never changed by the rule.
func TestYourFiguresStand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := published(map[feedstocks.Kind]float64{
			nit: rapid.Float64Range(1e-3, 0.2).Draw(t, "nitrogen"),
			cn:  rapid.Float64Range(2, 700).Draw(t, "C:N"),
			moi: 0.5,
		})
		kind := rapid.SampledFrom([]feedstocks.Kind{nit, cn, car}).Draw(t, "yours")
		own := rapid.Float64Range(0.01, 0.6).Draw(t, "own")
		if kind == cn {
			own *= 100
		}
		c, err := f.With(kind, feedstocks.Measured(own)).Composition()
		if err != nil {
			t.Fatal(err)
		}
		got := map[feedstocks.Kind]float64{nit: c.Nitrogen, cn: c.Carbon / c.Nitrogen, car: c.Carbon}[kind]
		if math.Abs(got/own-1) > 1e-9 {
			t.Fatalf("%s %g became %g", kind, own, got)
		}
	})
}
