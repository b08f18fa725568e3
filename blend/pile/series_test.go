package pile

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// onDay is the time of a day number.
func onDay(day string) time.Time {
	n, err := strconv.Atoi(day)
	if err != nil {
		panic(err)
	}
	return DayZero().AddDate(0, 0, n)
}

// seriesRows reads the rows of a published series, its heading left out.
func seriesRows(t *testing.T, name string) [][]string {
	t.Helper()
	file, err := os.Open("testdata/series/" + name)
	require.NoError(t, err)
	defer file.Close()
	var rows [][]string
	for lines := bufio.NewScanner(file); lines.Scan(); {
		if !strings.HasPrefix(lines.Text(), "#") {
			rows = append(rows, strings.Split(lines.Text(), ","))
		}
	}
	return rows[1:]
}

// howard is the normal Indore pit of A. Howard and Y. D. Wad, The Waste
// Products of Agriculture (1931). Where the three turnings fall in the sequence
// is exact, their days are approximate.
func howard(t *testing.T) *Log {
	l := &Log{Name: "howard", Start: DayZero(), Unit: "C"}
	for _, row := range seriesRows(t, "howard-indore-pit.csv") {
		switch at := onDay(row[0]); row[1] {
		case "reading":
			l.Readings = append(l.Readings, asEntered(at, "", row[2], "C"))
		case "turn":
			l.Events = append(l.Events, Event{Time: at, Kind: Turned, Litres: math.NaN()})
		case "water":
			l.Events = append(l.Events, Event{Time: at, Kind: Watered, Litres: math.NaN()})
		}
	}
	require.Len(t, l.Readings, 22)
	return l
}

// martins is one group of G. L. Martins et al., Bacterial and physicochemical
// changes during composting of agro-industrial wastes (Bioresource Technology):
// three piles as three probes, with the air, read every second day.
func martins(t *testing.T, group string) *Log {
	l := &Log{Name: group, Start: DayZero(), Unit: "C"}
	for _, row := range seriesRows(t, "martins-agroindustrial.csv") {
		switch row[1] {
		case group:
			l.Readings = append(l.Readings, asEntered(onDay(row[0]), "pile "+row[2], row[3], "C"))
		case "AMB":
			l.Ambient = append(l.Ambient, asEntered(onDay(row[0]), row[2], row[3], "C"))
		}
	}
	require.Len(t, l.Readings, 90)
	return l
}

// counted lists the numbers of the days that count.
func counted(v *Verdict) []int {
	var out []int
	for _, d := range v.Days {
		if d.Counts {
			out = append(out, d.Number)
		}
	}
	return out
}

// TestHowardPit judges the series of 1931 by what it shows.
func TestHowardPit(t *testing.T) {
	l := howard(t)
	c := Follow(l)
	assert.Equal(t, 63.0, c.Peak.Celsius)
	assert.Equal(t, 3, c.Log.dayOf(c.Peak.Time))
	v := Judge(l, rule("us-produce-turned"), Choice{})
	assert.Equal(t, NotMet, v.Outcome)
	assert.Equal(t, []int{3, 4, 6, 11}, counted(v))
	assert.Equal(t, 2, v.Longest, "days 3 and 4")
	assert.Equal(t, 0, v.TurnsCounted, "no turning falls in the hot period")
	require.Len(t, v.Turns, 3)
	bridged := Judge(l, rule("us-produce-turned"), Choice{Bridge: true})
	assert.Equal(t, []int{3, 4, 5, 6, 11}, counted(bridged), "one day without a reading may be bridged, four may not")

	// After each turning it comes back to less: 49 to 51, 46 to 49, 39 to 41.
	require.Len(t, c.Turnings, 3)
	for i, want := range []struct{ before, best float64 }{{49, 51}, {46, 49}, {39, 41}} {
		a := c.Turnings[i]
		assert.Equal(t, want.before, a.Before.Celsius)
		assert.Equal(t, want.best, a.Best.Celsius)
		assert.Equal(t, want.best-want.before, a.Rise())
	}
	assert.True(t, c.Fading)
	assert.Equal(t, []PhaseKind{Hot, Cooling, Curing}, kinds(c))
	last, _ := c.Last().High()
	assert.Equal(t, 33.0, last.Celsius)
	assert.Equal(t, 90, c.Age())
	assert.Equal(t, 4, c.Above[0].Lowest)
}

func kinds(c *Course) []PhaseKind {
	var out []PhaseKind
	for _, p := range c.Phases {
		out = append(out, p.Kind)
	}
	return out
}

// TestAgroIndustrialPiles judges the three groups read every second day.
func TestAgroIndustrialPiles(t *testing.T) {
	for _, c := range []struct {
		group           string
		peak            float64
		lowest, hottest []int // days at 55 C by the lowest, and the highest, of the three piles
		day15Under      float64
	}{
		// Filter cake: one pile of three stays under 55 on day 11 (54.8).
		{"FC", 56.0, []int{13}, []int{11, 13}, 40},
		{"PL", 59.0, []int{7, 11, 13}, []int{7, 11, 13}, 41},
		{"CM", 58.1, []int{7, 9, 11, 13}, []int{7, 9, 11, 13}, 40},
	} {
		t.Run(c.group, func(t *testing.T) {
			l := martins(t, c.group)
			course := Follow(l)
			assert.Equal(t, c.peak, course.Peak.Celsius)
			strict := Judge(l, rule("us-organic-still"), Choice{})
			assert.Equal(t, c.lowest, counted(strict))
			assert.Equal(t, c.hottest, counted(Judge(l, rule("us-organic-still"), Choice{Hopeful: true})))
			assert.Equal(t, 1, strict.Longest, "readings every second day show no two days on end")
			assert.Equal(t, NotMet, Judge(l, rule("us-produce-still"), Choice{}).Outcome, "three days on end cannot be shown")
			assert.Equal(t, []PhaseKind{Heating, Hot, Curing}, kinds(course), "it fell from 55 C to under 45 C between two readings")
			for _, d := range course.Days {
				if high, ok := d.High(); ok && d.Number == 15 {
					assert.Less(t, high.Celsius, c.day15Under)
				}
			}
			// The fall from day 13 to 21 goes along with the air (29 to 19 C),
			// and so does the rise to day 27: no stall, and no new heat.
			require.GreaterOrEqual(t, len(course.Air), 2)
			fall, rise := course.Air[0], course.Air[1]
			assert.InDelta(t, 13, fall.From.Number, 2)
			assert.InDelta(t, 21, fall.To.Number, 2)
			assert.Less(t, fall.Air, -5.0)
			assert.Less(t, fall.Pile, fall.Air)
			assert.Equal(t, 27, rise.To.Number)
			assert.Greater(t, rise.Air, 5.0)
			over, ok := course.Over()
			require.True(t, ok)
			assert.InDelta(t, 3, over, 1.1, "it ends 2 to 4 C over the air")
		})
	}
}
