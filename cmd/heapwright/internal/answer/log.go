package answer

import (
	"heapwright/blend/pile"
	"heapwright/cmd/heapwright/internal/picture"
	"heapwright/cmd/heapwright/internal/report"
)

// AskedRules is a name of a rule or of a family of rules, and the rules that
// it stands for.
type AskedRules struct {
	Name  string
	Rules []pile.Rule
}

// Log judges a temperature log by the rules asked for, or by the usual ones
// where there are none; nil when the log has no reading of the pile.
func Log(log *pile.Log, asked []AskedRules, choice pile.Choice, known pile.Circumstances) *report.LogAnswer {
	course := pile.Follow(log)
	if course == nil {
		return nil
	}
	a := &report.LogAnswer{Log: log, Course: course, Choice: choice, Advice: course.Advise(known), Recipe: known.Recipe}
	judge := func(rules []pile.Rule) []*pile.Verdict {
		var out []*pile.Verdict
		for _, r := range rules {
			out = append(out, pile.JudgeDays(log, course.Days, r, choice))
		}
		return out
	}
	for _, ask := range asked {
		verdicts := judge(ask.Rules)
		a.Asked = append(a.Asked, report.AskedRule{Name: ask.Name, Verdicts: verdicts})
		a.Verdicts = append(a.Verdicts, verdicts...)
	}
	if len(asked) == 0 {
		a.Verdicts = judge(pile.UsualRules())
	}
	return a
}

// Curve is the picture of a judged log, with the thresholds of the rules that
// were asked for.
func Curve(a *report.LogAnswer, title string) *picture.Curve {
	curve := &picture.Curve{Course: a.Course, Title: title}
	for _, v := range a.Verdicts {
		curve.Rules = append(curve.Rules, v.Rule)
	}
	if len(a.Asked) == 0 && len(curve.Rules) > 0 {
		// 55 C, where most of the figures begin.
		curve.Rules = []pile.Rule{{From: pile.Limit{Celsius: 55, Fahrenheit: 131}}}
	}
	return curve
}
