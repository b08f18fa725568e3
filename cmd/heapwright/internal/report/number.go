package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"heapwright/blend"
)

// kilograms in a pound and cubic metres in a cubic foot are exact
// (international yard and pound); a US gallon is 231 in3.
const (
	poundKg    = 0.45359237
	cubicFoot  = 0.028316846592
	cubicYard  = 27 * cubicFoot
	usGallonM3 = 0.003785411784
)

// mass writes kg, or lb.
func (u Units) mass(kg float64) string {
	if u == US {
		return short(kg/poundKg) + " lb"
	}
	return short(kg) + " kg"
}

// volume writes m3 (L below a tenth), or yd3 (ft3 below one).
func (u Units) volume(m3 float64) string {
	size, name := u.volumeUnit(m3)
	return short(m3/size) + " " + name
}

// volumeUnit picks the unit that suits a volume, and its size in m3.
func (u Units) volumeUnit(m3 float64) (size float64, name string) {
	switch {
	case u == US && m3 < cubicYard:
		return cubicFoot, "ft3"
	case u == US:
		return cubicYard, "yd3"
	case m3 < 0.1:
		return 0.001, "L"
	}
	return 1, "m3"
}

// span writes a range and its usual value in one unit, to the two digits that
// such a forecast deserves.
func span(s blend.Span, size float64, name string) string {
	say := func(v float64) string { return short(rough(v / size)) }
	return fmt.Sprintf("%s to %s %s, most likely %s", say(s.Low), say(s.High), name, say(s.Usual))
}

// volumes writes a range of volumes.
func (u Units) volumes(s blend.Span) string {
	size, name := u.volumeUnit(s.Usual)
	return span(s, size, name)
}

// masses writes a range of masses.
func (u Units) masses(s blend.Span) string {
	if u == US {
		return span(s, poundKg, "lb")
	}
	return span(s, 1, "kg")
}

// water writes a mass of water as a volume.
func (u Units) water(kg float64) string {
	if u == US {
		return short(kg/1000/usGallonM3) + " US gal"
	}
	return short(kg) + " L"
}

// density writes kg/m3, or lb/yd3.
func (u Units) density(kgM3 float64) string {
	if u == US {
		return strconv.FormatFloat(kgM3/poundKg*cubicYard, 'f', 0, 64) + " lb/yd3"
	}
	return strconv.FormatFloat(kgM3, 'f', 0, 64) + " kg/m3"
}

// short writes a number as a person at a heap would: whole from 100 up, else
// three digits, without trailing zeros.
func short(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	decimals := 0
	for limit := 100.0; math.Abs(v) < limit-0.5*math.Pow10(-decimals) && decimals < 3; limit /= 10 {
		decimals++
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// count writes how many of a measure: one decimal, two below one.
func count(v float64) string {
	decimals := 1
	if math.Abs(v) < 1 {
		decimals = 2
	}
	scale := math.Pow10(decimals)
	return strconv.FormatFloat(math.Round(v*scale)/scale, 'f', -1, 64)
}

// rough rounds to two significant digits, for what is not known better.
func rough(v float64) float64 {
	if v == 0 || !known(v) {
		return v
	}
	scale := math.Pow10(1 - int(math.Floor(math.Log10(math.Abs(v)))))
	return math.Round(v*scale) / scale
}

// one writes a number with one decimal.
func one(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }

// percent writes a fraction as a whole percentage.
func percent(v float64) string { return strconv.FormatFloat(100*v, 'f', 0, 64) + " %" }

// known reports whether v is a number.
func known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
