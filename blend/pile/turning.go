package pile

// Answer is how a pile answered a turning (or the turnings of one day).
// Temperatures in C, of the hottest reading.
type Answer struct {
	Turned  Event
	Day     Day
	Before  Reading // the last reading day before the turning, or of the day itself
	Has     bool    // there is a reading before
	Low     Reading // the lowest of the day's highest within two days after
	HasLow  bool
	Best    Reading // the hottest after it, up to the next turning or ten days on
	HasBest bool
	Back    bool // it came back to within 3 C of Before
	BackIn  int  // in so many days
	Open    bool // the log ends before three days are over, and it has not come back
}

// Rise is how much hotter than before the turning the pile became, in C; less
// than zero where it did not come back.
func (a Answer) Rise() float64 { return a.Best.Celsius - a.Before.Celsius }

// Faded reports whether the pile did not come back within the days that a
// healthy pile takes, and the log goes on long enough to say so.
func (a Answer) Faded() bool { return a.Has && a.HasBest && !a.Open && !a.Back }

const (
	// backWithin is the days in which a healthy pile is hot again after a
	// turning: one or two (common practice), and one more to be sure.
	backWithin = 3
	// backTo is how near in C to the temperature before the turning it counts
	// as back (a judgement: what a thermometer put in anew is out by).
	backTo = 3.0
	// answerFor is the days after a turning that its answer is looked for in.
	answerFor = 10
)

func (c *Course) findAnswers() {
	for i, d := range c.Days {
		if len(d.Turnings) == 0 {
			continue
		}
		a := Answer{Turned: d.Turnings[0], Day: d}
		a.Before, a.Has = until(d, a.Turned)
		for k := i - 1; k >= 0 && !a.Has; k-- {
			a.Before, a.Has = c.Days[k].High()
		}
		end := i
		for k := i; k < len(c.Days) && k <= i+answerFor; k++ {
			d := c.Days[k]
			next := k > i && len(d.Turnings) > 0
			high, ok := after(d, a, k > i)
			if next {
				high, ok = until(d, d.Turnings[0])
			}
			if !ok {
				if next {
					break
				}
				continue
			}
			end = k
			if k-i <= 2 && (!a.HasLow || high.Celsius < a.Low.Celsius) {
				a.Low, a.HasLow = high, true
			}
			if !a.HasBest || high.Celsius > a.Best.Celsius {
				a.Best, a.HasBest = high, true
			}
			if a.Has && !a.Back && high.Celsius >= a.Before.Celsius-backTo {
				a.Back, a.BackIn = true, k-i
			}
			if next {
				break
			}
		}
		a.Open = !a.Back && end-i < backWithin
		c.Turnings = append(c.Turnings, a)
	}
	// Before the turning it counts as hot or not: a pile that comes back to 40
	// C each time, and each time to less, is fading all the same.
	var bests []float64
	for _, a := range c.Turnings {
		if a.HasBest && !a.Open {
			bests = append(bests, a.Best.Celsius)
		}
	}
	c.Fading = len(bests) >= 2 && bests[len(bests)-1] < sanitation
	for i := 1; i < len(bests); i++ {
		c.Fading = c.Fading && bests[i] < bests[i-1]
	}
}

// until gives the hottest reading of a day up to its turning. A reading of the
// same moment is taken as read before the pile was turned.
func until(d Day, turned Event) (best Reading, ok bool) {
	for _, r := range d.Readings {
		if !r.Time.After(turned.Time) && (!ok || r.Celsius > best.Celsius) {
			best, ok = r, true
		}
	}
	return best, ok
}

// after gives the hottest reading of a day, of those after the turning where
// it is the day of the turning itself.
func after(d Day, a Answer, later bool) (best Reading, ok bool) {
	for _, r := range d.Readings {
		if (later || r.Time.After(a.Turned.Time)) && (!ok || r.Celsius > best.Celsius) {
			best, ok = r, true
		}
	}
	return best, ok
}
