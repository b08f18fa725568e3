package pile

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func readText(t *testing.T, text string, o Options) *Log {
	t.Helper()
	l, err := Read(strings.NewReader(text), "log.csv", o)
	require.NoError(t, err)
	return l
}

// TestReadHoward reads the pit series of A. Howard and Y. D. Wad, The Waste
// Products of Agriculture (1931), as it stands beside its source.
func TestReadHoward(t *testing.T) {
	f, err := os.Open("testdata/series/howard-indore-pit.csv")
	require.NoError(t, err)
	defer f.Close()
	l, err := Read(f, "howard", Options{})
	require.NoError(t, err)
	want := howard(t)
	require.Len(t, l.Readings, len(want.Readings))
	for i, r := range l.Readings {
		assert.Equal(t, want.Readings[i].Time, r.Time)
		assert.Equal(t, want.Readings[i].Celsius, r.Celsius)
	}
	kinds := map[EventKind]int{}
	for _, e := range l.Events {
		kinds[e.Kind]++
	}
	assert.Equal(t, map[EventKind]int{Turned: 3, Watered: 3}, kinds, "three turns, each with water")
	assert.False(t, l.Dated)
	assert.Equal(t, []string{"date_exact"}, l.Ignored)
	assert.Zero(t, l.SetAside)
}

// TestReadMartins reads the three sets of G. L. Martins et al., each picked out
// of the one file: three replicates of 30 readings, and 90 of the air. The
// peaks are those of the table of the series.
func TestReadMartins(t *testing.T) {
	for group, peak := range map[string]float64{"FC": 56.0, "PL": 59.0, "CM": 58.1} {
		f, err := os.Open("testdata/series/martins-agroindustrial.csv")
		require.NoError(t, err)
		defer f.Close()
		l, err := Read(f, "martins", Options{Group: group})
		require.NoError(t, err)
		assert.Equal(t, []string{"FC", "PL", "CM"}, l.Groups)
		assert.Len(t, l.Readings, 90)
		assert.Len(t, l.Ambient, 90)
		assert.Zero(t, l.SetAside, "%v", l.Doubts)
		probes, high := map[string]int{}, 0.0
		for _, r := range l.Readings {
			probes[r.Probe]++
			high = max(high, r.Celsius)
		}
		assert.Equal(t, map[string]int{group + "/1": 30, group + "/2": 30, group + "/3": 30}, probes)
		assert.InDelta(t, peak, high, 0.05)
	}
}

// TestReadTakesAnyForm writes one log in many forms and reads the same
// readings back.
func TestReadTakesAnyForm(t *testing.T) {
	type dialect struct {
		sep, end, date, clock string
		joined, comma, bom    bool
		options               Options
	}
	rapid.Check(t, func(t *rapid.T) {
		var d dialect
		d.sep = rapid.SampledFrom([]string{",", ";", "\t", "|"}).Draw(t, "separator")
		d.end = rapid.SampledFrom([]string{"\n", "\r\n", "\r"}).Draw(t, "line end")
		d.date = rapid.SampledFrom(dateForms()).Draw(t, "date")
		d.clock = rapid.SampledFrom([]string{"15:04", "15:04:05", "3:04 PM", "3:04pm", "15h04"}).Draw(t, "clock")
		d.joined = rapid.Bool().Draw(t, "joined")
		d.bom = rapid.Bool().Draw(t, "byte order mark")
		d.comma = d.sep != "," && rapid.Bool().Draw(t, "decimal comma")
		d.options.DayFirst = strings.HasPrefix(d.date, "2") || strings.HasPrefix(d.date, "02")
		d.options.MonthFirst = strings.HasPrefix(d.date, "1") || strings.HasPrefix(d.date, "01")
		if strings.HasPrefix(d.date, "2006") || strings.HasPrefix(d.date, "Mon") {
			d.options = Options{}
		}
		unit := rapid.SampledFrom([]string{"C", "F"}).Draw(t, "unit")
		start := time.Date(2026, time.Month(rapid.IntRange(1, 12).Draw(t, "month")), rapid.IntRange(1, 28).Draw(t, "day"), 7, 30, 0, 0, time.UTC)

		var b strings.Builder
		if d.bom {
			b.WriteString("\xef\xbb\xbf")
		}
		head := "date" + d.sep + "time"
		if d.joined {
			head = "date and time"
		}
		fmt.Fprintf(&b, "%s%score (°%s)%sedge (°%s)%s", head, d.sep, unit, d.sep, unit, d.end)
		n := rapid.IntRange(1, 12).Draw(t, "rows")
		var values [][2]float64
		quoted := func(s string) string {
			if strings.Contains(s, d.sep) {
				return `"` + s + `"`
			}
			return s
		}
		for i := range n {
			at := start.Add(time.Duration(i) * 9 * time.Hour)
			when := quoted(at.Format(d.date)) + d.sep + at.Format(d.clock)
			if d.joined {
				when = quoted(at.Format(d.date + " " + d.clock))
			}
			v := [2]float64{float64(rapid.IntRange(200, 300).Draw(t, "core")) / 10, float64(rapid.IntRange(200, 300).Draw(t, "edge")) / 10}
			row := fmt.Sprintf("%s%s%.1f%s%.1f%s", when, d.sep, v[0], d.sep, v[1], d.end)
			if d.comma {
				row = fmt.Sprintf("%s%s%s%s%s%s", when, d.sep, strings.Replace(fmt.Sprintf("%.1f", v[0]), ".", ",", 1), d.sep, strings.Replace(fmt.Sprintf("%.1f", v[1]), ".", ",", 1), d.end)
			}
			b.WriteString(row)
			values = append(values, v)
		}
		l, err := Read(strings.NewReader(b.String()), "log.csv", d.options)
		require.NoError(t, err, b.String())
		require.Equal(t, 2*n, l.Used, "%s\n%v", b.String(), l.Doubts)
		for i, r := range l.Readings {
			// Of one moment the core comes before the edge, as in the file.
			assert.Equal(t, start.Add(time.Duration(i/2)*9*time.Hour), r.Time, b.String())
			assert.Equal(t, values[i/2][i%2], r.Entered, b.String())
			assert.Equal(t, unit, r.Unit)
		}
	})
}

// TestUnitExactAtTheLimit: 131 F is 55 C, and 130.9 F is not.
func TestUnitExactAtTheLimit(t *testing.T) {
	l := readText(t, "date,core\n2026-11-03,131F\n2026-11-04,130.9F\n2026-11-05,170 F\n", Options{})
	assert.Equal(t, 55.0, l.Readings[0].Celsius)
	assert.Less(t, l.Readings[1].Celsius, 55.0)
	assert.Equal(t, 131.0, l.Readings[0].Entered)
	assert.InDelta(t, 76.67, l.Readings[2].Celsius, 0.005)
	assert.Equal(t, "F", l.Unit)
}

// TestOffsetsMakeLocalDays: a reading keeps the day that the log's clock
// showed, and a zone moves it.
func TestOffsetsMakeLocalDays(t *testing.T) {
	text := "time,core (C)\n2026-07-01T00:30:00+02:00,41\n2026-07-01T23:30:00+02:00,42\n"
	l := readText(t, text, Options{})
	assert.Equal(t, 1, l.Readings[0].Time.Day())
	assert.Equal(t, 22, l.Readings[0].Time.UTC().Hour())
	zone, err := time.LoadLocation("America/Chicago")
	require.NoError(t, err)
	l = readText(t, text, Options{Zone: zone})
	assert.Equal(t, 30, l.Readings[0].Time.Day())
	assert.Equal(t, 17, l.Readings[0].Time.Hour())
}

// TestEventsOfTheirOwn merges a file of events, and a turning in it excuses a
// fall that would be a spike.
func TestEventsOfTheirOwn(t *testing.T) {
	log := "time,core (C)\n2026-11-03 08:00,62\n2026-11-03 10:00,30\n2026-11-03 12:30,55\n"
	assert.Equal(t, 1, readText(t, log, Options{}).SetAside)
	events, err := ReadEvents(strings.NewReader("date;what;note\n03.11.2026 09:50;turned, watered 2 buckets;by hand\n"), "events.csv", Options{})
	require.NoError(t, err)
	l := readText(t, log, Options{Events: events})
	assert.Zero(t, l.SetAside)
	require.Len(t, l.Events, 3)
	assert.Equal(t, Turned, l.Events[0].Kind)
	assert.InDelta(t, 20, l.Events[1].Litres, 1e-9, "a bucket is 10 L unless said otherwise")
	assert.Equal(t, "events.csv", l.Events[0].File)

	_, err = ReadEvents(strings.NewReader("date,what\nsoon,turned\n"), "events.csv", Options{})
	assert.ErrorContains(t, err, "events.csv:2")
}

// TestDoubtsAreListedAsRuns: many alike are one line, and none is lost.
func TestDoubtsAreListedAsRuns(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,core (C)\n")
	at := time.Date(2026, 11, 3, 0, 0, 0, 0, time.UTC)
	for i := range 5000 {
		v := fmt.Sprintf("%.1f", 50+float64(i%20)/10)
		if i >= 1000 && i < 3000 || i%2 == 0 && i > 3000 {
			v = "850"
		}
		fmt.Fprintf(&b, "%s,%s\n", at.Add(time.Duration(i)*time.Minute).Format("2006-01-02 15:04"), v)
	}
	l := readText(t, b.String(), Options{})
	assert.Equal(t, 2000+999, l.SetAside)
	assert.Equal(t, 5000-2999, l.Used)
	assert.Equal(t, Doubt{Line: 1002, Text: "2026-11-03 16:40 core 850 C", Reason: tooHot.String(), Count: 2000, Last: 3001}, l.Doubts[0])
	assert.LessOrEqual(t, len(l.Doubts), listedMost)
}

// TestReadTOML reads every key of the format.
func TestReadTOML(t *testing.T) {
	l, err := ReadTOML(strings.NewReader(`
unit = "C"
built = 2026-11-03
title = "Hedge-end bay"

[at."2026-11-05 18:00"]
core = 61.5
turned = true
watered = "20 L"
note = "steam"

[at."2026-11-04 18:00"]
core = 52
edge = "105.8F"
air = 9
"north end" = 40
`), "bay.toml", Options{})
	require.NoError(t, err)
	require.Len(t, l.Readings, 4)
	assert.Equal(t, "core", l.Readings[0].Probe)
	assert.Equal(t, 52.0, l.Readings[0].Celsius)
	assert.Equal(t, 61.5, l.Readings[3].Celsius, "tables may stand in any order")
	assert.InDelta(t, 41, l.Readings[1].Celsius, 1e-9)
	assert.Len(t, l.Ambient, 1)
	assert.Len(t, l.Events, 3)
	assert.Equal(t, time.Date(2026, 11, 3, 0, 0, 0, 0, time.UTC), l.Start)

	for text, want := range map[string]string{
		"unit = \"C\"\n[at.\"soon\"]\ncore = 5\n": "bad.toml:2",
		"unit = \"K\"\n": "not a unit",
		"unit = \"C\"\n[at.\"2026-11-03\"]\ncore = nan\n":             "core is not a number",
		"unit = \"C\"\n[at.\"2026-11-03\"]\nwatered = 20\n":           "has no unit",
		"unit = \"C\"\n[at.\"2026-11-03\"]\nturnd = true\n":           "did you mean turned",
		"unit = \"C\"\n[at.\"2026-11-03\"]\ncore = \"hot\"\n":         "not a temperature",
		"[at.\"2026-11-03\"]\ncore = 58\n":                            "no unit",
		"unit = \"C\"\n":                                              "not one temperature",
		"units = \"C\"\n":                                             "did you mean unit",
		"unit = \"C\"\nat = 3\n":                                      "not a set of tables",
		"x = [\n":                                                     "bad.toml:",
		"unit = \"C\"\n[at.\"3/11/2026\"]\ncore = 58\n":               "day or the month first",
		"unit = \"C\"\n[at.\"day 3\"]\na1 = 5\n[at.\"2026-11-03\"]\n": "some rows have dates",
	} {
		_, err := ReadTOML(strings.NewReader(text), "bad.toml", Options{})
		assert.ErrorContains(t, err, want, text)
	}
}

// brokenReader fails in the middle.
type brokenReader struct{ left string }

func (b *brokenReader) Read(p []byte) (int, error) {
	if b.left == "" {
		return 0, errors.New("the disk is gone")
	}
	n := copy(p, b.left)
	b.left = b.left[n:]
	return n, nil
}

// TestReadTellsOfABrokenFile: half a log is no log.
func TestReadTellsOfABrokenFile(t *testing.T) {
	_, err := Read(&brokenReader{"date,core (C)\n2026-11-03,58\n"}, "log.csv", Options{})
	assert.ErrorContains(t, err, "the disk is gone")
}

// FuzzRead holds the reader to what it promises of any text: no panic, errors
// that are ReadErrors and placed in the file, and readings in order of time,
// finite, within the bounds, none of them lost without a word.
func FuzzRead(f *testing.F) {
	files, err := filepath.Glob("testdata/odd/*")
	require.NoError(f, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(text, "C", false)
		f.Add(text, "", true)
	}
	f.Fuzz(func(t *testing.T, text []byte, unit string, dayFirst bool) {
		if unit != "C" && unit != "F" {
			unit = ""
		}
		lines := bytes.Count(text, []byte("\n")) + bytes.Count(text, []byte("\r")) + 1
		o := Options{Unit: unit, DayFirst: dayFirst}
		l, err := Read(bytes.NewReader(text), "log.csv", o)
		if err != nil {
			var e *ReadError
			require.ErrorAs(t, err, &e)
			assert.Equal(t, "log.csv", e.File)
			assert.LessOrEqual(t, e.Line, lines)
			assert.NotEmpty(t, e.Problem)
			return
		}
		for i, r := range l.Readings {
			assert.True(t, r.Celsius <= tooHotC && r.Celsius >= tooColdC)
			assert.True(t, r.Line >= 1 && r.Line <= lines)
			assert.True(t, i == 0 || !r.Time.Before(l.Readings[i-1].Time))
		}
		assert.Equal(t, l.Used, len(l.Readings))
		total := 0
		for _, d := range l.Doubts {
			total += d.Count
			assert.NotEmpty(t, d.Reason)
			assert.True(t, d.Line >= 1 && d.Last >= d.Line && d.Last <= lines, "%+v", d)
		}
		assert.Equal(t, l.SetAside, total)
		_, _ = ReadEvents(bytes.NewReader(text), "events.csv", o)
		a := Addition{Now: evening(), Temperatures: []Measured{{"core", 41, "C"}}, Turned: true}
		if out, _, err := Append(text, "log.csv", a, o); err == nil {
			after, err := Read(bytes.NewReader(out), "log.csv", o)
			if assert.NoError(t, err) {
				assert.Equal(t, l.Used+len(l.Ambient)+l.SetAside+1, after.Used+len(after.Ambient)+after.SetAside)
			}
		}
	})
}

// longLog is a log of n readings, one every ten seconds.
func longLog(n int) []byte {
	b := []byte("time,core (C)\n")
	at := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i := range n {
		b = at.Add(time.Duration(i)*10*time.Second).AppendFormat(b, "2006-01-02 15:04:05")
		b = append(strconv.AppendFloat(append(b, ','), 50+float64(i*7%97)/10, 'f', 1, 64), '\n')
	}
	return b
}

// TestReadHoldsNoMoreThanItSays reads a log of 250 000 readings from a file and
// watches the heap; the lows and highs must outlive the condensing.
func TestReadHoldsNoMoreThanItSays(t *testing.T) {
	const n = 250_000
	name := filepath.Join(t.TempDir(), "long.csv")
	require.NoError(t, os.WriteFile(name, longLog(n), 0o600))
	f, err := os.Open(name)
	require.NoError(t, err)
	defer f.Close()
	runtime.GC()
	var before runtime.MemStats
	runtime.ReadMemStats(&before)
	var peak atomic.Uint64
	done := make(chan struct{})
	go func() {
		for {
			select {
			case <-done:
				return
			case <-time.After(2 * time.Millisecond):
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				peak.Store(max(peak.Load(), m.HeapAlloc))
			}
		}
	}()
	l, err := Read(f, "long.csv", Options{})
	close(done)
	require.NoError(t, err)
	assert.Equal(t, n, l.Used)
	assert.NotZero(t, l.Condensed)
	assert.LessOrEqual(t, len(l.Readings), condenseAbove)
	low, high := 100.0, 0.0
	for _, r := range l.Readings {
		low, high = min(low, r.Celsius), max(high, r.Celsius)
	}
	assert.Equal(t, 50.0, low)
	assert.InDelta(t, 59.6, high, 1e-9)
	assert.Less(t, int64(peak.Load())-int64(before.HeapAlloc), int64(30<<20), "bytes of heap")
}

// BenchmarkReadMillion reads a million readings; the aim is under a second and
// 64 MB.
func BenchmarkReadMillion(b *testing.B) {
	text := longLog(1_000_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(bytes.NewReader(text), "long.csv", Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
