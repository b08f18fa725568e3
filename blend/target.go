package blend

import (
	"fmt"
	"math"
)

// Aim is a value wanted and the range around it that is still good.
type Aim struct {
	Low, Aim, High float64 // Low < Aim < High
}

// Distance is how far v lies from the aim, in steps of the way from the aim to
// the edge of the range on v's side: 0 at the aim, 1 at the edge. It is +Inf
// when v is not a finite number.
func (a Aim) Distance(v float64) float64 {
	switch {
	case !known(v):
		return math.Inf(1)
	case v < a.Aim:
		return (a.Aim - v) / (a.Aim - a.Low)
	}
	return (v - a.Aim) / (a.High - a.Aim)
}

// Outside reports whether v lies outside the range by more than rounding.
func (a Aim) Outside(v float64) bool { return a.Distance(v) > 1+edge }

// Holds reports whether v is within the range.
func (a Aim) Holds(v float64) bool { return v >= a.Low && v <= a.High }

// narrow is the shorter way from the aim to an edge of the range.
func (a Aim) narrow() float64 { return min(a.High-a.Aim, a.Aim-a.Low) }

// at is the value at a distance above (up) or below the aim.
func (a Aim) at(distance float64, up bool) float64 {
	if up {
		return a.Aim + distance*(a.High-a.Aim)
	}
	return a.Aim - distance*(a.Aim-a.Low)
}

// Target is what a mix should come to.
type Target struct {
	CarbonToNitrogen Aim // to one
	Moisture         Aim // fraction, wet basis
}

// DefaultTarget aims at C:N 30 within 25 to 35 and moisture 55 % within 50 to
// 60 %. Handbook ranges are C:N 20-40, preferred 25-30 (LSU AgCenter 3838-D
// after NRAES-54) or 25-40 (The Composting Handbook 2022, table 4.2), and
// moisture 40-65 %, preferred 50-60 % (the same).
func DefaultTarget() Target {
	return Target{
		CarbonToNitrogen: Aim{25, 30, 35},
		Moisture:         Aim{0.50, 0.55, 0.60},
	}
}

// Distance is the larger of the two distances of a mix.
func (t Target) Distance(m Mixture) float64 {
	return max(t.CarbonToNitrogen.Distance(m.CarbonToNitrogen()), t.Moisture.Distance(m.Moisture()))
}

// Validate checks that each aim is a positive number strictly inside its
// range; moisture must lie below 1.
func (t Target) Validate() error {
	for _, a := range []struct {
		name, unit string
		scale      float64
		Aim
	}{
		{"C:N", "", 1, t.CarbonToNitrogen},
		{"moisture", " %", 100, t.Moisture},
	} {
		say := func(format string, v ...any) error { return &TargetError{a.name, fmt.Sprintf(format, v...)} }
		low, aim, high := a.Low*a.scale, a.Aim.Aim*a.scale, a.High*a.scale
		switch {
		case !known(low) || !known(aim) || !known(high):
			return say("must be numbers")
		case low > high:
			return say("range is upside down: %.6g to %.6g%s", low, high, a.unit)
		case a.scale == 1 && aim > mostRatio:
			return say("aim of %.6g is beyond any pile: it must be at most %d", aim, mostRatio)
		case a.scale == 100 && aim < leastMoisture:
			return say("aim of %.6g %% is drier than dust; for a fraction such as %.6g write %.6g", aim, aim, 100*aim)
		case low < 0 || aim <= 0:
			return say("must be more than zero")
		case a.scale == 100 && high >= 100:
			return say("must stay below 100 %%, and the range reaches %.6g %%", high)
		case aim < low || aim > high:
			return say("aim of %.6g%s lies outside its range of %.6g to %.6g%s", aim, a.unit, low, high, a.unit)
		case aim == low || aim == high:
			return say("aim of %.6g%s lies on the edge of its range of %.6g to %.6g%s, which must reach a little beyond it on both sides", aim, a.unit, low, high, a.unit)
		}
	}
	return nil
}

// Aims beyond these are slips of the pen.
const (
	mostRatio     = 1000
	leastMoisture = 1 // per cent
)

// TargetError says what is wrong with a target.
type TargetError struct{ Aim, Problem string }

func (e *TargetError) Error() string { return "blend: target " + e.Aim + " " + e.Problem }

// Status says where a mix stands against its target.
type Status uint8

const (
	OnTarget   Status = iota + 1 // both aims are met
	InRange                      // both values lie within their ranges
	OutOfReach                   // at least one lies outside
)

// String gives the words used in text and JSON.
func (s Status) String() string {
	switch s {
	case OnTarget:
		return "on target"
	case InRange:
		return "in range"
	case OutOfReach:
		return "out of reach"
	}
	return "not judged"
}

// onTarget is the largest distance that counts as on target: a ten-thousandth
// of the way to the edge of the range, far below any scale or barrow.
const onTarget = 1e-4

// edge is how far beyond 1 a distance may come out by rounding alone.
const edge = 1e-7

// Status judges a mix.
func (t Target) Status(m Mixture) Status {
	switch d := t.Distance(m); {
	case d <= onTarget:
		return OnTarget
	case d <= 1+edge:
		return InRange
	}
	return OutOfReach
}
