package pile

import "math"

// AirSwing is a time in which the air grew warmer or colder, and the pile,
// past its hot phase, went with it. A fall of that kind is weather, and no
// sign that the pile has stalled. Changes in C, from the first day to the last.
type AirSwing struct {
	From, To  Day
	Air, Pile float64
}

const (
	// swing is the change of the air in C that is worth telling.
	swing = 5.0
	// turnBack is how far in C the air must go the other way for a swing to
	// be over; smaller wobbles belong to it.
	turnBack = 3.0
	// followLeast is the least change of the pile for each degree of the air
	// that is taken as going with it (a judgement).
	followLeast = 0.3
)

// findAirSwings walks the daily means of the air from turning point to turning
// point, and keeps the swings that the pile followed after its hot phase.
func (c *Course) findAirSwings() {
	var days []Day
	for _, d := range c.Days {
		_, air := d.AirMean()
		_, pile := d.Mean()
		if air && pile {
			days = append(days, d)
		}
	}
	if len(days) < 2 {
		return
	}
	air := func(i int) float64 { v, _ := days[i].AirMean(); return v }
	from, top := 0, 0 // start of the swing, and its furthest point so far
	for i := 1; i < len(days); i++ {
		out := air(top) - air(from)
		switch {
		case math.Abs(air(i)-air(from)) >= math.Abs(out) && (air(i)-air(from))*out >= 0:
			top = i
		case math.Abs(air(i)-air(top)) >= turnBack:
			c.keepSwing(days[from], days[top])
			from, top = top, i
		}
	}
	c.keepSwing(days[from], days[top])
}

// keepSwing keeps the part of a swing that lies after the hot phase, if the
// pile went with it.
func (c *Course) keepSwing(from, to Day) {
	for _, d := range c.Days {
		_, air := d.AirMean()
		if d.Number > from.Number && d.Number <= c.hotUntil() && len(d.Readings) > 0 && air {
			from = d
		}
	}
	if to.Number <= from.Number || to.Number <= c.hotUntil() {
		return
	}
	a0, _ := from.AirMean()
	a1, _ := to.AirMean()
	p0, _ := from.Mean()
	p1, _ := to.Mean()
	air, pile := a1-a0, p1-p0
	if math.Abs(air) < swing || !(pile/air >= followLeast) {
		return
	}
	c.Air = append(c.Air, AirSwing{from, to, air, pile})
}

// hotUntil is the last day number of heating and the hot phase.
func (c *Course) hotUntil() int {
	last := math.MinInt
	for _, p := range c.Phases {
		if p.Kind <= Hot {
			last = p.To.Number
		}
	}
	return last
}

// Over is how much hotter than the air the pile's hottest reading is on its
// last day, in C; ok is false where that day has no reading of the air, nor
// the two before it.
func (c *Course) Over() (celsius float64, ok bool) {
	last := c.Last()
	high, _ := last.High()
	for i := len(c.Days) - 1; i >= 0; i-- {
		d := c.Days[i]
		if d.Number > last.Number {
			continue
		}
		if d.Number < last.Number-2 {
			break
		}
		if air, has := d.AirMean(); has {
			return high.Celsius - air, true
		}
	}
	return 0, false
}

// MostOver is how much hotter than the air of the same day the pile has ever
// been, in C; ok is false where no day has both.
func (c *Course) MostOver() (celsius float64, ok bool) {
	for _, d := range c.Days {
		high, has := d.High()
		air, also := d.AirMean()
		if has && also && (!ok || high.Celsius-air > celsius) {
			celsius, ok = high.Celsius-air, true
		}
	}
	return celsius, ok
}
