package pile

import (
	"iter"
	"strconv"
	"strings"
	"time"
)

// dateForms and clockForms are the ways in which a date and a time of day are
// written, as layouts of package time; commonest first.
func dateForms() []string {
	return []string{
		"2006-01-02", "2006/01/02", "02.01.2006", "2.1.2006", "02.01.06", "2.1.06", "02/01/2006", "2/1/2006", "01/02/2006", "1/2/2006",
		"02/01/06", "2/1/06", "01/02/06", "1/2/06", "02-01-2006", "2-1-2006", "01-02-2006", "1-2-2006", "20060102",
		"2 Jan 2006", "02 Jan 2006", "2 January 2006", "Jan 2, 2006", "Jan 2 2006", "January 2, 2006", "January 2 2006",
		"2-Jan-2006", "02-Jan-2006", "2-Jan-06", "02-Jan-06", "2 Jan 06", "02 Jan 06",
		"Mon 2 Jan 2006", "Monday 2 January 2006", "Monday, 2 January 2006", "Mon 2006-01-02",
	}
}

func clockForms() []string {
	return []string{
		"15:04", "15:04:05", "15:04:05.0", "15:04:05.00", "15:04:05.000", "3:04 PM", "3:04PM", "3:04 pm", "3:04pm", "03:04 PM", "03:04 pm",
		"3:04:05 PM", "3:04:05 pm", "03:04:05 PM", "3 PM", "3 pm", "3PM", "3pm", "15h04", "15.04", "1504", "15",
	}
}

func zoneForms() []string {
	return []string{"", "Z07:00", "-07:00", "-0700", " -07:00", " -0700", "-07", " UTC", " GMT", "Z"}
}

// wallTime is a moment by the clock on the wall.
func (m *moment) wallTime(order dateOrder) time.Time {
	day := m.day
	if m.ambiguous && order == monthFirst {
		day = m.swapped
	}
	t := time.UnixMilli(day*msPerDay + m.clock).UTC()
	if m.hasZone {
		t = time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), time.FixedZone("", m.zone*60))
	}
	return t
}

// writtenForm finds the form in which all of the samples are written, with
// what each of them means.
func writtenForm(samples []string, means []time.Time, forms iter.Seq[string]) (func(time.Time) string, bool) {
	if len(samples) == 0 {
		return nil, false
	}
	for form := range forms {
		if fits(samples, means, func(t time.Time) string { return t.Format(form) }) {
			return func(t time.Time) string { return t.Format(form) }, true
		}
	}
	for _, unix := range []func(time.Time) string{
		func(t time.Time) string { return strconv.FormatInt(t.Unix(), 10) },
		func(t time.Time) string { return strconv.FormatInt(t.UnixMilli(), 10) },
	} {
		if fits(samples, means, unix) {
			return unix, true
		}
	}
	return nil, false
}

func fits(samples []string, means []time.Time, form func(time.Time) string) bool {
	for i, s := range samples {
		if form(means[i]) != s {
			return false
		}
	}
	return true
}

// joinedForms are the forms of a date with a time of day behind it, those
// without a time of day first.
func joinedForms(yield func(string) bool) {
	for _, date := range dateForms() {
		if !yield(date) {
			return
		}
	}
	for _, date := range dateForms() {
		for _, join := range []string{" ", "T", ", ", "  "} {
			for _, clock := range clockForms() {
				for _, zone := range zoneForms() {
					if !yield(date + join + clock + zone) {
						return
					}
				}
			}
		}
	}
}

// hasClockIn reports whether a form shows the time of day.
func hasClockIn(write func(time.Time) string) bool {
	noon := time.Date(2026, 11, 3, 12, 34, 0, 0, time.UTC)
	return write(noon) != write(noon.Add(-12*time.Hour))
}

// dayText writes a number of days without needless digits.
func dayText(days float64) string {
	s := strconv.FormatFloat(days, 'f', 3, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}
