package report

import (
	"fmt"
	"io"
	"strings"

	"heapwright/blend"
	"heapwright/blend/pile"
)

// LogAnswer is a temperature log with what it comes to.
type LogAnswer struct {
	Log      *pile.Log
	Course   *pile.Course // nil for a log without readings
	Verdicts []*pile.Verdict
	Asked    []AskedRule // what --rule asked for, in order; empty for the usual rules
	Choice   pile.Choice
	Advice   []pile.Advice
	Picture  []string      // for the terminal; nil for none
	Recipe   *blend.Recipe // of the plan; nil for none
	OnePile  bool          // of a log of several piles, one was picked
	Page     bool          // for the local page: no flag of the command line is named
}

// AskedRule is a rule, or a family of rules, that was asked for.
type AskedRule struct {
	Name     string
	Verdicts []*pile.Verdict
}

// Met reports whether one of the family is met; a rule for piles that are not
// turned speaks for a turned one only where it alone was asked for.
func (a AskedRule) Met() bool {
	for _, v := range a.Verdicts {
		if v.Outcome == pile.Met && !(v.Misfit && len(a.Verdicts) > 1) {
			return true
		}
	}
	return false
}

// Log writes a judged log to w in the layout asked for.
func Log(w io.Writer, a *LogAnswer, format Format) error {
	switch format {
	case JSON:
		return writeLogJSON(w, a)
	case CSV:
		return writeLogCSV(w, a)
	case Markdown:
		return writeLogMarkdown(w, a)
	}
	return writeLogText(w, a)
}

// logSection is a heading and what stands under it: lines for a terminal, and
// items for Markdown where they differ.
type logSection struct {
	title string
	lines []string
}

// logSections lays out all but the first sentence.
func logSections(a *LogAnswer) []logSection {
	sections := append([]logSection{{"Today, " + a.Log.FullDayName(a.Course.Last()), adviceLines(a)}}, courseSections(a)...)
	if len(a.Asked) == 0 {
		held := &sections[len(sections)-2]
		held.lines = append(held.lines, wrap("--rule KEY shows the days of one of them, --rules lists all.", "  ", "  ")...)
	}
	return append(sections, logSection{"Mind", mindLines(a)})
}

// courseSections lay out the pile so far, and how it stands to the rules.
func courseSections(a *LogAnswer) []logSection {
	sections := []logSection{{"The pile so far", courseLines(a)}}
	if len(a.Picture) > 0 {
		sections = append(sections, logSection{"The curve", a.Picture})
	}
	for _, asked := range a.Asked {
		for _, v := range asked.Verdicts {
			sections = append(sections, logSection{upper(v.Rule.Name) + " (" + v.Rule.Key + ")", verdictLines(a, v)})
		}
	}
	if len(a.Asked) == 0 {
		sections = append(sections, logSection{"Held against published figures", usualLines(a)})
	}
	return append(sections, logSection{"Set aside", doubtLines(a.Log)})
}

func writeLogText(w io.Writer, a *LogAnswer) error {
	var lines []string
	for _, text := range logVerdict(a) {
		lines = append(lines, wrap(text, "", "")...)
	}
	lines = append(lines, "")
	lines = append(lines, wrap(readLine(a), "", "")...)
	for _, s := range logSections(a) {
		if len(s.lines) > 0 {
			lines = append(append(lines, "", s.title), s.lines...)
		}
	}
	_, err := io.WriteString(w, strings.Join(lines, "\n")+"\n")
	return err
}

func writeLogMarkdown(w io.Writer, a *LogAnswer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\n%s\n\n%s\n", escape("Temperature log "+a.Log.Name), escape(strings.Join(logVerdict(a), "\n\n")), escape(readLine(a)))
	for _, s := range logSections(a) {
		if len(s.lines) > 0 {
			fmt.Fprintf(&b, "\n## %s\n\n```\n%s\n```\n", escape(s.title), strings.Join(s.lines, "\n"))
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// logVerdict says in words how the log stands, a sentence or two for each rule
// that was asked for.
func logVerdict(a *LogAnswer) []string {
	var out []string
	for _, asked := range a.Asked {
		for _, v := range asked.Verdicts {
			out = append(out, a.sentence(v))
		}
	}
	if len(a.Asked) > 0 {
		return out
	}
	var met []string
	for _, v := range a.Verdicts {
		if v.Outcome == pile.Met {
			met = append(met, v.Rule.Name+memory(v.Rule))
		}
	}
	of := fmt.Sprintf("of the %d sets of published figures looked at", len(a.Verdicts))
	switch {
	case len(met) == 0:
		return []string{"Meets none " + of + "; what is missing stands below."}
	case len(met) == len(a.Verdicts):
		return []string{"Meets the time-temperature figures of all those looked at: " + strings.Join(met, "; ") + "."}
	}
	return []string{fmt.Sprintf("Meets the time-temperature figures of %d %s: %s.", len(met), of, strings.Join(met, "; "))}
}

// memory marks a rule whose figures are from memory.
func memory(r pile.Rule) string {
	if r.FromMemory() {
		return " (figures from memory)"
	}
	return ""
}

// sentence is the verdict on one rule.
func (a *LogAnswer) sentence(v *pile.Verdict) string {
	name := "the time-temperature figures of the " + strings.TrimPrefix(v.Rule.Name, "the ") + memory(v.Rule)
	by := ""
	if v.Choice.Hopeful {
		by = ", by the highest reading of each day"
	}
	if v.Choice.Bridge && v.Bridged > 0 {
		by += ", with a day without a reading taken to count"
	}
	switch v.Outcome {
	case pile.NotJudged:
		return "No log can show " + name + "."
	case pile.NotMet:
		return "Does not meet " + name + by + ". Missing: " + strings.Join(v.Missing, "; ") + "."
	}
	text := "Meets " + name + by
	if v.Rule.Test == pile.HotDays && v.Rule.Counting != pile.Unbroken {
		switch {
		case v.UnbrokenMet:
			text += ", in one unbroken run"
		case v.Rule.Counting == pile.OneByOne:
			text += "; its days need not follow one another, and these do not"
		default:
			text += ", its days counted one by one; as one unbroken run, which some certifiers want, it does not"
		}
	}
	if v.Misfit {
		text += "; but those are for piles that are not turned, and this one was"
	}
	if also := a.needs(v.Rule); len(also) > 0 {
		text += ". The log cannot show what else is asked: " + strings.Join(also, "; ")
	}
	return text + "."
}

// needs lists what a rule asks for that the log cannot show; C:N with what the
// plan comes to, where there is one.
func (a *LogAnswer) needs(r pile.Rule) []string {
	out := list(r.Needs)
	if ratio := r.CarbonToNitrogen; ratio.High > 0 {
		text := fmt.Sprintf("C:N of %g to %g at the start", ratio.Low, ratio.High)
		switch {
		case a.Recipe == nil:
			if !a.Page {
				text += " (--plan says)"
			}
		case a.Recipe.Figures.CarbonToNitrogen >= ratio.Low && a.Recipe.Figures.CarbonToNitrogen <= ratio.High:
			text += fmt.Sprintf(" (the plan comes to %s)", one(a.Recipe.Figures.CarbonToNitrogen))
		default:
			text += fmt.Sprintf(" (the plan comes to %s: outside)", one(a.Recipe.Figures.CarbonToNitrogen))
		}
		out = append(out, text)
	}
	return out
}

// readLine says what was read.
func readLine(a *LogAnswer) string {
	l, days := a.Log, a.Course.Days
	n := l.Used
	if n == 0 {
		n = len(l.Readings)
	}
	text := fmt.Sprintf("%s: %s", l.Name, plural(n, "reading"))
	if p := a.Course.Spread.Probes; p > 1 {
		text += fmt.Sprintf(" by %d probes", p)
	}
	text += fmt.Sprintf(", %s to %s; %s.", l.DayName(days[0]), l.FullDayName(a.Course.Last()), a.Choice)
	if l.SetAside > 0 {
		text += fmt.Sprintf(" %d more set aside, listed below.", l.SetAside)
	}
	return text
}

// plural counts things.
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
