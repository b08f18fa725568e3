package lesson_test

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Published examples, worked with the formulas that check the sheets: each
// figure must come out as it is printed there.
func TestFormulasOnPublishedExamples(t *testing.T) {
	for _, row := range []struct {
		source, printed string
		value           *big.Rat
		decimals        int
	}{
		{"moisture of clippings, %: Richard and Trautmann, Cornell Composting, moisture content, step 1 (read in a copy): 10 g wet, 6.3 g dry with a container of 4 g",
			"77", times(q("100"), moistureOf(q("10"), minus(q("6.3"), q("4")))), 0},
		{"moisture of the second example there, %: 10 kg of clippings at 77 % and 6.8 kg of leaves at 35 %",
			"60", times(q("100"), moistureOfMix(qs("10", "6.8"), qs("0.77", "0.35"), q("0"))), 0},
		{"kg of wet compost that hold 5 g of dry: Cornell Composting, Advanced microbes: 4.3 g wet, 2.8 g dry",
			"7.7", over(q("5"), minus(q("1"), moistureOf(q("4.3"), q("2.8")))), 1},
		{"C:N of tomato waste and manure, 4 to 1: Agrimaroc 2018, composting of greenhouse waste, case 2",
			"27.5", ratioOf([]*big.Rat{dryOf(q("4"), q("0.55")), dryOf(q("1"), q("0.40"))}, qs("0.12", "0.30"), qs("0.003", "0.015")), 1},
		{"moisture of the same, %",
			"52", times(q("100"), moistureOfMix(qs("4", "1"), qs("0.55", "0.40"), q("0"))), 0},
		{"C:N of three materials, shares of the weight as used: garden handout on the C:N of a compost mix (issuer not shown)",
			"34.7", ratioOf(qs("50", "10", "2"), qs("0.40", "0.10", "0.25"), qs("0.01", "0.01", "0.01")), 1},
		{"dry grass for each kg of dry cattle manure at C:N 30: UTFPR Londrina, course note on solid waste",
			"0.94", goalShare(q("0.3456"), q("0.0192"), q("0.5049"), q("0.0087"), q("30")), 2},
		{"wet manure that holds 1 kg of dry, kg: the same", "2.5", over(q("1"), minus(q("1"), q("0.60"))), 1},
		{"manure, L, at 400 kg/m3: the same", "6.25", times(over(q("2.5"), q("400")), q("1000")), 2},
		{"grass, L, from the 1.02 kg printed there, at 30 kg/m3: the same", "34", times(over(q("1.02"), q("30")), q("1000")), 0},
		{"bulk density, kg/L: Eawag/Sandec, supplementary material on composting, section 1: 20 L bucket, 1 kg empty, 10 kg full",
			"0.45", over(minus(q("10"), q("1")), q("20")), 2},
		{"volume, m3: UFRRJ, waste page lixo6: 13,000 kg at 570 kg/m3", "22.8", over(q("13000"), q("570")), 1},
		{"length, m, at a section of 3.4 m2: the same", "6.7", over(over(q("13000"), q("570")), q("3.4")), 1},
	} {
		assert.Equal(t, row.printed, row.value.FloatString(row.decimals), row.source)
	}
}

func qs(of ...string) []*big.Rat {
	var out []*big.Rat
	for _, s := range of {
		out = append(out, q(s))
	}
	return out
}

// Arches under y = h(1 - (2x/w)^2), summed in strips: the section of a windrow.
func TestParabolaIsTwoThirds(t *testing.T) {
	const strips = 2000
	w, h := 2.4, 1.1
	sum := 0.0
	for i := range strips {
		x := (float64(i)+0.5)/strips - 0.5
		sum += h * (1 - 4*x*x) * w / strips
	}
	area, _ := parabola(q("2.4"), q("1.1")).Float64()
	assert.InDelta(t, sum, area, 1e-6)
}
