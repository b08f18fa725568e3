package pile

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Day is what a log says of one calendar day, by the clock of the log.
type Day struct {
	Number   int       // day number of the log; of a dated one, days since Start
	Date     time.Time // midnight UTC of the date
	Readings []Reading // of the pile, in order of time; empty for a day between
	Air      []Reading
	Turnings []Event
	Events   []Event // all others
}

// Low is the lowest reading; ok is false on a day without any.
func (d Day) Low() (low Reading, ok bool) { return extreme(d.Readings, -1) }

// High is the highest reading; ok is false on a day without any.
func (d Day) High() (high Reading, ok bool) { return extreme(d.Readings, +1) }

// Mean is the mean of the readings in C; ok is false on a day without any.
func (d Day) Mean() (celsius float64, ok bool) { return mean(d.Readings) }

// AirMean is the mean of the ambient readings in C.
func (d Day) AirMean() (celsius float64, ok bool) { return mean(d.Air) }

func extreme(readings []Reading, sign int) (best Reading, ok bool) {
	for i, r := range readings {
		c := sign * cmp.Compare(r.Celsius, best.Celsius)
		if i == 0 || c > 0 || c == 0 && r.Probe < best.Probe {
			best = r
		}
	}
	return best, len(readings) > 0
}

func mean(readings []Reading) (float64, bool) {
	sum := 0.0
	for _, r := range readings {
		sum += r.Celsius
	}
	return sum / float64(len(readings)), len(readings) > 0
}

// Days gathers the log by calendar day, from the first day with a reading of
// the pile to the last day with a reading or event; days between on which
// nothing was written down are there, and empty. It is nil for a log without
// readings. The log is left as it is.
func (l *Log) Days() []Day {
	readings := inOrder(l.Readings)
	if len(readings) == 0 {
		return nil
	}
	first, last := l.dayOf(readings[0].Time), l.dayOf(readings[len(readings)-1].Time)
	for _, e := range l.Events {
		last = max(last, l.dayOf(e.Time))
	}
	const longest = 200 * 366 // days: a date centuries off is for the reader of logs to set aside
	last = min(last, first+longest)
	days := make([]Day, last-first+1)
	begun := l.begun()
	for i := range days {
		days[i].Number = first + i
		if l.Dated {
			days[i].Number -= begun
		}
		days[i].Date = time.Unix(int64(first+i)*int64(aDay/time.Second), 0).UTC()
	}
	eachDay(l, readings, func(day int, part []Reading) {
		if day <= last {
			days[day-first].Readings = part
		}
	})
	eachDay(l, inOrder(l.Ambient), func(day int, part []Reading) {
		if day >= first && day <= last {
			days[day-first].Air = part
		}
	})
	for _, e := range eventsInOrder(l.Events) {
		i := l.dayOf(e.Time) - first
		switch {
		case i < 0 || i >= len(days):
		case e.Kind == Turned:
			days[i].Turnings = append(days[i].Turnings, e)
		default:
			days[i].Events = append(days[i].Events, e)
		}
	}
	return days
}

// dayOf numbers calendar days, by the clock of the time. In a log of day
// numbers they are those numbers, see [DayZero].
func (l *Log) dayOf(t time.Time) int {
	if !l.Dated {
		d := t.Sub(DayZero())
		n := int(d / aDay)
		if d < 0 && d%aDay != 0 {
			n--
		}
		return n
	}
	y, m, d := t.Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / int64(aDay/time.Second))
}

// begun is the calendar day on which the pile was built. A log of day numbers
// counts from then.
func (l *Log) begun() int {
	if !l.Dated {
		return 0
	}
	return l.dayOf(l.Start)
}

// inOrder gives the readings in order of time, and of probe and temperature
// within the same time, so that the order of rows changes nothing.
func inOrder(readings []Reading) []Reading {
	order := func(a, b Reading) int {
		return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.Probe, b.Probe), cmp.Compare(a.Celsius, b.Celsius))
	}
	if slices.IsSortedFunc(readings, order) {
		return readings
	}
	return slices.SortedStableFunc(slices.Values(readings), order)
}

func eventsInOrder(events []Event) []Event {
	return slices.SortedStableFunc(slices.Values(events), func(a, b Event) int {
		return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.Kind, b.Kind))
	})
}

func eachDay(l *Log, readings []Reading, do func(day int, part []Reading)) {
	for from := 0; from < len(readings); {
		day, to := l.dayOf(readings[from].Time), from+1
		for to < len(readings) && l.dayOf(readings[to].Time) == day {
			to++
		}
		do(day, readings[from:to])
		from = to
	}
}

// DayName names a day for people: "3 May", or "3 May 2026" in a log that
// reaches into another year, or "day 3".
func (l *Log) DayName(d Day) string {
	if n := len(l.Readings); n > 0 && l.Dated {
		first, last := l.Readings[0].Time.Year(), l.Readings[n-1].Time.Year()
		if year := d.Date.Year(); first == last && year == first {
			return d.Date.Format("2 Jan")
		}
	}
	return l.FullDayName(d)
}

// FullDayName names a day with its year: "3 May 2026", or "day 3".
func (l *Log) FullDayName(d Day) string {
	if !l.Dated {
		return "day " + strconv.Itoa(d.Number)
	}
	return d.Date.Format("2 Jan 2006")
}

// Degrees writes a temperature in C in the unit of the log, to one decimal.
func (l *Log) Degrees(celsius float64) string {
	if l.Unit == "F" {
		return number(celsius*9/5+32, 1) + " F"
	}
	return number(celsius, 1) + " C"
}

// Difference writes a difference of temperatures in C in the unit of the log.
func (l *Log) Difference(celsius float64) string {
	if l.Unit == "F" {
		return number(celsius*9/5, 0) + " F"
	}
	return number(celsius, 0) + " C"
}

// String writes the reading as it was entered, with its probe.
func (r Reading) String() string {
	text := strconv.FormatFloat(r.Entered, 'f', -1, 64) + " " + cmp.Or(r.Unit, "C")
	if r.Probe != "" {
		text += " (" + r.Probe + ")"
	}
	return text
}

// number writes v with up to so many decimals.
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// some counts things: "1 day", "3 days".
func some(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
