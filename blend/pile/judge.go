package pile

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Choice says how days are counted where it is a matter of choice. The zero
// value is the strict choice.
type Choice struct {
	// Hopeful lets the highest reading of a day decide, as that of the core,
	// and not the lowest.
	Hopeful bool
	// Bridge counts a single day without a reading between two days that
	// count. That is an assumption.
	Bridge bool
}

// String names the choice in words.
func (c Choice) String() string {
	text := "the lowest reading of a day decides"
	if c.Hopeful {
		text = "the highest reading of a day decides (the hopeful choice)"
	}
	if c.Bridge {
		text += "; a single day without a reading between two that count is taken to count (an assumption)"
	}
	return text
}

// Outcome says how a log stands against a rule.
type Outcome uint8

const (
	Met       Outcome = iota + 1 // the log meets the time-temperature figures
	NotMet                       // it does not, or does not show it
	NotJudged                    // no log can show it
)

// String gives the words used in text and JSON.
func (o Outcome) String() string {
	switch o {
	case Met:
		return "met"
	case NotMet:
		return "not met"
	case NotJudged:
		return "cannot be judged from a log"
	}
	return "unknown"
}

// Verdict is how a log stands against the figures of one rule. It is process
// evidence only: whether germs are dead, only a laboratory test shows.
type Verdict struct {
	Rule    Rule
	Choice  Choice
	Outcome Outcome

	Days    []JudgedDay // each day of the log
	Turns   []JudgedTurn
	Counted int // days that count, one by one
	// Longest is the most days that count on end, from LongestFrom to
	// LongestTo; LongestTurns the turnings in that run.
	Longest                 int
	LongestFrom, LongestTo  Day
	LongestTurns            int
	OneByOneMet             bool // the figures are met by the days counted one by one
	UnbrokenMet             bool // they are met within one unbroken run
	TurnsCounted            int  // of those counted one by one
	OverCeiling             int  // days that do not count because they were too hot
	Bridged                 int  // days that count by assumption
	Held                    time.Duration
	HeldFrom, HeldTo        time.Time
	HeldCelsius             float64 // of Curve: the temperature held
	CurveShare, CurveSummed float64 // of Curve: 1 is enough; Summed is an indication only
	Misfit                  bool    // the rule is for piles that are not turned, and this one was
	Missing                 []string
	Notes                   []string
}

// JudgedDay is a day, and whether it counts.
type JudgedDay struct {
	Day
	Reading Reading // that decides; only where the day has readings
	Counts  bool
	Why     string // where it does not count, or counts only by assumption or with a remark
	Bridged bool   // counts by assumption
	Over    bool   // over the ceiling
}

// JudgedTurn is a turning, and whether it counts.
type JudgedTurn struct {
	Event
	Day    Day
	Counts bool
	Why    string // where it does not
}

// Judge holds a log against a rule. The log is left as it is.
func Judge(l *Log, rule Rule, choice Choice) *Verdict { return JudgeDays(l, l.Days(), rule, choice) }

// JudgeDays is [Judge] for a caller who holds the log's Days already.
func JudgeDays(l *Log, days []Day, rule Rule, choice Choice) *Verdict {
	v := &Verdict{Rule: rule, Choice: choice, Outcome: NotMet}
	j := judging{Verdict: v, log: l}
	if rule.Test == Validation {
		v.Outcome = NotJudged
		return v
	}
	j.judgeDays(days)
	j.judgeTurns()
	switch rule.Test {
	case HotDays:
		j.hotDays()
	case HotBeforeTurns:
		j.hotBeforeTurns()
	case Block:
		j.block(days)
	case Hold:
		j.hold(days)
	case Curve:
		j.curve(days)
	case Reach:
		j.reach()
	}
	if v.OverCeiling > 0 {
		v.Notes = append(v.Notes, fmt.Sprintf("%s went over %s, the upper edge of the band, and count for nothing", some(v.OverCeiling, "day"), j.limit(rule.Ceiling)))
	}
	if v.Bridged > 0 {
		v.Notes = append(v.Notes, fmt.Sprintf("%s without a reading counts by assumption", some(v.Bridged, "day")))
	}
	if v.Misfit = rule.Keeping == Still && len(v.Turns) > 0; v.Misfit {
		v.Notes = append(v.Notes, "this row is for a vessel or an aerated static pile, and the log has turnings: see the row for turned compost")
	}
	return v
}

// judging is a verdict in the making.
type judging struct {
	*Verdict
	log *Log
}

// limit writes a limit in the unit of the log, as the rule has it.
func (j *judging) limit(l Limit) string { return j.log.Limit(l) }

// Limit writes a limit of a rule in the unit of the log.
func (l *Log) Limit(limit Limit) string {
	if l.Unit == "F" {
		return number(limit.Fahrenheit, 1) + " F"
	}
	return number(limit.Celsius, 1) + " C"
}

// Asked words a rule's threshold in the unit of the log: "55 C or more", "55
// to 76.7 C", "over 50 C".
func (l *Log) Asked(r Rule) string {
	switch {
	case r.Ceiling.set():
		text := l.Limit(r.From)
		return text[:strings.LastIndex(text, " ")] + " to " + l.Limit(r.Ceiling)
	case r.Above:
		return "over " + l.Limit(r.From)
	}
	return l.Limit(r.From) + " or more"
}

// holds reports whether a reading reaches the threshold, in the unit in which
// it was entered.
func (r Rule) holds(reading Reading) bool {
	from := r.From.in(reading.Unit)
	if r.Above {
		return reading.Entered > from
	}
	return reading.Entered >= from
}

// over reports whether a reading lies over the ceiling.
func (r Rule) over(reading Reading) bool {
	return r.Ceiling.set() && reading.Entered > r.Ceiling.in(reading.Unit)
}

// judgeDays says of each day whether it counts, bridges where that is chosen,
// and finds the longest run.
func (j *judging) judgeDays(days []Day) {
	j.Days = make([]JudgedDay, len(days))
	for i, d := range days {
		j.Days[i] = j.judgeDay(d, i > 0 && len(days[i-1].Turnings) > 0)
	}
	if j.Choice.Bridge {
		for i := 1; i+1 < len(j.Days); i++ {
			d := &j.Days[i]
			if len(d.Readings) == 0 && j.Days[i-1].Counts && j.Days[i+1].Counts && !j.Days[i-1].Bridged {
				d.Counts, d.Bridged, d.Why = true, true, "no reading; counts by assumption, between two days that count"
				j.Bridged++
			}
		}
	}
	for i := range j.Days {
		if j.Days[i].Counts {
			j.Counted++
		}
		if j.Days[i].Over {
			j.OverCeiling++
		}
	}
}

func (j *judging) judgeDay(d Day, dayAfterTurning bool) JudgedDay {
	out := JudgedDay{Day: d}
	if len(d.Readings) == 0 {
		out.Why = "no reading"
		return out
	}
	low, _ := d.Low()
	high, _ := d.High()
	lowHolds, anyHolds, anyOver := true, false, false
	for _, r := range d.Readings {
		holds := j.Rule.holds(r)
		lowHolds, anyHolds, anyOver = lowHolds && holds, anyHolds || holds, anyOver || j.Rule.over(r)
	}
	name, holds := "lowest", lowHolds
	out.Reading = low
	if j.Choice.Hopeful {
		name, holds, out.Reading = "highest", anyHolds, high
	}
	switch {
	case anyOver:
		out.Over = true
		out.Why = fmt.Sprintf("highest %s, over %s", high, j.limit(j.Rule.Ceiling))
	case !holds:
		short := "under "
		if j.Rule.Above {
			short = "not over "
		}
		out.Why = fmt.Sprintf("%s %s, %s%s", name, out.Reading, short, j.limit(j.Rule.From))
		if len(d.Turnings) > 0 || dayAfterTurning {
			out.Why += "; a dip after a turning is normal"
		}
	default:
		out.Counts = true
		if n := len(d.Turnings); n > 0 && d.Readings[len(d.Readings)-1].Time.Before(d.Turnings[0].Time) {
			out.Why = "read before the turning only"
		}
	}
	return out
}

// judgeTurns says which turnings count: one a day, within the hot period,
// and no closer than the rule's gap.
func (j *judging) judgeTurns() {
	first := slices.IndexFunc(j.Days, func(d JudgedDay) bool { return d.Counts })
	last := -1
	for i, d := range j.Days {
		if d.Counts {
			last = i
		}
	}
	before := -1
	hot := "the first day that counts"
	for i, d := range j.Days {
		for n, e := range d.Turnings {
			t := JudgedTurn{Event: e, Day: d.Day}
			switch {
			case first < 0:
				t.Why = "no day counts"
			case i < first:
				t.Why = "before " + hot
			case i > last:
				t.Why = "after the last day that counts"
			case n > 0:
				t.Why = "the second turning of one day"
			case before >= 0 && i-before < j.Rule.TurnGap:
				t.Why = fmt.Sprintf("less than %s after the one before", some(j.Rule.TurnGap, "day"))
			default:
				t.Counts, before = true, i
				j.TurnsCounted++
			}
			j.Turns = append(j.Turns, t)
		}
	}
	// Turnings from before the first reading have no day in the list.
	if len(j.Days) > 0 {
		var early []JudgedTurn
		for _, e := range eventsInOrder(j.log.Events) {
			if e.Kind == Turned && e.Time.Before(j.Days[0].Readings[0].Time) && j.log.dayOf(e.Time) < j.log.dayOf(j.Days[0].Readings[0].Time) {
				early = append(early, JudgedTurn{Event: e, Day: j.log.dayAt(e.Time), Why: "before the first reading"})
			}
		}
		j.Turns = append(early, j.Turns...)
	}
}

// dayAt gives the bare calendar day of a time.
func (l *Log) dayAt(t time.Time) Day {
	n := l.dayOf(t)
	d := Day{Number: n, Date: time.Unix(int64(n)*int64(aDay/time.Second), 0).UTC()}
	if l.Dated {
		d.Number -= l.begun()
	}
	return d
}

// miss notes what is still missing.
func (j *judging) miss(format string, v ...any) {
	j.Missing = append(j.Missing, fmt.Sprintf(format, v...))
}

// note adds a remark.
func (j *judging) note(format string, v ...any) {
	j.Notes = append(j.Notes, fmt.Sprintf(format, v...))
}

// settle sets the outcome.
func (j *judging) settle(met bool) {
	if met {
		j.Outcome = Met
	}
}
