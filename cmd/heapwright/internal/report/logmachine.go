package report

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"

	"heapwright/blend/pile"
)

// logJSON is the contract of heapwright.log/1; DEVELOPERS.md describes it.
// Temperatures are in C, whatever the unit of the log.
type logJSON struct {
	Schema   string        `json:"schema"`
	File     string        `json:"file"`
	Unit     string        `json:"unit"`
	Decides  string        `json:"decides"` // "lowest" or "highest" reading of a day
	Bridges  bool          `json:"bridges_single_days"`
	First    string        `json:"first_day"`
	Last     string        `json:"last_day"`
	AgeDays  int           `json:"age_days"`
	Readings int           `json:"readings"`
	SetAside int           `json:"readings_set_aside"`
	Probes   int           `json:"probes"`
	Phase    string        `json:"phase"`
	Phases   []phaseJSON   `json:"phases"`
	Peak     readingJSON   `json:"peak"`
	Above    []aboveJSON   `json:"days_at_or_over"`
	Heat     number        `json:"heat_over_40_c_hours"`
	Covered  number        `json:"heat_covers_hours"`
	Spread   *number       `json:"probe_spread_c"`
	Most     *number       `json:"probe_spread_most_c"`
	OverAir  *number       `json:"over_air_c"`
	Fading   bool          `json:"fading"`
	Turnings []turningJSON `json:"turnings"`
	Air      []airJSON     `json:"went_with_the_air"`
	Verdicts []verdictJSON `json:"verdicts"`
	Advice   []adviceJSON  `json:"advice"`
	Doubts   []doubtJSON   `json:"doubts"`
	Cautions []string      `json:"cautions"`
}

type phaseJSON struct {
	Phase string `json:"phase"`
	From  string `json:"from"`
	To    string `json:"to"`
	Days  int    `json:"days"`
}

type readingJSON struct {
	Celsius number `json:"celsius"`
	Entered number `json:"entered"`
	Unit    string `json:"unit"`
	Probe   string `json:"probe"`
	Day     string `json:"day"`
}

type aboveJSON struct {
	Celsius   number `json:"celsius"`
	ByLowest  int    `json:"by_lowest"`
	ByHighest int    `json:"by_highest"`
}

type turningJSON struct {
	Day      string  `json:"day"`
	Before   *number `json:"before_c"`
	Lowest   *number `json:"lowest_after_c"`
	Hottest  *number `json:"hottest_after_c"`
	CameBack string  `json:"came_back"` // "yes", "no" or "too early to say"
	InDays   *int    `json:"in_days"`
}

type airJSON struct {
	From string `json:"from"`
	To   string `json:"to"`
	Air  number `json:"air_c"`
	Pile number `json:"pile_c"`
}

type verdictJSON struct {
	Rule           string        `json:"rule"`
	Name           string        `json:"name"`
	Source         string        `json:"source"`
	Standing       string        `json:"standing"`
	Keeping        string        `json:"keeping"`
	Binds          string        `json:"binds"`
	ThresholdC     number        `json:"threshold_c"`
	CeilingC       *number       `json:"ceiling_c"`
	DaysAsked      int           `json:"days_asked"`
	TurningsAsked  int           `json:"turnings_asked"`
	Counting       string        `json:"counting"`
	Verdict        string        `json:"verdict"`
	OneByOneMet    bool          `json:"one_by_one_met"`
	UnbrokenMet    bool          `json:"unbroken_met"`
	DaysCounted    int           `json:"days_counted"`
	LongestRun     int           `json:"longest_run_days"`
	TurnsCounted   int           `json:"turnings_counted"`
	HeldHours      *number       `json:"held_hours"`
	CurveShare     *number       `json:"curve_share"`
	CurveSummed    *number       `json:"curve_summed_indication"`
	Missing        []string      `json:"missing"`
	AlsoAsked      []string      `json:"also_asked"`
	Notes          []string      `json:"notes"`
	Days           []dayJSON     `json:"days"`
	JudgedTurnings []judgedTJSON `json:"turnings"`
}

type dayJSON struct {
	Day     string  `json:"day"`
	Celsius *number `json:"deciding_c"`
	Counts  bool    `json:"counts"`
	Assumed bool    `json:"assumed,omitempty"`
	Why     string  `json:"why,omitempty"`
}

type judgedTJSON struct {
	Day    string `json:"day"`
	Counts bool   `json:"counts"`
	Why    string `json:"why,omitempty"`
}

type adviceJSON struct {
	Action      string    `json:"action"`
	Text        string    `json:"text"`
	Because     string    `json:"because"`
	Band        string    `json:"band,omitempty"`
	Source      string    `json:"source"`
	Standing    string    `json:"standing,omitempty"`
	WaterLitres []float64 `json:"water_litres,omitempty"`
}

type doubtJSON struct {
	Line     int    `json:"line"`
	LastLine int    `json:"last_line"`
	Count    int    `json:"count"`
	Text     string `json:"text"`
	Reason   string `json:"reason"`
}

// isoDay names a day for machines: "2026-05-03", or "3" in a log of day
// numbers.
func isoDay(l *pile.Log, d pile.Day) string {
	if !l.Dated {
		return strconv.Itoa(d.Number)
	}
	return d.Date.Format("2006-01-02")
}

func some(v float64, ok bool) *number {
	if !ok {
		return nil
	}
	return new(number(v))
}

func writeLogJSON(w io.Writer, a *LogAnswer) error {
	l, c := a.Log, a.Course
	day := func(d pile.Day) string { return isoDay(l, d) }
	out := logJSON{
		Schema: "heapwright.log/1", File: l.Name, Unit: l.Unit, Decides: "lowest", Bridges: a.Choice.Bridge,
		First: day(c.Days[0]), Last: day(c.Last()), AgeDays: c.Age(), Readings: max(l.Used, len(l.Readings)), SetAside: l.SetAside, Probes: c.Spread.Probes,
		Phase: c.Phase().Kind.String(),
		Peak:  readingJSON{number(c.Peak.Celsius), number(c.Peak.Entered), c.Peak.Unit, c.Peak.Probe, day(dayOfReading(c, c.Peak))},
		Heat:  number(c.DegreeHours), Covered: number(c.Covered.Hours()),
		Spread: some(c.Spread.Last, c.Spread.HasLast), Most: some(c.Spread.Most, c.Spread.HasLast),
		Fading: c.Fading, Cautions: minds(a),
		Phases: []phaseJSON{}, Above: []aboveJSON{}, Turnings: []turningJSON{}, Air: []airJSON{}, Verdicts: []verdictJSON{}, Advice: []adviceJSON{}, Doubts: []doubtJSON{},
	}
	if a.Choice.Hopeful {
		out.Decides = "highest"
	}
	out.OverAir = some(c.Over())
	for _, p := range c.Phases {
		out.Phases = append(out.Phases, phaseJSON{p.Kind.String(), day(p.From), day(p.To), p.Length()})
	}
	for _, x := range c.Above {
		out.Above = append(out.Above, aboveJSON{number(x.Limit.Celsius), x.Lowest, x.Highest})
	}
	for _, t := range c.Turnings {
		j := turningJSON{Day: day(t.Day), Before: some(t.Before.Celsius, t.Has), Lowest: some(t.Low.Celsius, t.HasLow), Hottest: some(t.Best.Celsius, t.HasBest), CameBack: "no"}
		switch {
		case t.Back:
			j.CameBack, j.InDays = "yes", new(t.BackIn)
		case t.Open || !t.Has:
			j.CameBack = "too early to say"
		}
		out.Turnings = append(out.Turnings, j)
	}
	for _, s := range c.Air {
		out.Air = append(out.Air, airJSON{day(s.From), day(s.To), number(s.Air), number(s.Pile)})
	}
	for _, v := range a.Verdicts {
		out.Verdicts = append(out.Verdicts, verdictOf(a, v))
	}
	for _, x := range a.Advice {
		j := adviceJSON{Action: x.Action.String(), Text: x.Text, Because: x.Because, Band: x.Band, Source: x.Source}
		if x.Standing > 0 {
			j.Standing = x.Standing.String()
		}
		if x.WaterHigh > 0 {
			j.WaterLitres = []float64{x.WaterLow, x.WaterHigh}
		}
		out.Advice = append(out.Advice, j)
	}
	for _, d := range l.Doubts {
		out.Doubts = append(out.Doubts, doubtJSON{d.Line, max(d.Last, d.Line), max(d.Count, 1), d.Text, d.Reason})
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(out)
}

func verdictOf(a *LogAnswer, v *pile.Verdict) verdictJSON {
	l, r := a.Log, v.Rule
	j := verdictJSON{
		Rule: r.Key, Name: r.Name, Source: r.Source, Standing: r.Standing.String(), Keeping: r.Keeping.String(), Binds: r.Binds,
		ThresholdC: number(r.From.Celsius), CeilingC: some(r.Ceiling.Celsius, r.Ceiling != pile.Limit{}),
		DaysAsked: r.Days, TurningsAsked: r.Turns, Counting: r.Counting.String(), Verdict: v.Outcome.String(),
		OneByOneMet: v.OneByOneMet, UnbrokenMet: v.UnbrokenMet, DaysCounted: v.Counted, LongestRun: v.Longest, TurnsCounted: v.TurnsCounted,
		HeldHours:  some(v.Held.Hours(), r.Length > 0 || r.PeakFor > 0),
		CurveShare: some(v.CurveShare, r.Test == pile.Curve), CurveSummed: some(v.CurveSummed, r.Test == pile.Curve),
		Missing: list(v.Missing), AlsoAsked: a.needs(r), Notes: list(v.Notes), Days: []dayJSON{}, JudgedTurnings: []judgedTJSON{},
	}
	for _, d := range v.Days {
		j.Days = append(j.Days, dayJSON{isoDay(l, d.Day), some(d.Reading.Celsius, len(d.Readings) > 0), d.Counts, d.Bridged, d.Why})
	}
	for _, t := range v.Turns {
		j.JudgedTurnings = append(j.JudgedTurnings, judgedTJSON{isoDay(l, t.Day), t.Counts, t.Why})
	}
	return j
}

// list makes a list that JSON shows as [] when it is empty.
func list(s []string) []string { return append([]string{}, s...) }

// writeLogCSV writes a row a day, with a column for each rule that counts days.
func writeLogCSV(w io.Writer, a *LogAnswer) error {
	c, l := a.Course, a.Log
	out := csv.NewWriter(w)
	head := []string{"day", "readings", "lowest_c", "highest_c", "air_c", "turnings", "phase"}
	var counting []*pile.Verdict
	for _, v := range a.Verdicts {
		if len(v.Days) == len(c.Days) && v.Rule.Test != pile.Hold && v.Rule.Test != pile.Curve {
			counting = append(counting, v)
			head = append(head, v.Rule.Key, v.Rule.Key+" why")
		}
	}
	if err := out.Write(head); err != nil {
		return err
	}
	cell := func(v float64, ok bool) string {
		if !ok {
			return ""
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	for i, d := range c.Days {
		low, ok := d.Low()
		high, _ := d.High()
		phase := ""
		for _, p := range c.Phases {
			if d.Number >= p.From.Number && d.Number <= p.To.Number {
				phase = p.Kind.String()
			}
		}
		row := []string{isoDay(l, d), strconv.Itoa(len(d.Readings)), cell(low.Celsius, ok), cell(high.Celsius, ok), cell(d.AirMean()), strconv.Itoa(len(d.Turnings)), phase}
		for _, v := range counting {
			counts := "no"
			if v.Days[i].Counts {
				counts = "yes"
			}
			row = append(row, counts, v.Days[i].Why)
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
