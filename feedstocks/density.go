package feedstocks

import (
	"fmt"
	"strings"
)

// densityMost is the heaviest bulk density taken, kg/m3. Dry sand is about
// 1600; nothing that goes into compost is near twice that.
const densityMost = 3000

// ParseDensity reads a bulk density such as "420 kg/m3", "700 lb/yd3",
// "0.42 kg/L" or, straight from a bucket on a scale, "9 kg per 20 L", and
// returns kg/m3. The error is a [*QuantityError].
func ParseDensity(text string) (float64, error) {
	const hint = `write a mass for a volume, as in "420 kg/m3" or "9 kg per 20 L"`
	fail := func(problem string) (float64, error) {
		return 0, &QuantityError{Text: text, Problem: problem, Hint: hint}
	}
	number, rest, err := leadingNumber(text)
	if err != nil {
		return fail(err.Error())
	}
	over, under, ok := strings.Cut(rest, "/")
	if !ok {
		over, under, ok = cutWord(rest, "per")
	}
	if !ok {
		return fail("it does not say which mass for which volume")
	}
	size := 1.0
	under = strings.TrimSpace(under)
	if under != "" && (isDigit(under[0]) || under[0] == '.') {
		if size, under, err = leadingNumber(under); err != nil {
			return fail(err.Error())
		}
	}
	var none Measures
	mass, err := none.ParseUnit(over)
	if err != nil || mass.Dimension != Mass {
		return fail(fmt.Sprintf("%q is not a unit of mass", shorten(strings.TrimSpace(over))))
	}
	volume, err := none.ParseUnit(under)
	if err != nil || volume.Dimension != Volume {
		return fail(fmt.Sprintf("%q is not a unit of volume", shorten(under)))
	}
	density := number * mass.Factor / (size * volume.Factor)
	if problem := badDensity(density); problem != "" {
		return fail(problem)
	}
	return density, nil
}

func badDensity(kgM3 float64) string {
	switch {
	case !positive(kgM3):
		return "a bulk density must be over 0 kg/m3"
	case kgM3 > densityMost:
		return fmt.Sprintf("%.4g kg/m3 is heavier than any composting material (at most %d)", kgM3, densityMost)
	}
	return ""
}

// cutWord cuts text at a word that stands by itself, in any case.
func cutWord(text, word string) (before, after string, ok bool) {
	fields := strings.Fields(text)
	for i, f := range fields {
		if strings.EqualFold(f, word) {
			return strings.Join(fields[:i], " "), strings.Join(fields[i+1:], " "), true
		}
	}
	return text, "", false
}
