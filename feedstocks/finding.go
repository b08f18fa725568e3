package feedstocks

import (
	"fmt"
	"math"
)

// Finding is what a field test tells: one figure or several, how each was come
// by, and what to mind.
type Finding struct {
	// Test names the test in a few words, as in "oven drying, 2 samples". It is
	// the source of the figures.
	Test string
	// Figures are in the order of [Kinds]. Their standing is [Yours]. Low and
	// High are meant as a 90 % range: one truth in twenty is below, one above.
	Figures []Figure
	// Steps are the working, line by line, to redo on paper.
	Steps []string
	// Warnings say what to mind.
	Warnings []Warning
}

// Figure is one property that a test gave.
type Figure struct {
	Kind Kind
	Property
	// Spread says in words where Low and High come from.
	Spread string
}

// Warning is something to mind about a finding.
type Warning struct {
	Key  string // short and stable, for machines: "samples-differ"
	Text string
	// Doubtful marks what speaks against using the figure before the test has
	// been done again or the input looked at.
	Doubtful bool
}

// Doubtful lists the warnings that speak against using the figures.
func (f *Finding) Doubtful() []Warning {
	var out []Warning
	for _, w := range f.Warnings {
		if w.Doubtful {
			out = append(out, w)
		}
	}
	return out
}

func (f *Finding) step(format string, v ...any) {
	f.Steps = append(f.Steps, fmt.Sprintf(format, v...))
}

func (f *Finding) warn(key, format string, v ...any) {
	f.Warnings = append(f.Warnings, Warning{Key: key, Text: fmt.Sprintf(format, v...)})
}

func (f *Finding) doubt(key, format string, v ...any) {
	f.Warnings = append(f.Warnings, Warning{Key: key, Text: fmt.Sprintf(format, v...), Doubtful: true})
}

// figure adds a figure with the test as its source.
func (f *Finding) figure(k Kind, low, typical, high float64, spread string) {
	shape := "normal" // so that draws take the range for 90 %, not for bounds
	if k == BulkDensity {
		shape = "lognormal"
	}
	f.Figures = append(f.Figures, Figure{k, Property{
		Low: low, Typical: typical, High: high, Shape: shape, Cite: Cite{Source: f.Test, Standing: Yours},
	}, spread})
}

// TestError is input to a field test that no figure can be had from.
type TestError struct {
	Field   string // which input: "tare", "fill 2", "sample 1", "carbon"
	Problem string
	Hint    string // what to do about it; may be empty
}

func (e *TestError) Error() string {
	s := "feedstocks: " + e.Problem
	if e.Field != "" {
		s = "feedstocks: " + e.Field + ": " + e.Problem
	}
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// badWeight refuses a weight that no scale shows.
func badWeight(field string, kg float64) error {
	switch {
	case math.IsNaN(kg) || math.IsInf(kg, 0):
		return &TestError{field, fmt.Sprintf("%g is not a weight", kg), ""}
	case kg < 0:
		return &TestError{field, fmt.Sprintf("a weight cannot be negative (%s kg)", digits(kg)), "set the scale to zero with nothing on it"}
	}
	return nil
}

// significantDigits is how many digits of a figure are shown and kept; no field
// test is as good as that.
const significantDigits = 4

// Rounded rounds a figure to the four significant digits in which it is shown
// and saved.
func Rounded(v float64) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return v
	}
	// By way of an exact power of ten on the side that keeps the result the
	// nearest number to its decimal digits.
	exponent := significantDigits - 1 - int(math.Floor(math.Log10(math.Abs(v))))
	if exponent >= 0 {
		return math.Round(v*math.Pow10(exponent)) / math.Pow10(exponent)
	}
	return math.Round(v/math.Pow10(-exponent)) * math.Pow10(-exponent)
}

// digits prints a figure to four significant digits.
func digits(v float64) string { return formatNumber(Rounded(v)) }

// points prints a fraction as per cent, without the sign, to one decimal.
func points(fraction float64) string { return fmt.Sprintf("%.1f", 100*fraction) }
