package lesson

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
)

const (
	// mostDecimals and mostDigits bound what a pupil has to write down in a
	// line of working.
	mostDecimals, mostDigits = 4, 6
	// edge is how near a value may lie to the middle between two roundings, in
	// steps of the last digit. Like all bounds on what is reckoned, it is no
	// short decimal: values do not come to lie on it, where the last bit of a
	// float, which differs between processors, would decide.
	edge = 0.0973
	// dust is what floats may be off by.
	dust = 1e-9
	// doubt is how near a value with many decimals may come to one with few,
	// beyond the dust.
	doubt = 3.07e-9
	// shortDecimals is how many decimals a result has that is printed whole
	// before it is rounded; one that is rounded to more digits may have more.
	shortDecimals = 3
)

// drawing is one attempt at a problem. Whatever finds that the problem would
// not come out clean sets unclean, and another attempt is made.
type drawing struct {
	rand    *rand.Rand
	stock   []material
	unclean bool
}

// among draws a whole number from low to high in the given step.
func (d *drawing) among(low, high, step int) int {
	return low + step*d.rand.IntN((high-low)/step+1)
}

// pick draws one of several things.
func pick[T any](d *drawing, of ...T) T { return of[d.rand.IntN(len(of))] }

// want makes the problem unclean unless ok.
func (d *drawing) want(ok bool) {
	if !ok {
		d.unclean = true
	}
}

// exact prints a value of the working that must have few digits.
func (d *drawing) exact(v float64) string {
	scaled := v * math.Pow10(mostDecimals)
	d.want(math.Abs(scaled-math.Round(scaled)) < dust*max(1, math.Abs(scaled)) && math.Abs(v) < math.Pow10(mostDigits))
	s := plain(v)
	n := 0
	for _, r := range s {
		if r >= '0' && r <= '9' && (n > 0 || r != '0') {
			n++
		}
	}
	d.want(n <= mostDigits)
	return s
}

// rounded prints a value to so many decimals, as the question asks; -1 is to
// the nearest ten.
func (d *drawing) rounded(v float64, decimals int) string {
	scaled := math.Abs(v) * math.Pow10(decimals)
	d.want(!math.IsNaN(v) && !math.IsInf(v, 0))
	d.want(math.Abs(scaled-math.Floor(scaled)-0.5) > edge)
	if decimals < 0 {
		scale := math.Pow10(-decimals)
		return strconv.FormatFloat(math.Round(v/scale)*scale, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// carried prints a value to so many decimals that may be reckoned from the full
// figures or from answers already rounded: both must come out alike.
func (d *drawing) carried(full, fromRounded float64, decimals int) string {
	s := d.rounded(full, decimals)
	d.want(s == d.rounded(fromRounded, decimals))
	return s
}

// ends closes a line of working with its result, s, rounded from v, the value of
// the figures that the line prints. An equals sign stands only before what is
// equal: digits that go on are cut off with dots, and what is rounded says so.
func (d *drawing) ends(v float64, s string, decimals int, unit string) string {
	d.want(s == d.rounded(v, decimals))
	if unit != "" {
		unit = " " + unit
	}
	shown := max(decimals, 0) + 2
	short, scale := max(shown, shortDecimals), math.Pow10(shown)
	switch off, ok := d.offDecimal(v, short); {
	case off || !ok:
		return fmt.Sprintf(" = %s...%s, rounded %s%s", strconv.FormatFloat(math.Trunc(v*scale)/scale, 'f', shown, 64), unit, s, unit)
	case math.Abs(v-number(s)) < dust*max(1, math.Abs(v)):
		return " = " + s + unit
	}
	whole := math.Round(v*math.Pow10(short)) / math.Pow10(short)
	return fmt.Sprintf(" = %s%s, rounded %s%s", strconv.FormatFloat(whole, 'f', -1, 64), unit, s, unit)
}

// offDecimal reports whether v has more than so many decimals. It is not ok
// when v is so near to a decimal that floats might tell it so or so.
func (d *drawing) offDecimal(v float64, decimals int) (off, ok bool) {
	scaled := math.Abs(v) * math.Pow10(decimals)
	gap := math.Abs(scaled - math.Round(scaled))
	off = gap >= dust/100*max(1, scaled)
	ok = !off || gap > doubt*max(1, scaled)
	d.want(ok)
	return off, ok
}

// number reads back what was printed.
func number(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// plain prints a value without trailing zeros, free of the dust of floats.
func plain(v float64) string {
	scale := math.Pow10(mostDecimals)
	return strconv.FormatFloat(math.Round(v*scale)/scale, 'f', -1, 64)
}
