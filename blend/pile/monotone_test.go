package pile

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawn makes a random log: one to three probes, gaps, turnings, with
// temperatures in tenths of a degree around the thresholds.
func drawn(t *rapid.T) *Log {
	l := written("C", "")
	probes := rapid.IntRange(1, 3).Draw(t, "probes")
	for day := range rapid.IntRange(1, 30).Draw(t, "days") {
		at := l.Start.AddDate(0, 0, day).Add(8 * time.Hour)
		warm := rapid.SampledFrom([]int{480, 549, 550, 580, 580, 620, 700, 767, 790}).Draw(t, "warm")
		for probe := range probes {
			if rapid.IntRange(0, 9).Draw(t, "gap") > 0 {
				tenths := warm + rapid.IntRange(-8, 8).Draw(t, "tenths")
				l.Readings = append(l.Readings, asEntered(at, strconv.Itoa(probe), strconv.FormatFloat(float64(tenths)/10, 'f', 1, 64), "C"))
			}
		}
		for range rapid.SampledFrom([]int{0, 0, 0, 1, 1, 2}).Draw(t, "turnings") {
			l.Events = append(l.Events, Event{Time: at.Add(time.Hour), Kind: Turned, Litres: 10})
		}
	}
	return l
}

func drawnChoice(t *rapid.T) Choice {
	return Choice{Hopeful: rapid.Bool().Draw(t, "hopeful"), Bridge: rapid.Bool().Draw(t, "bridge")}
}

// TestColderNeverMeets: a colder reading beside one that is there never turns
// a rule that is not met into one that is.
func TestColderNeverMeets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, choice := drawn(t), drawnChoice(t)
		if len(l.Readings) == 0 {
			t.Skip("no reading is there to be colder beside")
		}
		colder := *l
		colder.Readings = slices.Clone(l.Readings)
		for range rapid.IntRange(1, 4).Draw(t, "more") {
			beside := rapid.SampledFrom(l.Readings).Draw(t, "beside")
			c := beside.Celsius - float64(rapid.IntRange(1, 200).Draw(t, "colder"))/10
			colder.Readings = append(colder.Readings, Reading{Time: beside.Time, Probe: "new", Celsius: c, Entered: c, Unit: "C"})
		}
		for _, r := range Rules() {
			before, after := Judge(l, r, choice), Judge(&colder, r, choice)
			if before.Outcome == NotMet {
				require.Equal(t, NotMet, after.Outcome, r.Key)
			}
			if before.Outcome == NotMet || after.Outcome == NotMet {
				require.LessOrEqual(t, after.Counted, before.Counted, r.Key)
			}
		}
	})
}

// TestStrictIsStricter: what the lowest readings meet, the highest meet too,
// but for a rule with a ceiling, which looks at the highest in any case.
func TestStrictIsStricter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := drawn(t)
		for _, r := range Rules() {
			if Judge(l, r, Choice{}).Outcome == Met {
				require.Equal(t, Met, Judge(l, r, Choice{Hopeful: true}).Outcome, r.Key)
				require.Equal(t, Met, Judge(l, r, Choice{Bridge: true}).Outcome, r.Key)
			}
		}
	})
}

// TestOrderChangesNothing: rows in any order give the same verdicts, course
// and advice.
func TestOrderChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, choice := drawn(t), drawnChoice(t)
		shuffled := *l
		shuffled.Readings, shuffled.Events = slices.Clone(l.Readings), slices.Clone(l.Events)
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		random.Shuffle(len(l.Readings), func(i, k int) {
			shuffled.Readings[i], shuffled.Readings[k] = shuffled.Readings[k], shuffled.Readings[i]
		})
		random.Shuffle(len(l.Events), func(i, k int) {
			shuffled.Events[i], shuffled.Events[k] = shuffled.Events[k], shuffled.Events[i]
		})
		kept := slices.Clone(shuffled.Readings)
		for _, r := range Rules() {
			a, b := Judge(l, r, choice), Judge(&shuffled, r, choice)
			require.Equal(t, a.Outcome, b.Outcome, r.Key)
			require.Equal(t, everyWord(a), everyWord(b), r.Key)
		}
		if c := Follow(l); c != nil {
			d := Follow(&shuffled)
			require.Equal(t, c.Peak, d.Peak)
			require.Equal(t, c.Phases, d.Phases)
			require.InDelta(t, c.DegreeHours, d.DegreeHours, 1e-9)
			require.Equal(t, c.Advise(Circumstances{}), d.Advise(Circumstances{}))
		}
		require.Equal(t, kept, shuffled.Readings, "the log is left as it is")
	})
}

// TestEitherUnit: the same log in F, to the hundredth, gives the same outcomes,
// save for a reading between 170 F (76.67 C) and 76.7 C, which each unit
// compares with its own figure.
func TestEitherUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, choice := drawn(t), drawnChoice(t)
		f := *l
		f.Unit = "F"
		f.Readings = nil
		edge := false
		for _, r := range l.Readings {
			edge = edge || r.Celsius == 76.7
			entered := math.Round((r.Celsius*9/5+32)*100) / 100
			f.Readings = append(f.Readings, Reading{Time: r.Time, Probe: r.Probe, Celsius: (entered - 32) * 5 / 9, Entered: entered, Unit: "F"})
		}
		for _, r := range Rules() {
			if r.Ceiling.set() && edge {
				continue
			}
			a, b := Judge(l, r, choice), Judge(&f, r, choice)
			require.Equal(t, a.Outcome, b.Outcome, r.Key)
			require.Equal(t, a.Counted, b.Counted, r.Key)
			require.Equal(t, a.TurnsCounted, b.TurnsCounted, r.Key)
		}
	})
}
