package pile

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// evening is the present of these tests: 6 pm on 9 November 2026.
func evening() time.Time { return time.Date(2026, 11, 9, 18, 0, 0, 0, time.UTC) }

// TestAppendWritesAsTheLogDoes adds to logs of many forms. The row wanted was
// worked out by hand.
func TestAppendWritesAsTheLogDoes(t *testing.T) {
	core := func(v float64, unit string) []Measured { return []Measured{{"core", v, unit}} }
	for _, c := range []struct {
		name    string
		text    string
		add     Addition
		options Options
		want    string
		err     string
	}{
		{name: "begins a log", text: "", add: Addition{Temperatures: core(58, "C"), Note: "steam"}, want: "date,time,core (C),event,note\n2026-11-09,18:00,58,,steam\n"},
		{name: "begins a log without a unit", text: "", add: Addition{Temperatures: core(58, "")}, err: "needs the unit"},
		{name: "date and time in one", text: "time,core (C)\n2026-11-08T08:00:00Z,41\n", add: Addition{Temperatures: core(58.5, "")}, want: "+2026-11-09T18:00:00Z,58.5\n"},
		{name: "offset of the log", text: "time,core (C)\n2026-11-08T08:00:00+02:00,41\n", add: Addition{Temperatures: core(58, "")}, want: "+2026-11-09T20:00:00+02:00,58\n"},
		{name: "semicolons, decimal commas, CRLF", text: "date;core (°C);note\r\n08.11.2026;41,5;\r\n", add: Addition{Temperatures: core(58.5, ""), Note: "a; b"}, want: "+09.11.2026;58,5;\"a; b\"\r\n"},
		{name: "no line end at the end", text: "date,core (C)\n2026-11-08,41", add: Addition{Temperatures: core(58, "")}, want: "+\n2026-11-09,58\n"},
		{name: "suffix in the cells", text: "date,core\n2026-11-08,104 °F\n", add: Addition{Temperatures: core(55, "C")}, want: "+2026-11-09,131 °F\n"},
		{name: "C into F, never up", text: "date,core (F)\n2026-11-08,104\n", add: Addition{Temperatures: core(54.99, "C")}, want: "+2026-11-09,130.9\n"},
		{name: "am and pm, month first", text: "date,time,core (F)\n11/07/2026,8:00 AM,104\n11/13/2026,9:30 PM,120\n", add: Addition{At: "2026-11-14 18:05", Temperatures: core(131, "")}, want: "+11/14/2026,6:05 PM,131\n"},
		{name: "month names", text: "date,core (C)\n8 Nov 2026,41\n", add: Addition{Temperatures: core(58, "")}, want: "+9 Nov 2026,58\n"},
		{name: "between two rows", text: "date,core (C)\n2026-11-08,41\n2026-11-10,58\n", add: Addition{Temperatures: core(50, "")}, want: "date,core (C)\n2026-11-08,41\n2026-11-09,50\n2026-11-10,58\n"},
		{name: "newest first", text: "date,core (C)\n2026-11-08,58\n2026-11-07,41\n", add: Addition{Temperatures: core(60, "")}, want: "date,core (C)\n2026-11-09,60\n2026-11-08,58\n2026-11-07,41\n"},
		{name: "day numbers", text: "day,core (C)\n1,41\n2,58\n", add: Addition{At: "day 4", Temperatures: core(60, "")}, want: "+4,60\n"},
		{name: "day numbers by date", text: "day,core (C)\n1,41\n2,58\n", options: Options{Built: time.Date(2026, 11, 4, 0, 0, 0, 0, time.UTC)}, add: Addition{Temperatures: core(60, "")}, want: "+5,60\n"},
		{name: "day numbers and no start", text: "day,core (C)\n1,41\n2,58\n", add: Addition{Temperatures: core(60, "")}, err: "has day numbers, not dates"},
		{name: "a row a probe", text: "date,probe,temp (C)\n2026-11-08,core,41\n", add: Addition{Temperatures: []Measured{{"core", 58, ""}, {"edge", 40, ""}}}, want: "+2026-11-09,core,58\n2026-11-09,edge,40\n"},
		{name: "turned and watered in words", text: "date,core (C),event\n2026-11-08,41,\n", add: Addition{Turned: true, Watered: "20 L"}, want: "+2026-11-09,,turned; watered 20 L\n"},
		{name: "turned and watered in columns", text: "date,core (C),turned,water (L)\n2026-11-08,41,x,15\n", add: Addition{Turned: true, Watered: "2 buckets"}, want: "+2026-11-09,,x,20\n"},
		{name: "events among notes", text: "date,core (C),note\n2026-11-08,41,turned\n", add: Addition{Turned: true}, want: "+2026-11-09,,turned\n"},
		{name: "the only probe needs no name", text: "date,core (C)\n2026-11-08,41\n", add: Addition{Temperatures: []Measured{{"", 58, ""}}}, want: "+2026-11-09,58\n"},
		{name: "the air", text: "date,core (C),air (C)\n2026-11-08,41,9\n", add: Addition{Temperatures: []Measured{{"ambient", 8, ""}}}, want: "+2026-11-09,,8\n"},
		{name: "no header", text: "2026-11-08,104F\n2026-11-08,105F\n", add: Addition{Temperatures: []Measured{{"", 131, ""}}}, want: "+2026-11-09,131F,\n"},
		{name: "only a time of day", text: "time,core (C)\n2026-11-08 08:00,41\n", add: Addition{At: "7:30", Temperatures: core(50, "")}, want: "+2026-11-09 07:30,50\n"},
		{name: "no column for the probe", text: "date,core (C)\n2026-11-08,41\n", add: Addition{Temperatures: []Measured{{"edge", 58, ""}}}, err: `no column for a probe "edge"; its probes are core`},
		{name: "which of two probes", text: "date,core (C),edge (C)\n2026-11-08,41,30\n", add: Addition{Temperatures: []Measured{{"", 58, ""}}}, err: "say which with --probe"},
		{name: "no column for events", text: "date,core (C)\n2026-11-08,41\n", add: Addition{Turned: true}, err: `no column for "turned"`},
		{name: "nothing", text: "date,core (C)\n2026-11-08,41\n", err: "nothing to add"},
		{name: "a slip", text: "date,core (C)\n2026-11-08,41\n", add: Addition{Temperatures: core(580, "")}, err: "hotter than any heap"},
		{name: "ambiguous date", text: "date,core (C)\n2026-11-08,41\n", add: Addition{At: "3/11/2026", Temperatures: core(58, "")}, err: "could have the day or the month first"},
		{name: "ambiguous log", text: "date,core (C)\n3/11/2026,41\n", add: Addition{Temperatures: core(58, "")}, err: "could have the day or the month first"},
		{name: "time of day without a place", text: "date,core (C)\n2026-11-08,41\n", add: Addition{At: "2026-11-09 18:00", Temperatures: core(58, "")}, err: "no place for a time of day"},
		{name: "water without a unit", text: "date,core (C),event\n2026-11-08,41,\n", add: Addition{Watered: "20 things"}, err: "not a quantity of water"},
		{name: "not a log", text: "The heap was warm.\n", add: Addition{Temperatures: core(58, "C")}, err: "no row names a column"},
		{name: "several piles", text: "day,group,temp_c\n1,N,41\n1,S,40\n", add: Addition{At: "day 2", Temperatures: []Measured{{"", 58, ""}}}, err: "several piles"},
		{name: "one of several piles", text: "day,group,replicate,temp_c\n1,N,1,41\n1,S,1,40\n", options: Options{Group: "S"}, add: Addition{At: "day 2", Temperatures: []Measured{{"S/1", 58, ""}}}, want: "+2,S,1,58\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.add.Now = evening()
			before := strings.Clone(c.text)
			got, added, err := Append([]byte(c.text), "log.csv", c.add, c.options)
			assert.Equal(t, before, c.text)
			if c.err != "" {
				require.ErrorContains(t, err, c.err)
				assert.Empty(t, got)
				return
			}
			require.NoError(t, err)
			want := c.want
			if rest, end := strings.CutPrefix(want, "+"); end {
				want = c.text + rest
			}
			assert.Equal(t, want, string(got))
			assert.NotEmpty(t, added)
		})
	}
}

// TestAppendReadsBack adds row after row and reads the log back.
func TestAppendReadsBack(t *testing.T) {
	var text []byte
	for i := range 20 {
		a := Addition{Now: evening().Add(time.Duration(i) * 13 * time.Hour), Temperatures: []Measured{{"core", 40 + float64(i) + 0.5, "C"}}, Turned: i == 7}
		out, _, err := Append(text, "log.csv", a, Options{})
		require.NoError(t, err)
		assert.True(t, bytes.HasPrefix(out, text), "what was there stays")
		text = out
	}
	l, err := Read(bytes.NewReader(text), "log.csv", Options{})
	require.NoError(t, err)
	require.Len(t, l.Readings, 20)
	for i, r := range l.Readings {
		assert.Equal(t, 40.5+float64(i), r.Celsius)
		assert.True(t, evening().Add(time.Duration(i)*13*time.Hour).Equal(r.Time))
	}
	require.Len(t, l.Events, 1)
	assert.Equal(t, Turned, l.Events[0].Kind)
	assert.Zero(t, l.SetAside)
}
