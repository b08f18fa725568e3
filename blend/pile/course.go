package pile

import (
	"math"
	"time"
)

// PhaseKind is a stage of composting.
type PhaseKind uint8

const (
	Heating PhaseKind = iota + 1 // before the pile is first at 40 C
	Hot                          // up to the last day at 55 C, or to the peak of a pile that never is
	Cooling                      // after that, up to the last day at 45 C
	Curing                       // from then on it stays under 45 C
)

// String gives the words used in text and JSON.
func (k PhaseKind) String() string {
	switch k {
	case Heating:
		return "heating"
	case Hot:
		return "hot"
	case Cooling:
		return "cooling"
	case Curing:
		return "curing"
	}
	return "unknown"
}

// Phase is a stage with its first and last day.
type Phase struct {
	Kind     PhaseKind
	From, To Day
}

// Length is the number of days of the phase.
func (p Phase) Length() int { return p.To.Number - p.From.Number + 1 }

// Bounds of the phases, in C. A pile is thermophilic from 40 C (University of
// Nebraska, G1315); 55 C is where the sanitation figures begin; curing begins
// when it stays under 45 C even after turning (AgriFutures, poultry waste
// composting guidelines).
const (
	thermophilic = 40.0
	sanitation   = 55.0
	curingBelow  = 45.0
)

// Course is what a log tells of a pile's life, judged against no rule. The
// phases go by the highest reading of a day, for they tell of the activity of
// the pile; what a verdict counts goes by the lowest.
type Course struct {
	Log    *Log
	Days   []Day
	Phases []Phase
	Peak   Reading
	// Above counts days at 55, 60, 65 and 71 C and more.
	Above []DaysAbove
	// DegreeHours is the heat over 40 C, summed over time in C h, by the mean
	// of the probes; gaps of more than three days between readings are left
	// out. Covered is the time that it covers.
	DegreeHours float64
	Covered     time.Duration
	Spread      Spread
	Turnings    []Answer
	// Fading is set when the pile came back less hot after each of two or
	// more turnings, and under 55 C after the last.
	Fading bool
	Air    []AirSwing
}

// DaysAbove counts days at a temperature or more.
type DaysAbove struct {
	Limit   Limit
	Lowest  int // days on which every reading is
	Highest int // days on which one reading is
}

// Spread is the difference between the probes on one day. Values in C.
type Spread struct {
	Probes  int // with a name of their own
	Most    float64
	MostOn  Day
	Last    float64 // on the last day with two probes or more
	HasLast bool
}

// Uneven is the difference in C between like spots from which a pile is
// uneven and wants mixing (USDA APHIS).
const Uneven = 10.0

// Follow reads the course of a pile out of its log. It is nil for a log
// without readings.
func Follow(l *Log) *Course {
	days := l.Days()
	if len(days) == 0 {
		return nil
	}
	c := &Course{Log: l, Days: days}
	for _, d := range days {
		if high, ok := d.High(); ok && (c.Peak.Time.IsZero() || high.Celsius > c.Peak.Celsius) {
			c.Peak = high
		}
	}
	c.countAbove()
	c.findPhases()
	c.sumHeat()
	c.findSpread()
	c.findAnswers()
	c.findAirSwings()
	return c
}

// Last is the last day with a reading.
func (c *Course) Last() Day {
	for i := len(c.Days) - 1; i >= 0; i-- {
		if len(c.Days[i].Readings) > 0 {
			return c.Days[i]
		}
	}
	return Day{}
}

// Phase is the stage that the pile is in on its last day.
func (c *Course) Phase() Phase { return c.Phases[len(c.Phases)-1] }

// Age is the number of days from Start to the last reading; of a log of day
// numbers, that number.
func (c *Course) Age() int { return c.Log.dayOf(c.Last().Readings[0].Time) - c.Log.begun() }

func (c *Course) countAbove() {
	for _, limit := range []Limit{{55, 131}, {60, 140}, {65, 149}, {71, 160}} {
		above := DaysAbove{Limit: limit}
		rule := Rule{From: limit}
		for _, d := range c.Days {
			all, any := len(d.Readings) > 0, false
			for _, r := range d.Readings {
				holds := rule.holds(r)
				all, any = all && holds, any || holds
			}
			if all {
				above.Lowest++
			}
			if any {
				above.Highest++
			}
		}
		c.Above = append(c.Above, above)
	}
}

// findPhases divides the days at the first day at 40 C, the last at 55 C (or
// the peak), and the last at 45 C.
func (c *Course) findPhases() {
	first, lastHot, lastWarm, peak := -1, -1, -1, 0
	for i, d := range c.Days {
		high, ok := d.High()
		if !ok {
			continue
		}
		if high.Celsius >= thermophilic && first < 0 {
			first = i
		}
		if (Rule{From: ruledIn131()}).holds(high) {
			lastHot = i
		}
		if high.Celsius >= curingBelow {
			lastWarm = i
		}
		if top, _ := c.Days[peak].High(); high.Celsius > top.Celsius {
			peak = i
		}
	}
	last := len(c.Days) - 1
	add := func(kind PhaseKind, from, to int) {
		if from <= to {
			c.Phases = append(c.Phases, Phase{kind, c.Days[from], c.Days[to]})
		}
	}
	if first < 0 {
		add(Heating, 0, last)
		return
	}
	if lastHot < 0 {
		lastHot = peak
	}
	lastHot = max(lastHot, first)
	lastWarm = max(lastWarm, lastHot)
	add(Heating, 0, first-1)
	// A phase runs on to the day before the next one has its first reading,
	// and the last one to the end.
	next := func(i int) int {
		for k := i + 1; k <= last; k++ {
			if len(c.Days[k].Readings) > 0 {
				return k
			}
		}
		return last + 1
	}
	add(Hot, first, next(lastHot)-1)
	add(Cooling, next(lastHot), next(lastWarm)-1)
	add(Curing, next(lastWarm), last)
}

// sumHeat integrates the mean of the probes over 40 C by the trapezium rule.
func (c *Course) sumHeat() {
	const longest = 3 * aDay
	type point struct {
		at      time.Time
		celsius float64
	}
	var before point
	var sum float64
	var n int
	flush := func(at time.Time) {
		now := point{at, max(0, sum/float64(n)-thermophilic)}
		if dt := now.at.Sub(before.at); !before.at.IsZero() && dt <= longest {
			c.DegreeHours += dt.Hours() * (now.celsius + before.celsius) / 2
			c.Covered += dt
		}
		before, sum, n = now, 0, 0
	}
	for _, d := range c.Days {
		for i, r := range d.Readings {
			sum, n = sum+r.Celsius, n+1
			if i+1 == len(d.Readings) || !d.Readings[i+1].Time.Equal(r.Time) {
				flush(r.Time)
			}
		}
	}
}

func (c *Course) findSpread() {
	probes := map[string]bool{}
	for _, d := range c.Days {
		// Each probe's mean of the day, so that a day's own rise and fall is
		// not taken for a difference between probes.
		sum, n := map[string]float64{}, map[string]float64{}
		for _, r := range d.Readings {
			if r.Probe != "" {
				probes[r.Probe] = true
				sum[r.Probe] += r.Celsius
				n[r.Probe]++
			}
		}
		if len(sum) < 2 {
			continue
		}
		low, high := math.Inf(1), math.Inf(-1)
		for probe, total := range sum {
			low, high = min(low, total/n[probe]), max(high, total/n[probe])
		}
		c.Spread.Last, c.Spread.HasLast = high-low, true
		if high-low > c.Spread.Most {
			c.Spread.Most, c.Spread.MostOn = high-low, d
		}
	}
	c.Spread.Probes = len(probes)
}
