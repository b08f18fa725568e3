package season

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"heapwright/feedstocks"
)

// Size is how much of a material a bed asks for: an area and a depth, an area
// and a rate, or an amount outright. What was not given is zero.
type Size struct {
	AreaM2   float64
	DepthM   float64
	VolumeM3 float64 // of all of it
	MassKg   float64 // of all of it, where it was given by weight
}

// SizeError says why the size of a bed cannot be read.
type SizeError struct{ Text, Problem, Hint string }

func (e *SizeError) Error() string { return fmt.Sprintf("season: %q: %s", e.Text, e.Problem) }

const sizeHint = `write it as in "0.75 m x 15 m x 25 mm", "100 m2 x 1 in", "100 m2 at 5 L/m2" or "3 m3"`

// Exact by the international yard of 1959; an acre is 43,560 ft2.
const (
	inchM  = 0.0254
	footM  = 12 * inchM
	acreM2 = 43560 * footM * footM
)

// lengthM and areaM2 give a unit in m and m2; 0 for one that is neither.
func lengthM(unit string) float64 {
	switch unit {
	case "mm", "millimetre", "millimetres":
		return 1e-3
	case "cm", "centimetre", "centimetres":
		return 1e-2
	case "m", "metre", "metres", "meter", "meters":
		return 1
	case "in", "inch", "inches":
		return inchM
	case "ft", "foot", "feet":
		return footM
	case "yd", "yard", "yards":
		return 3 * footM
	}
	return 0
}

func areaM2(unit string) float64 {
	switch unit {
	case "m2", "m²", "sq m", "square metre", "square metres":
		return 1
	case "ha", "hectare", "hectares":
		return 1e4
	case "acre", "acres", "ac":
		return acreM2
	case "ft2", "ft²", "sq ft", "square foot", "square feet":
		return footM * footM
	case "yd2", "yd²", "sq yd", "square yard", "square yards":
		return 9 * footM * footM
	}
	return 0
}

var (
	timesSign  = regexp.MustCompile(`\s+[xX*]\s+|\s*×\s*`)
	countAhead = regexp.MustCompile(`^(\d+)\s+(?:beds?\s+)?of\s+(.+)$`)
	numberUnit = regexp.MustCompile(`^(?:(\d+)\s+(\d+)/(\d+)|(\d+)/(\d+)|(\d+(?:[.,]\d+)?))\s*(\S.*)?$`)
)

// numberAndUnit takes "1 1/2 in" apart; the unit may be missing.
func numberAndUnit(text string) (number float64, unit string, ok bool) {
	g := numberUnit.FindStringSubmatch(strings.TrimSpace(text))
	if g == nil {
		return 0, "", false
	}
	value := func(s string) float64 {
		v, _ := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
		return v
	}
	switch {
	case g[1] != "":
		number = value(g[1]) + value(g[2])/value(g[3])
	case g[4] != "":
		number = value(g[4]) / value(g[5])
	default:
		number = value(g[6])
	}
	return number, strings.ToLower(strings.TrimSpace(g[7])), !math.IsInf(number, 0) && !math.IsNaN(number)
}

// ParseSize reads the size of a bed: length x width x depth or area x depth in
// any units, either of them without the depth, an area "at" a rate (L/m2,
// t/ha, lb/1000 ft2), or a volume or weight outright. "10 of" before it counts
// like beds. The error is a *[SizeError].
func ParseSize(text string, measures feedstocks.Measures) (Size, error) {
	fail := func(format string, v ...any) (Size, error) {
		return Size{}, &SizeError{text, fmt.Sprintf(format, v...), sizeHint}
	}
	bare, count := strings.TrimSpace(text), 1.0
	if g := countAhead.FindStringSubmatch(bare); g != nil {
		n, _ := strconv.Atoi(g[1])
		count, bare = float64(n), g[2]
	}
	bare, rate, hasRate := strings.Cut(bare, " at ")
	var size Size
	var lengths []float64
	for part := range strings.SplitSeq(timesSign.ReplaceAllString(bare, "\x00"), "\x00") {
		number, unit, ok := numberAndUnit(part)
		switch {
		case strings.TrimSpace(part) == "":
			return fail("a part of it is empty")
		case !ok:
			return fail("%q is not a number and a unit", strings.TrimSpace(part))
		case number == 0:
			return fail("%q is nothing", strings.TrimSpace(part))
		case unit == "":
			return fail("%q has no unit", strings.TrimSpace(part))
		case lengthM(unit) > 0:
			lengths = append(lengths, number*lengthM(unit))
		case areaM2(unit) > 0 && size.AreaM2 == 0:
			size.AreaM2 = number * areaM2(unit)
		default:
			q, err := measures.Parse(part)
			if err != nil || len(lengths) > 0 || size.AreaM2 > 0 || size.VolumeM3 > 0 {
				return fail("%q is no length or area", strings.TrimSpace(part))
			}
			if q.Unit.Dimension == feedstocks.Mass {
				size.MassKg = q.Number * q.Unit.Factor
			} else {
				size.VolumeM3 = q.Number * q.Unit.Factor
			}
		}
	}
	outright := size.VolumeM3 > 0 || size.MassKg > 0
	switch {
	case outright && (len(lengths) > 0 || hasRate):
		return fail("an amount needs no depth or rate")
	case outright:
	case size.AreaM2 > 0 && len(lengths) < 2:
	case size.AreaM2 == 0 && (len(lengths) == 2 || len(lengths) == 3):
		size.AreaM2 = lengths[0] * lengths[1]
		lengths = lengths[2:]
	default:
		return fail("it takes a length, a width and a depth, or an area and a depth")
	}
	size.AreaM2 *= count
	size.VolumeM3 *= count
	size.MassKg *= count
	if len(lengths) == 1 {
		if hasRate {
			return fail("give a depth or a rate, not both")
		}
		size.DepthM = lengths[0]
		size.VolumeM3 = size.AreaM2 * size.DepthM
		if size.DepthM > deepest {
			return fail("a depth of %.3g m is no layer on a bed; the last length is the depth", size.DepthM)
		}
	}
	if hasRate {
		amount, perM2, err := parseRate(rate, measures)
		if err != nil {
			return fail("%v", err)
		}
		if amount.Unit.Dimension == feedstocks.Mass {
			size.MassKg = size.AreaM2 * amount.Number * amount.Unit.Factor / perM2
		} else {
			size.VolumeM3 = size.AreaM2 * amount.Number * amount.Unit.Factor / perM2
			size.DepthM = size.VolumeM3 / size.AreaM2
		}
	}
	const most = 1e7 // m2, m3 or kg: ten square kilometres
	if size.AreaM2 > most || size.VolumeM3 > most || size.MassKg > 1000*most {
		return fail("that is larger than any garden")
	}
	return size, nil
}

// deepest is the deepest layer in m that is taken for one on a bed.
const deepest = 1.0

// parseRate reads an amount for an area: "5 L/m2", "200 lb per 1000 ft2".
func parseRate(text string, measures feedstocks.Measures) (amount feedstocks.Quantity, perM2 float64, err error) {
	over, under, ok := strings.Cut(text, "/")
	// "1/2 L/m2" has a slash of its own.
	if second, rest, more := strings.Cut(under, "/"); more {
		over, under = over+"/"+second, rest
	}
	if !ok {
		over, under, ok = strings.Cut(text, " per ")
	}
	if !ok {
		return amount, 0, fmt.Errorf("the rate %q is not an amount for an area", strings.TrimSpace(text))
	}
	if amount, err = measures.Parse(strings.TrimSpace(over)); err != nil {
		return amount, 0, fmt.Errorf("the rate %q does not begin with an amount", strings.TrimSpace(text))
	}
	number, unit, hasNumber := numberAndUnit(under)
	if !hasNumber {
		number, unit = 1, strings.ToLower(strings.TrimSpace(under))
	}
	if perM2 = number * areaM2(unit); perM2 == 0 {
		return amount, 0, fmt.Errorf("%q is no area", strings.TrimSpace(under))
	}
	return amount, perM2, nil
}
