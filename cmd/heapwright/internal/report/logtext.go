package report

import (
	"fmt"
	"strings"
	"time"

	"heapwright/blend/pile"
)

// adviceLines lays out what to do today, each with what calls for it.
func adviceLines(a *LogAnswer) []string {
	var lines []string
	for _, x := range a.Advice {
		lines = append(lines, wrap(x.Text, "  ", "  ")...)
		lines = append(lines, wrap("because of: "+x.Because, "    ", "      ")...)
		lines = append(lines, wrap("held against: "+heldAgainst(x), "    ", "      ")...)
	}
	return lines
}

// heldAgainst says what an advice goes by.
func heldAgainst(x pile.Advice) string {
	from := x.Source
	if x.Band != "" {
		from = x.Band + " (" + x.Source + ")"
	}
	if x.Standing == pile.FromMemory {
		from += "; from memory"
	}
	return from
}

// courseLines tells the life of the pile.
func courseLines(a *LogAnswer) []string {
	c, l := a.Course, a.Log
	var g grid
	for _, p := range c.Phases {
		g.add(p.Kind.String(), l.DayName(p.From), "to "+l.DayName(p.To), plural(p.Length(), "day"))
	}
	lines := g.lines("  ")
	say := func(format string, v ...any) {
		lines = append(lines, wrap(fmt.Sprintf(format, v...), "  ", "    ")...)
	}
	lines = append(lines, "")
	say("peak %s on %s", c.Peak, l.DayName(dayOfReading(c, c.Peak)))
	var names, all, hottest []string
	for _, x := range c.Above {
		names = append(names, l.Limit(x.Limit))
		all = append(all, fmt.Sprint(x.Lowest))
		hottest = append(hottest, fmt.Sprint(x.Highest))
	}
	g = grid{}
	g.add(append([]string{"days at or over"}, names...)...)
	g.add(append([]string{"  by the lowest reading"}, all...)...)
	g.add(append([]string{"  by the highest"}, hottest...)...)
	lines = append(lines, g.lines("  ")...)
	heat, unit := c.DegreeHours, "C h"
	if l.Unit == "F" {
		heat, unit = heat*9/5, "F h"
	}
	say("heat over %s: %s %s in %s of readings", l.Degrees(40), short(rough(heat)), unit, plural(int(c.Covered.Hours()/24+0.5), "day"))
	if s := c.Spread; s.HasLast {
		text := fmt.Sprintf("probes differ by %s, at the most by %s on %s", l.Difference(s.Last), l.Difference(s.Most), l.DayName(s.MostOn))
		if s.Last > pile.Uneven {
			text += "; more than 10 C (18 F) between like spots is uneven"
		}
		say("%s", text)
	}
	if over, ok := c.Over(); ok {
		say("now %s over the air", l.Difference(over))
	}
	lines = append(lines, turningLines(c)...)
	return append(lines, airLines(c)...)
}

// mostSwings is how many swings of the air text tells.
const mostSwings = 4

// airLines tells where the pile went with the air.
func airLines(c *pile.Course) []string {
	if len(c.Air) == 0 {
		return nil
	}
	var g grid
	g.add("with the weather", "air", "pile")
	for i, s := range c.Air {
		if i == mostSwings {
			break
		}
		g.add(c.Log.DayName(s.From)+" to "+c.Log.DayName(s.To), signed(c, s.Air), signed(c, s.Pile))
	}
	lines := append([]string{""}, g.lines("  ")...)
	if n := len(c.Air) - mostSwings; n > 0 {
		lines = append(lines, fmt.Sprintf("  and %d more", n))
	}
	return lines
}

func signed(c *pile.Course, celsius float64) string {
	if celsius > 0 {
		return "+" + c.Log.Difference(celsius)
	}
	return c.Log.Difference(celsius)
}

// mostTurnings is how many turnings text tells one by one.
const mostTurnings = 12

func turningLines(c *pile.Course) []string {
	if len(c.Turnings) == 0 {
		return nil
	}
	var g grid
	g.add("turned", "at", "lowest after", "hottest after", "came back")
	told := c.Turnings
	if len(told) > mostTurnings {
		told = told[len(told)-mostTurnings:]
	}
	for _, t := range told {
		cell := func(r pile.Reading, ok bool) string {
			if !ok {
				return "-"
			}
			return c.Log.Degrees(r.Celsius)
		}
		back := "no"
		switch {
		case !t.Has:
			back = "-"
		case t.Back && t.BackIn == 0:
			back = "the same day"
		case t.Back:
			back = "in " + plural(t.BackIn, "day")
		case t.Open:
			back = "too early to say"
		}
		g.add(c.Log.DayName(t.Day), cell(t.Before, t.Has), cell(t.Low, t.HasLow), cell(t.Best, t.HasBest), back)
	}
	lines := append([]string{""}, g.lines("  ")...)
	if n := len(c.Turnings) - len(told); n > 0 {
		lines = append(lines, fmt.Sprintf("  and %d before those", n))
	}
	if c.Fading {
		lines = append(lines, "  each turning brings back less heat: it is fading")
	}
	return lines
}

func dayOfReading(c *pile.Course, r pile.Reading) pile.Day {
	for _, d := range c.Days {
		if n := len(d.Readings); n > 0 && !r.Time.Before(d.Readings[0].Time) && !r.Time.After(d.Readings[n-1].Time) {
			return d
		}
	}
	return pile.Day{}
}

// usualLines is one row for each of the usual rules.
func usualLines(a *LogAnswer) []string {
	var lines []string
	for _, v := range a.Verdicts {
		text := upper(v.Outcome.String())
		if v.Outcome == pile.Met {
			text = "Meets the figures"
		}
		first := fmt.Sprintf("%s: %s. %s", v.Rule.Key, upper(v.Rule.Name)+memory(v.Rule), text)
		tail := "."
		if v.Outcome == pile.NotMet {
			tail = ", missing " + strings.Join(v.Missing, "; ") + "."
		} else if v.Rule.Test == pile.HotDays && !v.UnbrokenMet {
			tail = ", its days counted one by one, not in one unbroken run."
		}
		if also := a.needs(v.Rule); v.Outcome == pile.Met && len(also) > 0 {
			tail += " Asked too: " + strings.Join(also, "; ") + "."
		}
		lines = append(lines, wrap(first+tail, "  ", "      ")...)
	}
	return lines
}

// verdictLines tells one verdict in full.
func verdictLines(a *LogAnswer, v *pile.Verdict) []string {
	l, r := a.Log, v.Rule
	var lines []string
	add := func(name, value string) {
		if value != "" {
			lines = append(lines, wrap(value, fmt.Sprintf("  %-11s  ", name), strings.Repeat(" ", 15))...)
		}
	}
	add("asks", askedWords(l, r))
	add("binds", r.Binds)
	add("source", r.Source+"; "+r.Standing.String()+remark(r))
	add("decides", v.Choice.String())
	verdict := v.Outcome.String()
	if v.Outcome == pile.Met {
		verdict = "the figures are met"
	}
	add("verdict", verdict)
	switch {
	case r.Test == pile.HotDays:
		if r.Counting == pile.Unbroken {
			add("one by one", fmt.Sprintf("%s, which does not decide", plural(v.Counted, "day")))
		} else {
			add("one by one", tally(v, v.Counted, v.TurnsCounted, v.OneByOneMet))
		}
		unbroken := tally(v, v.Longest, v.LongestTurns, v.UnbrokenMet)
		if v.Longest > 1 {
			unbroken += fmt.Sprintf("; longest run %s to %s", l.DayName(v.LongestFrom), l.DayName(v.LongestTo))
		}
		add("unbroken", unbroken)
	case r.Test == pile.HotBeforeTurns:
		add("turnings", fmt.Sprintf("%d of %d with their days before them", v.TurnsCounted, r.Turns))
	case r.Test == pile.Block && r.PeakFor > 0, r.Test == pile.Hold:
		add("held", heldWords(l, v))
	case r.Test == pile.Curve && v.Held > 0:
		add("held", fmt.Sprintf("%s, at %s: %s times what the curve asks", heldWords(l, v), l.Degrees(v.HeldCelsius), short(min(v.CurveShare, 1e6))))
	}
	if r.Test == pile.Block {
		add("on end", fmt.Sprintf("%d of %d days with every reading there", v.Longest, r.Days))
	}
	for i, m := range v.Missing {
		add(label(i, "missing"), m)
	}
	if v.Outcome != pile.NotJudged && r.Test != pile.Hold && r.Test != pile.Curve {
		for i, line := range dayGroups(l, v) {
			add(label(i, "days"), line)
		}
	}
	for i, t := range v.Turns {
		if r.Turns == 0 {
			break
		}
		if i == mostStretches {
			add("", fmt.Sprintf("and %d more; --format json lists every turning", len(v.Turns)-i))
			break
		}
		text := l.DayName(t.Day) + " counts"
		if !t.Counts {
			text = l.DayName(t.Day) + " does not count: " + t.Why
		}
		add(label(i, "turnings"), text)
	}
	for i, n := range a.needs(r) {
		add(label(i, "asks also"), n)
	}
	for i, n := range v.Notes {
		add(label(i, "note"), n)
	}
	return lines
}

func label(i int, name string) string {
	if i > 0 {
		return ""
	}
	return name
}

func remark(r pile.Rule) string {
	if r.Remark == "" {
		return ""
	}
	return " (" + r.Remark + ")"
}

func tally(v *pile.Verdict, days, turns int, met bool) string {
	text := fmt.Sprintf("%d of %d days", days, v.Rule.Days)
	if v.Rule.Turns > 0 {
		text += fmt.Sprintf(", %d of %d turnings", turns, v.Rule.Turns)
	}
	if met {
		return text + ": enough"
	}
	return text + ": not enough"
}

func heldWords(l *pile.Log, v *pile.Verdict) string {
	if v.Held == 0 {
		return "no length of time shown"
	}
	text := spell(v.Held)
	if l.Dated {
		text += fmt.Sprintf(", from %s to %s", v.HeldFrom.Format("2 Jan 15:04"), v.HeldTo.Format("2 Jan 15:04"))
	}
	return text
}

// spell writes a length of time.
func spell(d time.Duration) string {
	if d < time.Hour {
		return fmt.Sprintf("%.0f minutes", d.Minutes())
	}
	return short(d.Hours()) + " hours"
}

// askedWords says in words what a rule asks of the temperature.
func askedWords(l *pile.Log, r pile.Rule) string {
	switch r.Test {
	case pile.HotBeforeTurns:
		onEnd := ""
		if r.Counting == pile.Unbroken {
			onEnd = " on end"
		}
		return fmt.Sprintf("%d turnings, each after %d days%s at %s", r.Turns, r.Days, onEnd, l.Asked(r))
	case pile.Block:
		text := fmt.Sprintf("%d days on end with every reading at %s", r.Days, l.Asked(r))
		if r.PeakFor > 0 {
			text += fmt.Sprintf(", and over %s for %s within them", l.Limit(r.Peak), spell(r.PeakFor))
		} else {
			text += ", and a mean over " + l.Limit(r.Mean)
		}
		return text
	case pile.Hold:
		return fmt.Sprintf("%s for %s without a break", l.Asked(r), spell(r.Length))
	case pile.Curve:
		return "a temperature T held for 131,700,000 / 10^(0.14 T) days, T in C and 50 or more, 20 minutes at the least"
	case pile.Reach:
		return fmt.Sprintf("%s within %d days of building", l.Asked(r), r.Days)
	case pile.Validation:
		return "no figures for a log: a trial of the plant"
	}
	text := fmt.Sprintf("%d days at %s", r.Days, l.Asked(r))
	if r.Counting == pile.Unbroken {
		return text + " on end"
	}
	if r.Turns > 0 {
		text += fmt.Sprintf(" and %d turnings in that time", r.Turns)
	}
	if r.TurnGap > 0 {
		text += fmt.Sprintf(", %d days or more apart", r.TurnGap)
	}
	return text + "; the days: " + r.Counting.String()
}

// mostStretches is how many stretches of days, and turnings, text tells for a
// rule.
const mostStretches = 40

// dayGroups lists the days in order: those that count in runs, and those that
// do not with the reason, runs of them together.
func dayGroups(l *pile.Log, v *pile.Verdict) []string {
	like := func(a, b pile.JudgedDay) bool { return a.Counts == b.Counts && a.Bridged == b.Bridged }
	var out []string
	for i := 0; i < len(v.Days); {
		to := i + 1
		for to < len(v.Days) && like(v.Days[i], v.Days[to]) {
			to++
		}
		out = append(out, groupWords(l, v.Days[i:to]))
		i = to
	}
	if len(out) > mostStretches {
		rest := len(out) - mostStretches
		out = append(out[:mostStretches], fmt.Sprintf("and %d more stretches; --format csv lists every day", rest))
	}
	return out
}

// groupWords words a run of days that all count, or all do not.
func groupWords(l *pile.Log, days []pile.JudgedDay) string {
	first := days[0]
	if len(days) == 1 {
		name := l.DayName(first.Day)
		switch {
		case first.Bridged:
			return name + ": " + first.Why
		case first.Counts && first.Why != "":
			return name + " counts (" + first.Why + ")"
		case first.Counts:
			return name + " counts"
		}
		return name + " does not count: " + first.Why
	}
	text := fmt.Sprintf("%s to %s ", l.DayName(first.Day), l.DayName(days[len(days)-1].Day))
	if first.Counts {
		return text + fmt.Sprintf("count (%d days)", len(days))
	}
	var unread, hot, cool int
	var low, high pile.Reading
	for _, d := range days {
		switch {
		case len(d.Readings) == 0:
			unread++
		case d.Over:
			hot++
		default:
			if cool == 0 || d.Reading.Celsius < low.Celsius {
				low = d.Reading
			}
			if cool == 0 || d.Reading.Celsius > high.Celsius {
				high = d.Reading
			}
			cool++
		}
	}
	var why []string
	if cool > 0 {
		at := l.Degrees(low.Celsius)
		if high.Celsius > low.Celsius {
			at += " to " + l.Degrees(high.Celsius)
		}
		why = append(why, plural(cool, "day")+" not hot enough, at "+at)
	}
	if hot > 0 {
		why = append(why, fmt.Sprintf("%s too hot", plural(hot, "day")))
	}
	if unread > 0 {
		why = append(why, fmt.Sprintf("%s without a reading", plural(unread, "day")))
	}
	return text + "do not count: " + strings.Join(why, ", ")
}

// mostDoubts is how many doubts text tells one by one.
const mostDoubts = 10

func doubtLines(l *pile.Log) []string {
	var lines []string
	for i, d := range l.Doubts {
		if i == mostDoubts {
			lines = append(lines, fmt.Sprintf("  and %d more; --format json lists all", len(l.Doubts)-i))
			break
		}
		where := ""
		if d.Line > 0 {
			where = fmt.Sprintf("line %d: ", d.Line)
			if d.Last > d.Line {
				where = fmt.Sprintf("lines %d to %d: ", d.Line, d.Last)
			}
		}
		text := where + d.Reason
		if d.Text != "" {
			text += fmt.Sprintf(" (%s)", d.Text)
		}
		lines = append(lines, wrap(text, "  - ", "    ")...)
	}
	return lines
}

func mindLines(a *LogAnswer) []string {
	var lines []string
	say := func(text string) { lines = append(lines, wrap(text, "  - ", "    ")...) }
	for _, m := range minds(a) {
		say(m)
	}
	return lines
}

// minds are the cautions on a judged log.
func minds(a *LogAnswer) []string {
	out := []string{
		"A log is evidence of heat, and only a laboratory test shows what it did. None of these rules binds a home gardener who uses the compost at home; where one binds you, the rule's own text and your local authority decide.",
	}
	if len(a.Log.Groups) > 1 && !a.OnePile {
		name := "name one with --group."
		if a.Page {
			name = "name one."
		}
		out = append(out, "The log holds several piles ("+strings.Join(a.Log.Groups, ", ")+") and they were judged as one: "+name)
	}
	if len(a.Log.Ignored) > 0 {
		out = append(out, "Columns that were not understood, and not used: "+strings.Join(a.Log.Ignored, ", ")+".")
	}
	if a.Log.Condensed > 0 {
		out = append(out, fmt.Sprintf("There are so many readings that only the lowest and highest of each %s were kept.", spell(a.Log.Condensed)))
	}
	return out
}
