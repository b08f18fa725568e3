package pile

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hotFiveTurns is a log that meets fifteen days and five turnings.
const hotFiveTurns = "30 45 3x60 60t 2x60 60t 2x60 60t 2x60 60t 2x60 60t 60 50"

// TestCounting holds named small logs against the ways of counting days and
// turnings. What the published texts settle and leave open: 21 CFR 112.54 (days
// need not be consecutive; figures from memory), 7 CFR 205.203 (a band; turnings
// in the period), BioAbfV (as unbroken as possible); the rest is the strict
// choice of this package.
func TestCounting(t *testing.T) {
	type want struct {
		outcome  Outcome
		counted  int
		longest  int
		turns    int
		unbroken bool
	}
	for _, c := range []struct {
		name, rule, unit, days string
		choice                 Choice
		want                   want
		says                   string // somewhere in days, turns, missing or notes
	}{
		{"fifteen days and five turnings", "us-produce-turned", "C", hotFiveTurns, Choice{}, want{Met, 17, 17, 5, true}, ""},
		{"the day of a turning counts when its lowest passes", "us-produce-turned", "C", "3x60 60t", Choice{}, want{NotMet, 4, 4, 1, false}, "read before the turning only"},
		{"a dip after a turning breaks only the run", "us-produce-turned", "C", "7x60 60t 48 8x60 60t 60t 60t 60t", Choice{}, want{Met, 20, 12, 5, false}, "a dip after a turning is normal"},
		{"a dip leaves the unbroken verdict short of turnings", "germany-55", "C", "7x60 60t 48 8x60", Choice{}, want{Met, 16, 8, 1, false}, "48 C, under 55 C"},
		{"a day without a reading does not count", "us-organic-still", "C", "60 - 60", Choice{}, want{NotMet, 2, 1, 0, false}, "no reading"},
		{"one such day may be bridged", "us-organic-still", "C", "60 - 60", Choice{Bridge: true}, want{Met, 3, 3, 0, true}, "by assumption"},
		{"two on end may not", "us-organic-still", "C", "60 - - 60", Choice{Bridge: true}, want{NotMet, 2, 1, 0, false}, "no reading"},
		{"nor one beside a cool day", "us-organic-still", "C", "60 - 50 60", Choice{Bridge: true}, want{NotMet, 2, 1, 0, false}, "no reading"},
		{"54.9 is not 55", "us-organic-still", "C", "60 54.9 60", Choice{}, want{NotMet, 2, 1, 0, false}, "54.9 C, under 55 C"},
		{"55.0 is", "us-organic-still", "C", "60 55 60", Choice{}, want{Met, 3, 3, 0, true}, ""},
		{"130.9 F is not 131 F", "us-organic-still", "F", "140 130.9 140", Choice{}, want{NotMet, 2, 1, 0, false}, "130.9 F, under 131 F"},
		{"131 F is, though 55 C is reckoned from it", "us-organic-still", "F", "140 131 140", Choice{}, want{Met, 3, 3, 0, true}, ""},
		{"76.7 C is still in the organic band", "us-organic-still", "C", "60 76.7 60", Choice{}, want{Met, 3, 3, 0, true}, ""},
		{"76.8 C is over it", "us-organic-still", "C", "60 76.8 60", Choice{}, want{NotMet, 2, 1, 0, false}, "1 day went over 76.7 C"},
		{"170.1 F is over it", "us-organic-still", "F", "140 170.1 140", Choice{}, want{NotMet, 2, 1, 0, false}, "1 day went over 170 F"},
		{"one probe over the band spoils the day", "us-organic-still", "C", "60 77/60 60", Choice{Hopeful: true}, want{NotMet, 2, 1, 0, false}, "over 76.7 C"},
		{"other rules have no ceiling", "us-sludge-still", "C", "60 80 60", Choice{}, want{Met, 3, 3, 0, true}, ""},
		{"the lowest probe decides", "us-produce-still", "C", "3x65/54", Choice{}, want{NotMet, 0, 0, 0, false}, "lowest 54 C (edge)"},
		{"the highest is the hopeful choice", "us-produce-still", "C", "3x65/54", Choice{Hopeful: true}, want{Met, 3, 3, 0, true}, ""},
		{"readings are not averaged up", "us-produce-still", "C", "3x75/54", Choice{}, want{NotMet, 0, 0, 0, false}, ""},
		{"turnings before and after the hot period do not count", "us-produce-turned", "C", "40t 45t 50t 15x60 50t 45t", Choice{}, want{NotMet, 15, 15, 0, false}, "before the first day that counts"},
		{"nor after it", "us-produce-turned", "C", "4x60t 11x60 50t 45t", Choice{}, want{NotMet, 15, 15, 4, false}, "after the last day that counts"},
		{"two turnings in a day are one", "us-produce-turned", "C", "60tt 60tt 13x60 60t", Choice{}, want{NotMet, 16, 16, 3, false}, "the second turning of one day"},
		{"bunched turnings are warned of", "us-produce-turned", "C", "5x60t 11x60", Choice{}, want{Met, 16, 16, 5, true}, "bunched"},
		{"turnings well apart are not", "us-produce-turned", "C", hotFiveTurns, Choice{}, want{Met, 17, 17, 5, true}, "!bunched"},
		{"static produce compost wants days on end", "us-produce-still", "C", "60 60 50 60 60", Choice{}, want{NotMet, 4, 2, 0, false}, "1 more day at 55 C or more on end"},
		{"organic compost does not say so", "us-organic-still", "C", "60 60 50 60 60", Choice{}, want{Met, 4, 2, 0, false}, ""},
		{"curing is left to do", "us-produce-still", "C", "3x60", Choice{}, want{Met, 3, 3, 0, true}, ""},
		{"over 50 is not at 50", "who-week", "C", "7x50", Choice{}, want{NotMet, 0, 0, 0, false}, "not over 50 C"},
		{"over 50 for a week", "who-week", "C", "7x50.1", Choice{}, want{Met, 7, 7, 0, true}, ""},
		{"British turnings lie two days apart", "uk-catering-housed", "C", "60t 60t 60t 60t 60t 3x60", Choice{}, want{Met, 8, 8, 3, true}, "less than 2 days after"},
		{"three in a row are two", "uk-catering-housed", "C", "60t 60t 60t 5x60", Choice{}, want{NotMet, 8, 8, 2, false}, "1 more turning"},
		{"a row for vessels says so of a turned pile", "us-produce-still", "C", "60 60t 60", Choice{}, want{Met, 3, 3, 1, true}, "see the row for turned"},
		{"what is missing, of nothing", "us-produce-turned", "C", "3x40", Choice{}, want{NotMet, 0, 0, 0, false}, "15 days at 55 C or more"},
		{"no readings at all", "us-produce-turned", "C", "", Choice{}, want{NotMet, 0, 0, 0, false}, "15 days"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := written(c.unit, c.days)
			v := Judge(l, rule(c.rule), c.choice)
			assert.Equal(t, c.want, want{v.Outcome, v.Counted, v.Longest, v.TurnsCounted, v.UnbrokenMet})
			says, not := strings.CutPrefix(c.says, "!")
			if not {
				assert.NotContains(t, everyWord(v), says)
			} else {
				assert.Contains(t, everyWord(v), says)
			}
			assert.Equal(t, v.Outcome == NotMet, len(v.Missing) > 0, "what is missing is said when, and only when, something is: %v", v.Missing)
			if c.rule[:3] == "us-" && strings.Contains(c.rule, "produce") {
				assert.Contains(t, strings.Join(v.Rule.Needs, "\n"), "curing")
			}
		})
	}
}

// everyWord gathers what a verdict says.
func everyWord(v *Verdict) string {
	words := append(append([]string{}, v.Missing...), v.Notes...)
	for _, d := range v.Days {
		words = append(words, d.Why)
	}
	for _, turn := range v.Turns {
		words = append(words, turn.Why)
	}
	return strings.Join(words, "\n")
}

// TestBeforeEachTurning judges the rules that tie days to turnings: AS 4454
// (from memory) and the rule of thumb of S. Brown, University of Washington.
func TestBeforeEachTurning(t *testing.T) {
	for _, c := range []struct {
		name, rule, days string
		outcome          Outcome
		turns            int
	}{
		{"three days before each of three", "australia-low", "3x60 50t 3x60 50t 3x60 50t", Met, 3},
		{"the day of a turning serves where it is hot", "australia-low", "2x60 60t 2x60 60t 2x60 60t", Met, 3},
		{"but no day serves two turnings", "australia-low", "3x60 60t 60t 3x60 60t", NotMet, 2},
		{"days on end", "australia-low", "60 50 60 60 50t 3x60 50t 3x60 50t", NotMet, 2},
		{"not on end, for the rule of thumb", "five-by-three", "60 50 60 60 50t 3x60 50t 3x60 50t 3x60 50t 3x60 50t", Met, 5},
		{"four turnings are not five", "five-by-three", "3x60 50t 3x60 50t 3x60 50t 3x60 50t 3x60", NotMet, 4},
		{"two in one day are one", "australia-low", "3x60 50tt 3x60 50t", NotMet, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := Judge(written("C", c.days), rule(c.rule), Choice{})
			assert.Equal(t, c.outcome, v.Outcome, everyWord(v))
			assert.Equal(t, c.turns, v.TurnsCounted, everyWord(v))
		})
	}
}

// TestBlocks judges the blocks of days of 40 CFR 503 (from memory).
func TestBlocks(t *testing.T) {
	for _, c := range []struct {
		name, rule, days string
		outcome          Outcome
	}{
		{"a fortnight over 40 with a mean over 45", "us-vector", "7x50 7x42", Met},
		{"the mean is not over 45", "us-vector", "7x48 7x42", NotMet},
		{"one reading at 40", "us-vector", "7x60 40 7x60", NotMet},
		{"thirteen days", "us-vector", "13x60", NotMet},
		{"a day without a reading", "us-vector", "7x60 - 7x60", NotMet},
		{"a longer block has the mean where its first days have not", "us-vector", "10x42 6x55", Met},
		{"five days at 40, two readings over 55 on end", "us-sludge-b", "40 56 56 40 40", Met},
		{"one reading over 55 shows no four hours", "us-sludge-b", "40 56 40 40 40", NotMet},
		{"55 is not over 55", "us-sludge-b", "40 55 55 40 40", NotMet},
		{"the peak lies outside the five days", "us-sludge-b", "56 56 39 5x41", NotMet},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := Judge(written("C", c.days), rule(c.rule), Choice{})
			assert.Equal(t, c.outcome, v.Outcome, everyWord(v))
		})
	}
}

// every makes a log with a reading every so often.
func every(step time.Duration, celsius ...float64) *Log {
	l := written("C", "")
	for i, c := range celsius {
		l.Readings = append(l.Readings, Reading{Time: l.Start.Add(time.Duration(i) * step), Celsius: c, Entered: c, Unit: "C"})
	}
	return l
}

// TestHolds judges times at a temperature without a break: Regulation (EU)
// 142/2011 annex V, one hour at 70 C; SI 2006/1293, two days at 60 C.
func TestHolds(t *testing.T) {
	for _, c := range []struct {
		name, rule string
		log        *Log
		outcome    Outcome
		held       time.Duration
	}{
		{"an hour, every ten minutes", "eu-byproducts", every(10*time.Minute, 69, 70, 71, 72, 71, 70, 70, 69), NotMet, 50 * time.Minute},
		{"an hour and its end", "eu-byproducts", every(10*time.Minute, 69, 70, 71, 72, 71, 70, 70, 70, 69), Met, time.Hour},
		{"a break", "eu-byproducts", every(10*time.Minute, 70, 70, 70, 69.9, 70, 70, 70), NotMet, 20 * time.Minute},
		{"readings too far apart show no hour", "eu-byproducts", every(time.Hour, 72, 72, 72), NotMet, 0},
		{"two days, read daily", "uk-catering-closed-60", written("C", "60 60 60"), Met, 48 * time.Hour},
		{"one day, read daily", "uk-catering-closed-60", written("C", "60 60"), NotMet, 24 * time.Hour},
		{"the lower probe breaks it", "uk-catering-closed-60", written("C", "60 61/59 60"), NotMet, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := Judge(c.log, rule(c.rule), Choice{})
			assert.Equal(t, c.outcome, v.Outcome, everyWord(v))
			assert.Equal(t, c.held, v.Held)
		})
	}
}

// TestCurveValues holds the curve against values computed from the text of 40
// CFR 503.32(a)(3) apart from this code.
func TestCurveValues(t *testing.T) {
	for celsius, days := range map[float64]float64{
		50: 13.17, 52: 6.91, 55: 2.628, 58: 0.999, 60: 0.524, 62: 0.275, 65: 0.1046, 67: 0.0549, 70: 0.0209,
	} {
		assert.InEpsilon(t, days, CurveDays(celsius), 2e-3, "%g C", celsius)
	}
	assert.InDelta(t, 30, CurveDays(70)*24*60, 0.2, "half an hour at 70 C")
	assert.True(t, CurveDays(49.9) > 1e300, "there is no curve under 50 C")
}

func TestCurve(t *testing.T) {
	for _, c := range []struct {
		name    string
		log     *Log
		outcome Outcome
		celsius float64
		held    time.Duration
		summed  float64
	}{
		{"a day at 60", written("C", "60 60"), Met, 60, 24 * time.Hour, 1 / 0.524},
		{"a day at 55", written("C", "55 55"), NotMet, 55, 24 * time.Hour, 1 / 2.628},
		{"three days at 55", written("C", "55 55 55 55"), Met, 55, 72 * time.Hour, 3 / 2.628},
		{"three days at 55 with a peak between", written("C", "55 58 56 55"), Met, 55, 72 * time.Hour, 2/2.628 + 1/CurveDays(56)},
		{"a fall to 49 between", written("C", "55 55 49 55 55"), NotMet, 55, 24 * time.Hour, 2 / 2.628},
		{"summed it would do, held it does not", written("C", "56 56 52 56 56"), NotMet, 52, 96 * time.Hour, 2/CurveDays(56) + 2/CurveDays(52)},
		{"a gap of two days", written("C", "60 - 60"), NotMet, 0, 0, 0},
		{"less than twenty minutes at 80", every(10*time.Minute, 80, 80), NotMet, 0, 0, 10.0 / 60 / 24 / CurveDays(80)},
		{"twenty minutes at 80", every(10*time.Minute, 80, 80, 80), Met, 80, 20 * time.Minute, 20.0 / 60 / 24 / CurveDays(80)},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := Judge(c.log, rule("us-curve"), Choice{})
			assert.Equal(t, c.outcome, v.Outcome, everyWord(v))
			if c.celsius > 0 && c.name[:6] != "summed" {
				assert.Equal(t, c.celsius, v.HeldCelsius)
				assert.Equal(t, c.held, v.Held)
			}
			if c.summed == 0 {
				assert.Zero(t, v.CurveSummed)
			} else {
				assert.InEpsilon(t, c.summed, v.CurveSummed, 2e-3)
				assert.Contains(t, everyWord(v), "an indication only")
			}
		})
	}
}

// TestReach judges the band of NRCS practice 317.
func TestReach(t *testing.T) {
	assert.Equal(t, Met, Judge(written("C", "30 45 50 56"), rule("us-nrcs"), Choice{}).Outcome)
	assert.Equal(t, NotMet, Judge(written("C", "9x40 60"), rule("us-nrcs"), Choice{}).Outcome)
	assert.Equal(t, NotMet, Judge(written("C", "30 80 80 80"), rule("us-nrcs"), Choice{}).Outcome)
}

// TestValidation: what no log can show is not judged.
func TestValidation(t *testing.T) {
	v := Judge(written("C", "20x70"), rule("eu-byproducts-validated"), Choice{})
	assert.Equal(t, NotJudged, v.Outcome)
	assert.NotEmpty(t, v.Rule.Needs)
}

// TestRules looks over the table of rules.
func TestRules(t *testing.T) {
	keys := map[string]bool{}
	for _, r := range Rules() {
		assert.False(t, keys[r.Key], "two rules %s", r.Key)
		keys[r.Key] = true
		assert.NotEmpty(t, r.Name, r.Key)
		assert.NotEmpty(t, r.Source, r.Key)
		assert.NotEmpty(t, r.Binds, r.Key)
		assert.Contains(t, []string{"seen", "partly seen", "from memory"}, r.Standing.String(), r.Key)
		if r.Test == Validation {
			continue
		}
		assert.InDelta(t, r.From.Fahrenheit, r.From.Celsius*9/5+32, 1e-9, r.Key)
		if r.Ceiling.set() {
			assert.InDelta(t, r.Ceiling.Fahrenheit, r.Ceiling.Celsius*9/5+32, 0.1, r.Key)
		}
		if r.Test == Hold || r.Test == Curve {
			assert.Positive(t, r.Length, r.Key)
			assert.Positive(t, r.Gap, r.Key)
		} else {
			assert.Positive(t, r.Days, r.Key)
		}
	}
	assert.Len(t, FindRules("us-organic"), 3, "a family")
	assert.Len(t, FindRules("US-Organic-Turned"), 1)
	assert.Empty(t, FindRules("us-org"))
	assert.Empty(t, FindRules(""))
	require.NotEmpty(t, UsualRules())
	for _, v := range []fmt.Stringer{Seen, Met, Hot, Turn, Still, Open} {
		assert.NotEmpty(t, v.String())
	}
}
