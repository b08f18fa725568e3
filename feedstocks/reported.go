package feedstocks

import (
	"fmt"
	"math"
	"strings"
)

// Reported is a figure as a laboratory printed it.
type Reported struct {
	Value float64 // a fraction, or a plain ratio
	Step  float64 // one step of its last printed digit; 0 for a figure without rounding
	Given bool    // false for a figure that the sheet does not have
}

// Exactly is a figure without rounding.
func Exactly(value float64) Reported { return Reported{Value: value, Given: true} }

// ParseReported reads a share of mass with the rounding that its digits show:
// "2.4", "2.4 %", "24 g/kg", "24000 mg/kg" or "24000 ppm". A bare number is per
// cent. The error is a [*QuantityError].
func ParseReported(text string) (Reported, error) {
	v, rest, step, err := reportedNumber(text)
	if err != nil {
		return Reported{}, &QuantityError{Text: text, Problem: err.Error(), Hint: numberHint(err, `write per cent, as in "2.4 %", or g/kg or mg/kg`)}
	}
	per := 100.0
	switch strings.ReplaceAll(strings.ToLower(rest), " ", "") {
	case "", "%", "percent", "percent.":
	case "g/kg":
		per = 1000
	case "mg/kg", "ppm":
		per = 1e6
	default:
		return Reported{}, &QuantityError{Text: text, Problem: fmt.Sprintf("%q is not a share of mass", shorten(rest)), Hint: "the units here are %, g/kg and mg/kg"}
	}
	if v > per {
		return Reported{}, &QuantityError{Text: text, Problem: "a share of mass cannot be over the whole of it"}
	}
	return Reported{v / per, step / per, true}, nil
}

// ParseReportedRatio reads a ratio to one, "29" or "29:1", with the rounding
// that its digits show. The error is a [*QuantityError].
func ParseReportedRatio(text string) (Reported, error) {
	v, rest, step, err := reportedNumber(cutToOne(text))
	if err == nil && rest != "" {
		err = fmt.Errorf("%q is not a ratio", shorten(rest))
	}
	if err == nil && (v <= 0 || v > ratioMost) {
		err = fmt.Errorf("a C:N is over 0 and at most %d", ratioMost)
	}
	if err != nil {
		return Reported{}, &QuantityError{Text: text, Problem: err.Error(), Hint: `write a number, as in "29" or "29:1"`}
	}
	return Reported{v, step, true}, nil
}

// reportedNumber reads a number, what follows it, and the step of its last
// digit. Zeros at the end of a whole number count as digits.
func reportedNumber(text string) (v float64, rest string, step float64, err error) {
	if v, rest, err = leadingNumber(text); err != nil {
		return 0, "", 0, err
	}
	number := strings.TrimSuffix(strings.TrimSpace(text), rest)
	step = 1
	if i := strings.IndexAny(number, ".,"); i >= 0 {
		decimals, _ := leadingDigits(number[i+1:])
		step = math.Pow10(-len(decimals))
	}
	if strings.ContainsAny(number, "/⁄½¼¾⅓⅔⅛⅜⅝⅞") {
		step = 0
	}
	return v, rest, step, nil
}

// low and high are the ends of what was rounded to the figure.
func (r Reported) low() float64  { return r.Value - r.Step/2 }
func (r Reported) high() float64 { return r.Value + r.Step/2 }

// scaled is the figure times a factor over 0.
func (r Reported) scaled(by float64) Reported { return Reported{r.Value * by, r.Step * by, r.Given} }

// badShare refuses a figure that is no share of a whole.
func (r Reported) badShare(field string) error {
	if r.Given && !(r.Value >= 0 && r.Value <= 1 && r.Step >= 0 && r.Step <= 1) {
		return &TestError{field, fmt.Sprintf("%g %% is not a share of the whole", 100*r.Value), "it is from 0 to 100 %"}
	}
	return nil
}
