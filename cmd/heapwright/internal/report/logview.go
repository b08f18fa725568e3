package report

// LogView is a judged log in words, for a page to lay out.
type LogView struct {
	Name     string
	Verdict  []string
	Read     string
	Today    string // the last day of the log
	Advice   []AdviceView
	Sections []LogSection
	Mind     []string
}

// AdviceView is something to do today, and what calls for it.
type AdviceView struct{ Text, Because, From string }

// LogSection is a heading and the lines under it, laid out as for a terminal.
type LogSection struct {
	Title string
	Lines []string
}

// LogViewOf puts a judged log in words for a page.
func LogViewOf(a *LogAnswer) *LogView {
	a.Page = true
	v := &LogView{
		Name: a.Log.Name, Verdict: logVerdict(a), Read: readLine(a),
		Today: a.Log.FullDayName(a.Course.Last()), Mind: minds(a),
	}
	for _, x := range a.Advice {
		v.Advice = append(v.Advice, AdviceView{x.Text, x.Because, heldAgainst(x)})
	}
	for _, s := range courseSections(a) {
		if len(s.lines) > 0 {
			v.Sections = append(v.Sections, LogSection{s.title, s.lines})
		}
	}
	return v
}
