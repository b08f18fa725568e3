package feedstocks_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/feedstocks"
)

// Litres or kilograms in one of a unit. NIST is NIST Handbook 44, appendix C.
func TestUnitFactors(t *testing.T) {
	rows := []struct {
		unit      string
		dimension feedstocks.Dimension
		size      float64 // L or kg
		within    float64 // relative
		why       string
	}{
		{"lb", feedstocks.Mass, 0.45359237, 1e-15, "international pound, exact; NIST"},
		{"oz", feedstocks.Mass, 0.028349523125, 1e-15, "1/16 lb, exact; NIST"},
		{"short ton", feedstocks.Mass, 907.18474, 1e-15, "2000 lb, exact; NIST"},
		{"tonne", feedstocks.Mass, 1000, 1e-15, "1000 kg"},
		{"ft3", feedstocks.Volume, 28.316846592, 1e-15, "0.3048 m cubed, exact; NIST"},
		{"yd3", feedstocks.Volume, 764.554857984, 1e-15, "27 ft3, exact; NIST"},
		{"US gal", feedstocks.Volume, 3.785411784, 1e-14, "231 in3, exact; NIST"},
		{"bushel", feedstocks.Volume, 35.23907016688, 1e-14, "struck, 2150.42 in3, exact; NIST"},
		{"imperial gal", feedstocks.Volume, 4.54609, 1e-15, "exact by law, from memory"},
		{"mL", feedstocks.Volume, 1e-3, 1e-15, "a thousandth of a litre"},
		{"pail", feedstocks.Volume, 18.927, 1e-5, "5 US gal; Washington State University bulk density text"},
		{"leaf bag", feedstocks.Volume, 4.01 * 28.316846592, 1e-3, "30 US gal is 4.01 ft3; Naperville open data"},
		{"contractor barrow", feedstocks.Volume, 170, 1e-3, "6 ft3; common practice"},
		{"bale", feedstocks.Mass, 22.7, 1e-3, "40 to 60 lb, middle"},
		{"trailer", feedstocks.Volume, 2.96 * 764.554857984, 2e-3, "80 ft3 = 2.96 yd3, arithmetic"},
	}
	m := feedstocks.DefaultMeasures()
	for _, row := range rows {
		t.Run(row.unit, func(t *testing.T) {
			u, err := m.ParseUnit(row.unit)
			require.NoError(t, err)
			require.Equal(t, row.dimension, u.Dimension)
			size := u.Factor
			if u.Dimension == feedstocks.Volume {
				size *= 1000
			}
			assert.InEpsilon(t, row.size, size, row.within, row.why)
		})
	}
}

// NIST Handbook 44: the heaped bushel is 2747.715 in3, a struck bushel and a
// cone 6 in high on the 19.5 in outer diameter (dimensions from memory).
func TestHeapedBushel(t *testing.T) {
	u, err := feedstocks.DefaultMeasures().ParseUnit("bushel")
	require.NoError(t, err)
	in3 := u.Factor / math.Pow(0.0254, 3)
	assert.InDelta(t, 2747.715, in3+math.Pi*9.75*9.75*6/3, 5e-4)
}

func TestParse(t *testing.T) {
	rows := []struct {
		text, want string // want as printed
		why        string
	}{
		{"14 sacks", "14 sacks", "plural"},
		{"1 sack", "1 sack", "singular"},
		{"1 sacks", "1 sack", "the wrong number is forgiven"},
		{"2.5 m3", "2.5 m3", "decimal point"},
		{"2,5 m³", "2.5 m3", "decimal comma and a raised 3"},
		{"0,125 m3", "0.125 m3", "three decimals after a nought cannot be thousands"},
		{"1,25 m3", "1.25 m3", "two decimals after a comma"},
		{"1.250 m3", "1.25 m3", "a point is always decimal"},
		{"1 1/2 barrows", "1.5 barrows", "mixed fraction"},
		{"1/2 barrow", "0.5 barrows", "fraction"},
		{"1½ barrows", "1.5 barrows", "fraction of one character"},
		{"1 ½ barrows", "1.5 barrows", "with a space"},
		{"¾ bucket", "0.75 buckets", "alone"},
		{".5 L", "0.5 L", "no nought before the point"},
		{"300L", "300 L", "no space"},
		{"300 LITRES", "300 L", "capitals, British"},
		{"3 liters", "3 L", "American"},
		{"2 cubic yards", "2 yd3", "in words"},
		{"2 cubic feet", "2 ft3", "irregular plural"},
		{"10 lbs.", "10 lb", "with a full stop"},
		{"5 US gallons", "5 US gal", "United States"},
		{"5 imp. gal", "5 imperial gal", "imperial"},
		{"3 short tons", "3 short tons", "two words"},
		{"2 wheelbarrows", "2 barrows", "another word for it"},
		{"4 leaf-bags", "4 leaf bags", "hyphen"},
		{"1 three-string bale", "1 three-string bale", "hyphen in the name"},
		{"0 L", "0 L", "nothing is a quantity: no water at hand"},
		{"\t2  kg ", "2 kg", "spaces around"},
	}
	m := feedstocks.DefaultMeasures()
	for _, row := range rows {
		t.Run(row.text, func(t *testing.T) {
			q, err := m.Parse(row.text)
			require.NoError(t, err, row.why)
			assert.Equal(t, row.want, q.String(), row.why)
		})
	}
}

func TestFractionCharacters(t *testing.T) {
	m := feedstocks.DefaultMeasures()
	for text, want := range map[string]float64{
		"¼": 0.25, "½": 0.5, "¾": 0.75, "⅓": 1.0 / 3, "⅔": 2.0 / 3, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875, "3⁄4": 0.75,
	} {
		q, err := m.Parse("2" + " " + text + " sacks")
		require.NoError(t, err, text)
		assert.InDelta(t, 2+want, q.Number, 1e-12, text)
	}
}

func TestParseRefuses(t *testing.T) {
	rows := []struct{ name, text, says, why string }{
		{"empty", "", "does not begin with a number", "nothing there"},
		{"no number", "sacks", "does not begin with a number", "how many?"},
		{"no unit", "14", "unit is missing", "14 what?"},
		{"thousands", "1,000 L", `could be 1000 or 1.000`, "ambiguous"},
		{"thousands and decimals", "1,000.5 L", "thousands separators", "English style"},
		{"thousands and decimals, continental", "1.000,5 L", "thousands separators", "continental style"},
		{"thousands by space", "1 000 L", "two numbers", "French style"},
		{"negative", "-3 sacks", "negative", "there is no less than none"},
		{"not a number", "nan L", "does not begin with a number", "nan is no number"},
		{"exponent", "1e3 L", "not a unit", "nobody writes so of sacks"},
		{"no decimals", "1, L", "digit is missing", "slip"},
		{"by nought", "1/0 L", "not clear", "no such fraction"},
		{"too much", "99999999999 kg", "too large", "slip"},
		{"far too much", "1" + fmt.Sprintf("%0400d", 0) + " kg", "too large", "overflows a float"},
		{"gallon", "5 gallons", "US gal or imperial gal", "two gallons in the world"},
		{"ton", "2 tons", "short ton", "three tons in the world"},
		{"yard", "2 yards", "yd3", "a length"},
		{"near", "3 barows", "did you mean barrow?", "slip of the finger"},
		{"a sentence", "7 sacks of leaves", "did you mean sack", "the material goes elsewhere"},
	}
	m := feedstocks.DefaultMeasures()
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			_, err := m.Parse(row.text)
			var bad *feedstocks.QuantityError
			require.ErrorAs(t, err, &bad, row.why)
			assert.Equal(t, row.text, bad.Text)
			assert.ErrorContains(t, err, row.says, row.why)
		})
	}
}

func TestMassAndVolume(t *testing.T) {
	m := feedstocks.DefaultMeasures()
	barrows, err := m.Parse("2 barrows")
	require.NoError(t, err)
	kg, err := barrows.Kg(400)
	require.NoError(t, err)
	assert.InDelta(t, 68, kg, 1e-9, "2 x 85 L x 400 kg/m3")
	m3, err := barrows.M3(math.NaN())
	require.NoError(t, err, "a volume needs no density to be a volume")
	assert.InDelta(t, 0.17, m3, 1e-12)

	bale, err := m.Parse("1 bale")
	require.NoError(t, err)
	kg, err = bale.Kg(math.NaN())
	require.NoError(t, err, "a mass needs no density to be a mass")
	assert.InDelta(t, 22.68, kg, 0.01)
	m3, err = bale.M3(135)
	require.NoError(t, err)
	assert.InDelta(t, 0.168, m3, 1e-3, "a bale shaken out")

	for _, density := range []float64{math.NaN(), 0, -1, math.Inf(1)} {
		_, err = barrows.Kg(density)
		var lacks *feedstocks.DensityError
		require.ErrorAs(t, err, &lacks, "%g", density)
		assert.Equal(t, barrows, lacks.Quantity)
		_, err = bale.M3(density)
		require.ErrorAs(t, err, &lacks, "%g", density)
	}
	_, err = barrows.Kg(math.NaN())
	assert.ErrorContains(t, err, "weigh a bucket")
}

func TestParseDensity(t *testing.T) {
	rows := []struct {
		text string
		want float64
		why  string
	}{
		{"420 kg/m3", 420, "the plain one"},
		{"0.42 kg/L", 420, "per litre"},
		{"0,42 t/m³", 420, "decimal comma, tonnes"},
		{"9 kg per 20 L", 450, "Eawag/Sandec after Cooperband 2002: 9 kg in 20 L is 0.45 kg/L"},
		{"1000 lb/yd3", 593.276, "1000 lb/yd3, exact factors"},
		{"25 lb per 5 US gal", 599.1, "25 lb in a 5 gal bucket is 1010 lb/yd3; WSU bulk density text"},
		{"10 lb/ft3", 160.18, "exact factors"},
	}
	for _, row := range rows {
		t.Run(row.text, func(t *testing.T) {
			got, err := feedstocks.ParseDensity(row.text)
			require.NoError(t, err)
			assert.InEpsilon(t, row.want, got, 1e-4, row.why)
		})
	}
	for text, says := range map[string]string{
		"420":          "which mass for which volume",
		"420 kg":       "which mass for which volume",
		"5 L/kg":       "not a unit of mass",
		"5 kg/sack":    "not a unit of volume",
		"0 kg/m3":      "over 0",
		"9 kg/0 L":     "over 0",
		"4000 kg/m3":   "heavier than",
		"heavy":        "does not begin with a number",
		"-4 kg/m3":     "negative",
		"4 kg/1,000 L": "could be",
	} {
		_, err := feedstocks.ParseDensity(text)
		var bad *feedstocks.QuantityError
		require.ErrorAs(t, err, &bad, text)
		assert.ErrorContains(t, err, says, text)
	}
}

func TestParsePercent(t *testing.T) {
	for _, v := range []any{int64(78), 78, 78.0, "78", "78 %", "78%", " 78 % "} {
		got, err := feedstocks.ParsePercent(v)
		require.NoError(t, err, "%v", v)
		assert.InDelta(t, 0.78, got, 1e-15, "%v", v)
	}
	got, err := feedstocks.ParsePercent("78,5 %")
	require.NoError(t, err)
	assert.InDelta(t, 0.785, got, 1e-15)
	for _, v := range []any{math.NaN(), math.Inf(1), -1.0, 100.1, int64(-1), "101 %", "nan", "", "%", "much", true, nil, []any{1.0}} {
		_, err := feedstocks.ParsePercent(v)
		assert.Error(t, err, "%v", v)
	}
}

func TestParsePrice(t *testing.T) {
	m := feedstocks.DefaultMeasures()
	for _, text := range []string{"4.50 per sack", "4,50/sack", "£4.50 per sack", "€ 4.5 / sacks", "4 1/2 PER sack"} {
		p, err := m.ParsePrice(text)
		require.NoError(t, err, text)
		assert.Equal(t, 4.5, p.Amount, text)
		assert.Equal(t, "sack", p.Per.Name, text)
		assert.Equal(t, "4.5 per sack", p.String())
	}
	for text, says := range map[string]string{
		"4.50":           "what the price is for",
		"4.50 sack":      "what the price is for",
		"-1 per sack":    "negative",
		"3 per 4 sacks":  "for one unit",
		"3 per snack":    "did you mean sack?",
		"free":           "does not begin with a number",
		"4.50 per ":      "what the price is for",
		"4.50/":          "unit is missing",
		"1,000 per sack": "could be",
	} {
		_, err := m.ParsePrice(text)
		var bad *feedstocks.QuantityError
		require.ErrorAs(t, err, &bad, text)
		assert.ErrorContains(t, err, says, text)
	}
}

func TestOwnMeasures(t *testing.T) {
	m := feedstocks.DefaultMeasures()
	parse := func(m feedstocks.Measures, text string) feedstocks.Quantity {
		q, err := m.Parse(text)
		require.NoError(t, err, text)
		return q
	}
	own, err := m.With("barrow", parse(m, "70 L"))
	require.NoError(t, err)
	assert.InDelta(t, 0.07, parse(own, "1 wheelbarrow").Unit.Factor, 1e-12, "another word for it follows")
	assert.InDelta(t, 0.085, parse(m, "1 barrow").Unit.Factor, 1e-12, "the first measures stay as they were")

	own, err = own.With("tractor buckets", parse(own, "4 barrows"))
	require.NoError(t, err)
	assert.Equal(t, "3 tractor buckets", parse(own, "3 Tractor-Buckets").String())
	assert.Equal(t, "1 tractor bucket", parse(own, "1 tractor bucket").String())
	assert.InDelta(t, 0.28, parse(own, "1 tractor bucket").Unit.Factor, 1e-12, "by another measure")
	own, err = own.With("crate", parse(own, "12 kg"))
	require.NoError(t, err)
	assert.Equal(t, feedstocks.Mass, parse(own, "1 crate").Unit.Dimension)

	list := own.List()
	require.Greater(t, len(list), 3)
	for i, x := range list {
		assert.Equal(t, i < 3, x.Own, x.Name)
		assert.NotEmpty(t, x.Note, x.Name)
		assert.True(t, x.Measure, x.Name)
	}

	for name, says := range map[string]string{
		"kg": "unit already", "Litres": "unit already", "gallon": "another name", "": "needs a name", "5-gallon": "begins with a letter",
		"a/b": "letters, digits", "a\x00": "letters, digits", "fork\u00adful": "letters, digits", "s": "",
	} {
		_, err := m.With(name, parse(m, "10 L"))
		if says == "" {
			assert.NoError(t, err, name)
			continue
		}
		assert.ErrorContains(t, err, says, name)
	}
	_, err = m.With("thimble", feedstocks.Quantity{Number: 0, Unit: parse(m, "1 L").Unit})
	assert.ErrorContains(t, err, "more than nothing")
	_, err = m.With("lake", parse(m, "5000 m3"))
	assert.ErrorContains(t, err, "too large")

	var none feedstocks.Measures
	assert.Empty(t, none.List())
	own, err = none.With("tub", parse(none, "40 L"))
	require.NoError(t, err, "the zero value may be added to")
	assert.Len(t, own.List(), 1)
}

// A measure goes by its name however oddly that is spelt.
func TestOwnMeasureReadsBack(t *testing.T) {
	m := feedstocks.DefaultMeasures()
	litres, err := m.Parse("10 L")
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[A-Za-zà-ÿ][A-Za-z0-9 -]{0,12}`).Draw(t, "name")
		own, err := m.With(name, litres)
		if err != nil {
			t.Skip(err.Error())
		}
		for _, n := range []string{"1", "3"} {
			q, err := own.Parse(n + " " + name)
			if err != nil {
				t.Fatal(err)
			}
			again, err := own.Parse(q.String())
			if err != nil || again != q {
				t.Fatalf("%q read back as %v: %v", q, again, err)
			}
		}
	})
}

// Volume by density and back is the same volume.
func TestMassVolumeRoundTrip(t *testing.T) {
	m := feedstocks.DefaultMeasures()
	kg, err := m.ParseUnit("kg")
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		density := rapid.Float64Range(10, 2000).Draw(t, "density")
		mass := rapid.Float64Range(0.1, 1e5).Draw(t, "mass")
		m3, err := feedstocks.Quantity{Number: mass, Unit: kg}.M3(density)
		if err != nil || math.Abs(m3*density/mass-1) > 1e-12 {
			t.Fatal(m3, err)
		}
	})
}

func FuzzParseQuantity(f *testing.F) {
	for _, s := range []string{"14 sacks", "2,5 m3", "1 1/2 barrows", "1½ m³", "300L", "1,000 L", "5 gal", ".5 US gal", "½3 L", "1/2/3 kg", "-1 kg", "\xff", "0.0000001 g"} {
		f.Add(s)
	}
	m := feedstocks.DefaultMeasures()
	f.Fuzz(func(t *testing.T, text string) {
		if _, err := feedstocks.ParseDensity(text); err == nil {
			t.Log("a density too")
		}
		q, err := m.Parse(text)
		if err != nil {
			var bad *feedstocks.QuantityError
			require.ErrorAs(t, err, &bad)
			return
		}
		require.False(t, math.IsNaN(q.Number) || math.IsInf(q.Number, 0) || q.Number < 0, text)
		again, err := m.Parse(q.String())
		require.NoError(t, err, "%q printed as %q", text, q)
		require.Equal(t, q, again, text)
	})
}
