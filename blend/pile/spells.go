package pile

import (
	"fmt"
	"time"
)

// block judges so many days on end with every reading at the threshold, and
// with a mean or a peak of its own.
func (j *judging) block(days []Day) {
	r := j.Rule
	peak := Rule{From: r.Peak, Above: true}
	for _, now := range j.runs() {
		if now.days() > j.Longest {
			j.Longest = now.days()
			j.LongestFrom, j.LongestTo = j.Days[now.from].Day, j.Days[now.to].Day
		}
	}
	// A block may be longer than the days asked for. One of twice the length
	// or more falls into shorter ones, one of which has a mean as high.
	for from := range j.Days {
		sum, n := 0.0, 0
		for to := from; to < len(j.Days) && j.Days[to].Counts && to-from+1 < 2*r.Days; to++ {
			if d := j.Days[to]; !d.Bridged {
				sum, n = sum+d.Reading.Celsius, n+1
			}
			if to-from+1 < r.Days {
				continue
			}
			var held span
			if r.PeakFor > 0 {
				held = longestHold(instants(between(days, from, to), j.Choice.Hopeful, peak.holds), j.gap())
			}
			if held.length() > j.Held {
				j.Held, j.HeldFrom, j.HeldTo = held.length(), held.from, held.to
			}
			if mean := sum / float64(n); (!r.Mean.set() || mean > r.Mean.Celsius) && held.length() >= r.PeakFor {
				j.UnbrokenMet = true
			}
			if r.PeakFor > 0 {
				break // within those days, and no more
			}
		}
	}
	j.settle(j.UnbrokenMet)
	switch {
	case j.UnbrokenMet:
	case j.Longest < r.Days:
		j.miss("%s on end with every reading at %s", j.more(r.Days-j.Longest, "day", j.Longest), j.log.Asked(r))
	case r.Mean.set():
		j.miss("a mean over %s within %s on end", j.limit(r.Mean), some(r.Days, "day"))
	default:
		j.miss("%s over %s within %s on end, shown by readings at its beginning and end", hours(r.PeakFor), j.limit(r.Peak), some(r.Days, "day"))
	}
}

// gap is the longest gap between readings that still shows a hold. Of a
// condensed log it is wider, for readings in between were there.
func (j *judging) gap() time.Duration { return j.Rule.Gap + 2*j.log.Condensed }

// between gathers the readings of days from to to.
func between(days []Day, from, to int) []Reading {
	var out []Reading
	for _, d := range days[from : to+1] {
		out = append(out, d.Readings...)
	}
	return out
}

// hold judges a time at the threshold without a break.
func (j *judging) hold(days []Day) {
	r := j.Rule
	held := longestHold(instants(between(days, 0, len(days)-1), j.Choice.Hopeful, r.holds), j.gap())
	j.Held, j.HeldFrom, j.HeldTo = held.length(), held.from, held.to
	j.UnbrokenMet = j.Held >= r.Length
	j.settle(j.UnbrokenMet)
	if !j.UnbrokenMet {
		j.miss("%s at %s without a break, shown by readings no more than %s apart; longest shown: %s", hours(r.Length), j.log.Asked(r), hours(r.Gap), hours(j.Held))
	}
}

// curve judges by the time-temperature curve.
func (j *judging) curve(days []Day) {
	r := j.Rule
	best, summed := bestOnCurve(instants(between(days, 0, len(days)-1), j.Choice.Hopeful, r.holds), j.gap(), r.Length)
	j.Held, j.HeldFrom, j.HeldTo = best.Length, best.From, best.To
	j.HeldCelsius, j.CurveShare, j.CurveSummed = best.Celsius, best.Share, summed
	j.settle(best.Share >= 1)
	switch {
	case best.Share == 0:
		j.miss("two readings at %s, no more than %s apart", j.log.Asked(r), hours(r.Gap))
	case best.Share < 1:
		j.miss("%s at %s, of which %s are shown", hours(curveLength(best.Celsius)), j.log.Degrees(best.Celsius), hours(best.Length))
	}
	if summed > 0 {
		j.note("summed over all temperatures: %s times what the curve asks; summing is usual practice, and not in the rule's text: an indication only", number(min(summed, 1e6), 2))
	}
	j.note("between two readings the pile is taken to have held the lower of them")
}

// curveLength is the time that the curve asks at a temperature.
func curveLength(celsius float64) time.Duration {
	return time.Duration(CurveDays(celsius) * float64(aDay))
}

// reach judges whether the band is reached within so many days of building.
func (j *judging) reach() {
	r := j.Rule
	begun := j.log.begun()
	for _, d := range j.Days {
		if age := j.log.dayOf(d.dayTime(j.log)) - begun; d.Counts && !d.Bridged && age <= r.Days {
			j.OneByOneMet = true
			j.note("reached on %s", j.log.DayName(d.Day))
			break
		}
	}
	j.settle(j.OneByOneMet)
	if !j.OneByOneMet {
		j.miss("%s within %s of building", j.log.Asked(r), some(r.Days, "day"))
	}
	j.note("%s of the log are in the band", some(j.Counted, "day"))
	if first := inOrder(j.log.Readings); len(first) > 0 && j.log.Dated && j.log.Start.Equal(first[0].Time) {
		j.note("counted from the first reading: the log does not say when the pile was built")
	}
}

// dayTime is a time on the day.
func (d JudgedDay) dayTime(l *Log) time.Time {
	if len(d.Readings) > 0 {
		return d.Readings[0].Time
	}
	return l.Start
}

// hours writes a length of time for people.
func hours(d time.Duration) string {
	switch {
	case d >= 2*aDay:
		return number(d.Hours()/24, 1) + " days"
	case d >= hour || d == 0:
		if d == hour {
			return "1 hour"
		}
		return number(d.Hours(), 1) + " hours"
	}
	return fmt.Sprintf("%.0f minutes", d.Minutes())
}
