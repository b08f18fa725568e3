package picture

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"

	"heapwright/blend/pile"
)

// scale is the temperature axis: the readings lie between low and high, with
// room above for the names of the phases and below for the marks.
type scale struct {
	low, high, step float64
	bottom, top     float64
}

// scale fits the axis to readings and thresholds.
func (c *Curve) scale() scale {
	low, high := math.Inf(1), math.Inf(-1)
	see := func(celsius float64) {
		low, high = min(low, c.shown(celsius)), max(high, c.shown(celsius))
	}
	for _, d := range c.Course.Days {
		for _, r := range d.Readings {
			see(r.Celsius)
		}
		for _, r := range d.Air {
			see(r.Celsius)
		}
	}
	for _, r := range c.Rules {
		if (r.From != pile.Limit{}) {
			see(r.From.Celsius)
		}
	}
	s := scale{step: 10}
	if c.Course.Log.Unit == "F" {
		s.step = 20
	}
	s.low, s.high = math.Floor(low/s.step)*s.step, math.Ceil(high/s.step)*s.step
	if s.high == s.low {
		s.high += s.step
	}
	const above, below = 0.10, 0.11 // shares of the height, for names and marks
	s.bottom = s.low - below*(s.high-s.low)
	s.top = s.high + above*(s.high-s.low)
	return s
}

func (s scale) ticks() []plot.Tick {
	var out []plot.Tick
	for v := s.low; v <= s.high+s.step/100; v += s.step {
		out = append(out, plot.Tick{Value: v, Label: strconv.FormatFloat(v, 'f', -1, 64)})
	}
	return out
}

// dayStep is the least round number of days that makes at most so many ticks.
func dayStep(days, most int) int {
	for _, step := range []int{1, 2, 5, 7, 14, 28, 56, 91, 182, 364, 728, 1820, 3640, 7280, 36400} {
		if days/step < most {
			return step
		}
	}
	return days
}

// dayTicks marks days on the x axis, at their midnight.
func (c *Curve) dayTicks() []plot.Tick {
	days := c.Course.Days
	step := dayStep(len(days), 14)
	var out []plot.Tick
	for i, d := range days {
		if c.Course.Log.Dated && i%step == 0 {
			out = append(out, plot.Tick{Value: float64(i), Label: d.Date.Format("2 Jan")})
		} else if !c.Course.Log.Dated && d.Number%step == 0 {
			out = append(out, plot.Tick{Value: float64(i), Label: strconv.Itoa(d.Number)})
		}
	}
	return out
}
