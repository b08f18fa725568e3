package report

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/blend/season"
	"heapwright/feedstocks"
)

// unfolded undoes RFC 5545, 3.1, and checks what it asks of every line.
func unfolded(t *testing.T, text string) []string {
	t.Helper()
	require.True(t, strings.HasSuffix(text, "\r\n"))
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		assert.LessOrEqual(t, len(line), 75, line)
		assert.True(t, utf8.ValidString(line), "a character is not broken in two")
		assert.NotContains(t, line, "\n")
	}
	return strings.Split(strings.TrimSuffix(strings.ReplaceAll(text, "\r\n ", ""), "\r\n"), "\r\n")
}

func TestFolded(t *testing.T) {
	for _, s := range []string{"", "short", strings.Repeat("a", 75), strings.Repeat("a", 76), strings.Repeat("é", 200), strings.Repeat("x", 74) + "€uro"} {
		lines := unfolded(t, folded(s))
		assert.Equal(t, []string{s}, lines)
	}
}

func TestEscapedText(t *testing.T) {
	assert.Equal(t, `a\, b\; c\\d\ne`, escapedText("a, b; c\\d\ne"))
}

// TestICalendar checks the frame, the dates and the escapes of a calendar with
// an awkward name in it.
func TestICalendar(t *testing.T) {
	// Four to six weeks before 13 April 2027: 2 to 16 March.
	rye := season.NewCoverCrop("rye", time.Date(2027, 4, 13, 0, 0, 0, 0, time.UTC))
	rye.CutWeek = 3
	s := &season.Season{
		Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), Weeks: 3, CompostM3: 1,
		Materials: []blend.Material{{Name: "leaves", Feedstock: &feedstocks.Feedstock{Name: "leaves"}, Composition: feedstocks.Composition{Carbon: 0.45, Nitrogen: 0.01, Moisture: 0.4, DensityKgM3: 100, VolatileSolids: 0.9}}},
		Bays:      []season.Bay{{Name: "one", SizeM3: 2, HotWeeks: 2}},
		Arrivals:  []season.Arrival{{Name: "rye", Material: 0, Week: 3, Kg: 50}},
		Beds:      season.Beds{CoverCrops: []season.CoverCrop{rye}, Beds: []season.Bed{{Name: "leeks, kale; " + strings.Repeat("é", 60), CompostM3: 0.5, Week: 2}}},
	}
	p, err := season.Solve(t.Context(), s, season.Settings{})
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, ICalendar(&b, p))
	lines := unfolded(t, b.String())
	assert.Equal(t, []string{"BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//heapwright//season//EN", "BEGIN:VEVENT"}, lines[:4])
	assert.Contains(t, lines, "DTSTART;VALUE=DATE:20270308", "the first day of week 2")
	assert.Contains(t, lines, "SUMMARY:Spread compost on leeks\\, kale\\; "+strings.Repeat("é", 60)+".")
	// The end of an all-day event is the day after its last (RFC 5545, 3.6.1).
	at := slices.Index(lines, "SUMMARY:Sow rye.")
	require.Greater(t, at, 1)
	assert.Equal(t, []string{"DTSTART;VALUE=DATE:20270302", "DTEND;VALUE=DATE:20270317"}, lines[at-2:at])
	assert.Equal(t, "DESCRIPTION:Sow rye from 2 March 2027 to 16 March 2027\\, before the first hard frost of 13 April 2027.", lines[at+1])
	at = slices.Index(lines, "SUMMARY:Cut rye.")
	require.Greater(t, at, 1)
	assert.Equal(t, []string{"DTSTART;VALUE=DATE:20270315", "DTEND;VALUE=DATE:20270316"}, lines[at-2:at])
	begins, ends := 0, 0
	for _, l := range lines {
		if strings.HasPrefix(l, "BEGIN:") {
			begins++
		}
		if strings.HasPrefix(l, "END:") {
			ends++
		}
	}
	assert.Equal(t, begins, ends)
}
