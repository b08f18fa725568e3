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

// printed reads a share as a sheet prints it.
func printed(t testing.TB, text string) feedstocks.Reported {
	t.Helper()
	r, err := feedstocks.ParseReported(text)
	require.NoError(t, err)
	return r
}

func ratio(t testing.TB, text string) feedstocks.Reported {
	t.Helper()
	r, err := feedstocks.ParseReportedRatio(text)
	require.NoError(t, err)
	return r
}

// byKind gives the typical figures of a sheet.
func byKind(t testing.TB, s feedstocks.Sheet) (map[feedstocks.Kind]float64, *feedstocks.Finding) {
	t.Helper()
	f, err := s.Figures()
	require.NoError(t, err)
	all := map[feedstocks.Kind]float64{}
	for _, figure := range f.Figures {
		assert.LessOrEqual(t, figure.Low, figure.Typical)
		assert.LessOrEqual(t, figure.Typical, figure.High)
		assert.NotEmpty(t, figure.Spread)
		all[figure.Kind] = figure.Typical
	}
	return all, f
}

func TestParseReported(t *testing.T) {
	for text, want := range map[string][2]float64{
		"2.4":        {0.024, 0.001},
		"2.40 %":     {0.024, 0.0001},
		"24 g/kg":    {0.024, 0.001},
		"2,4 %":      {0.024, 0.001},
		"3600 mg/kg": {0.0036, 1e-6},
		"3600 ppm":   {0.0036, 1e-6},
		"45":         {0.45, 0.01},
		"1/2 %":      {0.005, 0},
	} {
		got := printed(t, text)
		assert.InDelta(t, want[0], got.Value, 1e-12, text)
		assert.InDelta(t, want[1], got.Step, 1e-12, text)
	}
	for _, text := range []string{"", "nan", "-2", "120", "2.4 kg", "1200 g/kg", "2.4 lb/ton", "inf"} {
		_, err := feedstocks.ParseReported(text)
		assert.Error(t, err, text)
	}
	assert.InDelta(t, 29.5, ratio(t, "29.5:1").Value, 1e-12)
	for _, text := range []string{"", "nan", "0", "-3", "29 %", "20000"} {
		_, err := feedstocks.ParseReportedRatio(text)
		assert.Error(t, err, text)
	}
}

func TestOxides(t *testing.T) {
	// The usual factors of fertiliser tables: P x 2.2914 = P2O5, K x 1.2046 = K2O.
	assert.InDelta(t, 2.2914, feedstocks.PhosphateFromPhosphorus(1), 0.0003)
	assert.InDelta(t, 1.2046, feedstocks.PotashFromPotassium(1), 0.0003)
}

func TestSheetAsReceived(t *testing.T) {
	got, f := byKind(t, feedstocks.Sheet{
		Basis: feedstocks.AsReceived, Moisture: printed(t, "62 %"),
		Carbon: printed(t, "17.1"), Nitrogen: printed(t, "0.91"), CarbonToNitrogen: ratio(t, "18.8"), Ash: printed(t, "5.2"),
		Phosphorus: printed(t, "0.20"), Potassium: printed(t, "6 g/kg"), BulkDensityKgM3: 480,
	})
	// Arithmetic: each divided by 0.38; C:N is that of 17.1 and 0.91.
	assert.InDelta(t, 0.62, got[feedstocks.Moisture], 1e-12)
	assert.InDelta(t, 0.171/0.38, got[feedstocks.Carbon], 1e-12)
	assert.InDelta(t, 0.0091/0.38, got[feedstocks.Nitrogen], 1e-12)
	assert.InDelta(t, 17.1/0.91, got[feedstocks.CarbonToNitrogen], 1e-9)
	assert.InDelta(t, 0.052/0.38, got[feedstocks.Ash], 1e-12)
	assert.InDelta(t, 2.2914*0.002/0.38, got[feedstocks.Phosphate], 1e-5)
	assert.InDelta(t, 1.2046*0.006/0.38, got[feedstocks.Potash], 1e-5)
	assert.InDelta(t, 480, got[feedstocks.BulkDensity], 1e-12)
	assert.Empty(t, f.Warnings)
	for i := 1; i < len(f.Figures); i++ {
		assert.Less(t, f.Figures[i-1].Kind, f.Figures[i].Kind, "in the order of Kinds")
	}
}

func TestSheetOnDryMatter(t *testing.T) {
	got, f := byKind(t, feedstocks.Sheet{
		Basis: feedstocks.DryBasis, DryMatter: printed(t, "38 %"),
		Nitrogen: printed(t, "2.4"), CarbonToNitrogen: ratio(t, "18.8"), OrganicMatter: printed(t, "85 %"),
	})
	assert.InDelta(t, 0.62, got[feedstocks.Moisture], 1e-12)
	assert.InDelta(t, 0.024*18.8, got[feedstocks.Carbon], 1e-12, "nitrogen x C:N")
	assert.InDelta(t, 0.15, got[feedstocks.Ash], 1e-12)
	// Adams et al. 1951 by way of Cornell: ash 15 % goes with 47.2 % carbon.
	assert.Contains(t, strings.Join(f.Steps, "\n"), "= 47.22 % of dry matter")

	got, _ = byKind(t, feedstocks.Sheet{Basis: feedstocks.DryBasis, Carbon: printed(t, "45"), CarbonToNitrogen: ratio(t, "30")})
	assert.InDelta(t, 0.015, got[feedstocks.Nitrogen], 1e-12, "carbon / C:N")
}

func TestSheetContradictions(t *testing.T) {
	dry := func(change func(*feedstocks.Sheet)) feedstocks.Sheet {
		s := feedstocks.Sheet{Basis: feedstocks.DryBasis}
		change(&s)
		return s
	}
	for name, test := range map[string]struct {
		sheet feedstocks.Sheet
		says  string
	}{
		"carbon, nitrogen and C:N": {dry(func(s *feedstocks.Sheet) {
			s.Carbon, s.Nitrogen, s.CarbonToNitrogen = printed(t, "45.2"), printed(t, "1.60"), ratio(t, "22")
		}), "carbon 45.2 % / nitrogen 1.6 % is 28.25 (28.13 to 28.37 with their rounding), and the sheet says C:N 22"},
		"nothing at all":         {feedstocks.Sheet{}, "no figures"},
		"no basis":               {feedstocks.Sheet{Nitrogen: printed(t, "2")}, "must be told"},
		"as received, no water":  {feedstocks.Sheet{Basis: feedstocks.AsReceived, Nitrogen: printed(t, "2")}, "need the moisture"},
		"more than all":          {feedstocks.Sheet{Basis: feedstocks.AsReceived, Moisture: printed(t, "80"), Carbon: printed(t, "45")}, "225 % of the dry matter"},
		"moisture and dry":       {feedstocks.Sheet{Moisture: printed(t, "60"), DryMatter: printed(t, "35")}, "do not make 100 %"},
		"all water":              {feedstocks.Sheet{Moisture: printed(t, "100")}, "leaves no dry matter"},
		"ash and organic matter": {dry(func(s *feedstocks.Sheet) { s.Ash, s.OrganicMatter = printed(t, "15"), printed(t, "75") }), "do not make 100 %"},
		"carbon over organic":    {dry(func(s *feedstocks.Sheet) { s.Carbon, s.Ash = printed(t, "45"), printed(t, "60") }), "more than all of it"},
		"P and P2O5":             {dry(func(s *feedstocks.Sheet) { s.Phosphorus, s.Phosphate = printed(t, "0.50"), printed(t, "0.50") }), "1.146 % P2O5"},
		"too much carbon":        {dry(func(s *feedstocks.Sheet) { s.Nitrogen, s.CarbonToNitrogen = printed(t, "5"), ratio(t, "40") }), "more than there is dry matter"},
		"nan":                    {dry(func(s *feedstocks.Sheet) { s.Carbon = feedstocks.Exactly(math.NaN()) }), "not a share"},
		"nan dry matter":         {feedstocks.Sheet{Moisture: printed(t, "60"), DryMatter: feedstocks.Exactly(math.NaN())}, "not a share"},
		"nan ratio":              {feedstocks.Sheet{CarbonToNitrogen: feedstocks.Exactly(math.NaN())}, "not a ratio"},
		"nan step":               {dry(func(s *feedstocks.Sheet) { s.Carbon = feedstocks.Reported{Value: 0.4, Step: math.NaN(), Given: true} }), "not a share"},
		"bad density":            {feedstocks.Sheet{BulkDensityKgM3: math.Inf(1)}, "bulk density"},
	} {
		t.Run(name, func(t *testing.T) {
			f, err := test.sheet.Figures()
			assert.Contains(t, refused(t, f, err).Error(), test.says)
		})
	}
}

// TestSheetRounding: figures rounded from one truth never contradict.
func TestSheetRounding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(30, 50).Draw(t, "carbon")
		n := rapid.Float64Range(0.3, 5).Draw(t, "nitrogen")
		round := func(v float64, decimals int) feedstocks.Reported {
			step := math.Pow10(-decimals)
			return feedstocks.Reported{Value: math.Round(v/step) * step, Step: step, Given: true}
		}
		percent := func(v float64, decimals int) feedstocks.Reported {
			r := round(v, decimals)
			return feedstocks.Reported{Value: r.Value / 100, Step: r.Step / 100, Given: true}
		}
		s := feedstocks.Sheet{
			Basis:            feedstocks.DryBasis,
			Carbon:           percent(c, rapid.IntRange(0, 2).Draw(t, "carbon decimals")),
			Nitrogen:         percent(n, rapid.IntRange(1, 3).Draw(t, "nitrogen decimals")),
			CarbonToNitrogen: round(c/n, rapid.IntRange(0, 2).Draw(t, "ratio decimals")),
		}
		_, err := s.Figures()
		require.NoError(t, err)
		// And a C:N that is a tenth off, told with two decimals, always does
		// when carbon and nitrogen are told finely.
		s.Carbon, s.Nitrogen = percent(c, 2), percent(n, 3)
		s.CarbonToNitrogen = round(1.1*c/n, 2)
		_, err = s.Figures()
		require.Error(t, err)
	})
}

func TestSheetDoubts(t *testing.T) {
	for name, sheet := range map[string]feedstocks.Sheet{
		"carbon-beside-ash": {Basis: feedstocks.DryBasis, Carbon: printed(t, "30"), Ash: printed(t, "10")},
		"carbon-unusual":    {Basis: feedstocks.DryBasis, Carbon: printed(t, "20")},
		"nitrogen-unusual":  {Basis: feedstocks.DryBasis, Nitrogen: printed(t, "46")},
	} {
		_, f := byKind(t, sheet)
		assert.Equal(t, []string{name}, keys(f))
		assert.Len(t, f.Doubtful(), 1)
	}
}
