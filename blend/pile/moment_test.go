package pile

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// TestMoments reads cells as people write them.
func TestMoments(t *testing.T) {
	for _, c := range []struct {
		text, want string // the wall time, with the day first where it is open
		problem    string
	}{
		{text: "2026-11-03", want: "2026-11-03 00:00:00"},
		{text: "2026/11/03 14:00", want: "2026-11-03 14:00:00"},
		{text: "2026-11-03T14:00:05.250Z", want: "2026-11-03 14:00:05.25"},
		{text: "2026-11-03T14:00:05+01:00", want: "2026-11-03 14:00:05"},
		{text: "2026-11-03 14:00 UTC+1", want: "2026-11-03 14:00:00"},
		{text: "20261103", want: "2026-11-03 00:00:00"},
		{text: "20261103T1405", want: "2026-11-03 14:05:00"},
		{text: "03.11.2026 14.05", want: "2026-11-03 14:05:00"},
		{text: "3.11.26, 14:05", want: "2026-11-03 14:05:00"},
		{text: "3/11/2026 2:05 pm", want: "2026-11-03 14:05:00"},
		{text: "3-11-2026 12 a.m.", want: "2026-11-03 00:00:00"},
		{text: "14/11/2026", want: "2026-11-14 00:00:00"},
		{text: "11/14/2026", want: "2026-11-14 00:00:00"},
		{text: "3 Nov 2026", want: "2026-11-03 00:00:00"},
		{text: "3 NOVEMBER 2026 noon", want: "2026-11-03 12:00:00"},
		{text: "Tuesday, November 3rd, 2026 8:30", want: "2026-11-03 08:30:00"},
		{text: "Tue 03/11/2026", want: "2026-11-03 00:00:00"},
		{text: "3-Nov-26 23:59", want: "2026-11-03 23:59:00"},
		{text: "2026-11-03 24:00", want: "2026-11-04 00:00:00"},
		{text: "1793714400", want: "2026-11-03 14:00:00"},
		{text: "1793714400000", want: "2026-11-03 14:00:00"},
		{text: "29 Feb 2028", want: "2028-02-29 00:00:00"},
		{text: "29 Feb 2026", problem: noSuch},
		{text: "2026-13-03", problem: noSuch},
		{text: "31/11/2026", problem: noSuch},
		{text: "13/13/2026", problem: noSuch},
		{text: "0026-11-03", problem: noSuch},
		{text: "3.11.", problem: noYear},
		{text: "3 Nov", problem: noYear},
		{text: "2026-11", problem: badDate},
		{text: "yesterday", problem: badDate},
		{text: "", problem: badDate},
		{text: "46329", problem: badDate},
		{text: "1-2-3-4", problem: badDate},
		{text: "2026-11-03 25:00", problem: badClock},
		{text: "2026-11-03 14:60", problem: badClock},
		{text: "2026-11-03 13:00 pm", problem: badClock},
		{text: "2026-11-03 evening", problem: badClock},
		{text: "2026-11-03 14:00 CST", problem: badZone},
		{text: "2026-11-03 14:00 +01:07", problem: badZone},
		{text: "2026-11-03 14:00 +25:00", problem: badZone},
	} {
		m, problem := parseMoment([]byte(c.text))
		assert.Equal(t, c.problem, problem, c.text)
		if problem == "" && assert.True(t, m.hasDate, c.text) {
			assert.Equal(t, c.want, m.wallTime(dayFirst).Format("2006-01-02 15:04:05.999"), c.text)
		}
	}
	for text, want := range map[string]float64{"day 3": 3, "Day 12.5": 12.5, "d7": 7} {
		m, problem := parseMoment([]byte(text))
		assert.Empty(t, problem)
		assert.True(t, m.hasNumber)
		assert.Equal(t, want, m.number)
	}
}

// TestMomentsAsWritten: every form that a log may be written in reads back as
// the moment it was written from.
func TestMomentsAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rapid.IntRange(0, 3*366*24*60).Draw(t, "minutes")) * time.Minute)
		date := rapid.SampledFrom(dateForms()).Draw(t, "date form")
		clock := rapid.SampledFrom(clockForms()).Draw(t, "clock form")
		text := want.Format(date + " " + clock)
		m, problem := parseMoment([]byte(text))
		if clock == "15" {
			return // a bare hour is only known in a column of its own
		}
		assert.Empty(t, problem, text)
		order := dayFirst
		if date[0] == '1' || date[:2] == "01" {
			order = monthFirst
		}
		got := m.wallTime(order)
		if want.Format(clock) != got.Format(clock) || want.Format(time.DateOnly) != got.Format(time.DateOnly) {
			t.Fatalf("%q is read as %v", text, got)
		}
	})
}

// TestCivilDay against the calendar of package time.
func TestCivilDay(t *testing.T) {
	for day := time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC); day.Year() <= 2200; day = day.AddDate(0, 0, 1) {
		y, m, d := day.Date()
		if got := civilDay(y, int(m), d); got != floorDiv(day.UnixMilli(), msPerDay) {
			t.Fatalf("%v is day %d", day, got)
		}
		if d <= 12 {
			if got, want := swapDay(civilDay(y, int(m), d)), civilDay(y, d, int(m)); got != want {
				t.Fatalf("%v swaps to %d, want %d", day, got, want)
			}
		}
	}
}

// TestDeeds reads what people write into a column of events.
func TestDeeds(t *testing.T) {
	for text, want := range map[string][]EventKind{
		"turned":                        {Turned},
		"Turned pile, added 20 L water": {Turned, Watered},
		"watered 2 buckets":             {Watered},
		"added leaves":                  {Added},
		"heavy rain":                    {Rained},
		"reading":                       nil,
		"checked":                       nil,
		"turned to let air in":          {Turned},
		"to be turned":                  {Noted},
		"not turned":                    {Noted},
		"turn tomorrow":                 {Noted},
		"smells of ammonia":             {Noted},
	} {
		var kinds []EventKind
		for _, d := range readDeeds(text, false) {
			kinds = append(kinds, d.kind)
		}
		assert.Equal(t, want, kinds, text)
	}
	for text, want := range map[string]float64{"20 L": 20, "watered 20 litres": 20, "about 2,5 L in all": 2.5, "5 US gal": 18.927, "2 buckets": 20, "12 kg": 12} {
		assert.InDelta(t, want, litresIn(text), 0.001, text)
	}
	assert.True(t, isNaN(litresIn("a good soaking")))
	assert.True(t, isNaN(litresIn("5 gal")), "a gallon may be either")
}

func isNaN(v float64) bool { return v != v }
