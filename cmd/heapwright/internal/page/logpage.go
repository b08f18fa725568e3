package page

import (
	"bytes"
	"net/http"
	"strings"

	"heapwright/blend/pile"
	"heapwright/cmd/heapwright/internal/answer"
	"heapwright/cmd/heapwright/internal/picture"
	"heapwright/cmd/heapwright/internal/report"
)

// logForm says how a log is to be read, as it was chosen.
type logForm struct{ Text, Unit, Order, Rule, Group string }

// mostEcho is the longest pasted log that comes back in its field.
const mostEcho = 64 << 10

// judge reads a temperature log and says how it stands.
func (s *server) judge(w http.ResponseWriter, r *http.Request) {
	text, name := posted(r, "log")
	get := func(key string) string { return strings.TrimSpace(r.PostForm.Get(key)) }
	form := logForm{Unit: get("log-unit"), Order: get("log-order"), Rule: get("log-rule"), Group: get("log-group")}
	if typed := r.PostForm.Get("log"); len(typed) <= mostEcho {
		form.Text = typed
	}
	d := s.data(s.Plan)
	d.LogForm = form
	status := http.StatusOK
	if err := d.judge(text, name); err != nil {
		status = statusOf(err)
		d.LogTrouble = troubles(err, nil)
		if status == http.StatusInternalServerError {
			s.note(err)
		}
	}
	if get("part") != "" { // a script puts the part in its place
		s.html(w, status, "log", d)
		return
	}
	s.fill(r.Context(), d)
	s.html(w, status, "page", d)
}

func (d *pageData) judge(text, name string) error {
	f := d.LogForm
	if strings.TrimSpace(text) == "" {
		return &FormError{"log-text", "there is no log to judge", "paste it, or choose a file: a date and a temperature on each line"}
	}
	o := pile.Options{Group: f.Group, DayFirst: f.Order == "day", MonthFirst: f.Order == "month"}
	if f.Unit == "C" || f.Unit == "F" {
		o.Unit = f.Unit
	}
	var asked []answer.AskedRules
	if f.Rule != "" {
		rules := pile.FindRules(f.Rule)
		if len(rules) == 0 {
			return &FormError{"log-rule", "there is no such rule", "choose one of the list"}
		}
		asked = append(asked, answer.AskedRules{Name: f.Rule, Rules: rules})
	}
	log, err := pile.Read(strings.NewReader(text), name, o)
	if err != nil {
		return err
	}
	a := answer.Log(log, asked, pile.Choice{}, pile.Circumstances{})
	if a == nil {
		return &FormError{"log-text", "there is no reading of the pile in it", "it needs a date and a temperature on each line"}
	}
	a.OnePile = f.Group != ""
	d.Log = report.LogViewOf(a)
	title := "Temperature log"
	if name != pasted {
		title += " " + name
	}
	var drawn bytes.Buffer
	if err := picture.Write(&drawn, answer.Curve(a, title), picture.SVG); err != nil {
		return err
	}
	d.LogPicture = asData(drawn.Bytes())
	return nil
}
