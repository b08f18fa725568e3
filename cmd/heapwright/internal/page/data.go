package page

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"heapwright/blend"
	"heapwright/blend/pile"
	"heapwright/cmd/heapwright/internal/fault"
	"heapwright/cmd/heapwright/internal/report"
	"heapwright/feedstocks"
)

// Material is a name of the library and what it stands for.
type Material struct{ Name, Title string }

// pageData is what the templates are filled with.
type pageData struct {
	Form        *Form
	Names       []Material
	Rules       []pile.Rule
	Trouble     []Trouble // of the form
	LoadTrouble []Trouble // of a plan file
	Focus       string    // the id of the control to go on at

	MostPlan, MostLog int // bytes of a file

	View    *report.View
	Gauges  []Gauge
	Picture template.URL
	Told    string // the picture in words
	Scales  []Scale

	Log        *report.LogView
	LogTrouble []Trouble
	LogPicture template.URL
	LogForm    logForm
}

func (s *server) data(f *Form) *pageData {
	return &pageData{Form: f, Names: s.names, Rules: pile.Rules(), MostPlan: mostPlan, MostLog: mostLog}
}

// example is what the form shows at first: a small garden in November.
func example() *Form {
	return &Form{
		Mode: "mix", Units: "metric", Title: "Hedge-end bay",
		Ratio: "30", Moisture: "55",
		Lots: []Lot{{Name: "leaves", Amount: "14 sacks"}, {Name: "grass clippings", Amount: "5 barrows"}, {Name: "straw", Amount: "2 bales"}},
	}
}

// show puts an answer into what the page shows.
func (d *pageData) show(ctx context.Context, a *report.Answer, o report.Options) error {
	d.View = report.ViewOf(a, o)
	for _, t := range d.View.Targets {
		d.Gauges = append(d.Gauges, gaugeOf(t))
	}
	d.Scales = d.Form.scales()
	if d.View.Conflict {
		return nil
	}
	var err error
	d.Picture, d.Told, err = mixPicture(ctx, a.Recipe, d.View.Title)
	return err
}

// Trouble is a fault in words.
type Trouble struct {
	Control string // the id of the control that it is about, or ""
	Problem string
	Hint    string
}

// mostTroubles is how many faults are told at once.
const mostTroubles = 8

// troubles puts errors in words; f is the form that they are about, nil for a
// file.
func troubles(err error, f *Form) []Trouble {
	var out []Trouble
	for _, e := range fault.Split(err) {
		if len(out) == mostTroubles {
			break
		}
		if own, ok := errors.AsType[*FormError](e); ok {
			out = append(out, Trouble{own.Control, sentence(own.Problem), sentence(own.Hint)})
			continue
		}
		text, hint, known := fault.Words(e)
		switch {
		case errors.Is(e, context.DeadlineExceeded):
			text = fmt.Sprintf("this was not worked out in %g seconds", mostTime.Seconds())
			hint = "ask for less, or save the plan for heapwright mix, which takes the time that it needs"
		case !known:
			text, hint = "heapwright did not come to an answer", "change something and try again"
		}
		t := Trouble{Problem: text, Hint: hint}
		if plan, ok := errors.AsType[*blend.PlanError](e); ok && f != nil {
			t.Control, t.Problem = f.control(plan.Path), f.place(plan.Path)+plan.Problem
		}
		if begin := t.Problem; f == nil && strings.Contains(begin, ": ") {
			t.Problem = begin[:1] + sentence(begin)[1:] // it begins with the name of a file
		} else {
			t.Problem = sentence(begin)
		}
		t.Hint = sentence(t.Hint)
		out = append(out, t)
	}
	return out
}

// lotIndex finds the row of a name.
func lotIndex(lots []Lot, name string) int {
	return slices.IndexFunc(lots, func(l Lot) bool { return l.Name == name })
}

// control is the id of the control for a place of the plan, or "".
func (f *Form) control(path []string) string {
	if len(path) < 2 {
		return ""
	}
	column := func(names map[string]string, otherwise string) string {
		if len(path) > 2 {
			if c := names[path[2]]; c != "" {
				return c
			}
			return "further"
		}
		return otherwise
	}
	switch path[0] {
	case "target":
		return map[string]string{
			"carbon_to_nitrogen": "ratio", "carbon_to_nitrogen_range": "ratio-low", "moisture": "moisture", "moisture_range": "moisture-low",
		}[path[1]]
	case "pile":
		return map[string]string{
			"size": "size", "largest": "largest", "water": "water", "mixing_shrink": "shrink", "densest": "densest", "air_at_least": "air", "prefer": "prefer",
		}[path[1]]
	case "on_hand", "may_get":
		kind := map[string]string{"on_hand": onHand, "may_get": mayGet}[path[0]]
		i := lotIndex(*f.lots(kind), path[1])
		if i < 0 {
			return ""
		}
		// A fault of the row as a whole is that the name is not known, or
		// that the amount cannot be read.
		otherwise := "name"
		if l := (*f.lots(kind))[i]; l.Amount == "" || !readable(l.Amount, f.measures()) {
			otherwise = "amount"
		}
		return fmt.Sprintf("%s-%d-%s", kind, i, column(map[string]string{
			"amount": "amount", "feedstock": "is", "at_least": "least", "share_at_most": "share", "price": "price", "moisture": "moist",
		}, otherwise))
	case "feedstock":
		if i := slices.IndexFunc(f.Own, func(o Own) bool { return o.Name == path[1] }); i >= 0 {
			return fmt.Sprintf("own-%d-%s", i, column(map[string]string{
				"nitrogen": "nitrogen", "carbon_to_nitrogen": "ratio", "moisture": "moist", "bulk_density": "density",
			}, "name"))
		}
	case "measures":
		if i := slices.IndexFunc(f.Measures, func(m Measure) bool { return m.Name == path[1] }); i >= 0 {
			return fmt.Sprintf("measure-%d-size", i)
		}
	}
	return ""
}

// place names a place of the plan, for the front of a sentence.
func (f *Form) place(path []string) string {
	switch {
	case len(path) == 0:
		return ""
	case len(path) == 1:
		return ""
	}
	return strings.ReplaceAll(strings.Join(path[1:], ", "), "_", " ") + ": "
}

func readable(amount string, m feedstocks.Measures) bool {
	_, err := m.Parse(amount)
	return err == nil
}

// measures are the vessels of the form; what cannot be read is left out, and
// is told of elsewhere.
func (f *Form) measures() feedstocks.Measures {
	m := feedstocks.DefaultMeasures()
	for _, own := range f.Measures {
		if q, err := m.Parse(own.Size); err == nil {
			if with, err := m.With(own.Name, q); err == nil {
				m = with
			}
		}
	}
	return m
}

// Scale is what a slider goes over: a number of one unit.
type Scale struct {
	Kind         string
	Row          int
	Value, Max   string
	Step         string
	Unit, Single string // as after any other number, and after 1
	Name         string
}

// scales are those of the lots on hand.
func (f *Form) scales() []Scale {
	m := f.measures()
	var out []Scale
	for i, l := range f.Lots {
		out = append(out, scaleOf(i, l, m))
	}
	return out
}

// scaleOf makes a slider for an amount: from nothing to at least twice of it.
func scaleOf(row int, l Lot, m feedstocks.Measures) Scale {
	q, err := m.Parse(l.Amount)
	if err != nil {
		q = feedstocks.Quantity{Number: 0}
		q.Unit, _ = m.ParseUnit("barrow")
	}
	most := niceAbove(max(2*q.Number, 10*leastStep(q.Unit)))
	step := most / 100
	if q.Unit.Measure {
		step = max(0.5, math.Round(most/100))
	}
	name := l.Name
	if name == "" {
		name = "this material"
	}
	plain := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return Scale{
		Kind: onHand, Row: row, Value: plain(q.Number), Max: plain(most), Step: plain(step),
		Unit: q.Unit.Count(2), Single: q.Unit.Count(1),
		Name: "amount of " + name,
	}
}

// leastStep is the least number of a unit that is worth a slider.
func leastStep(u feedstocks.Unit) float64 {
	if u.Measure {
		return 1
	}
	return 1e-3 / u.Factor // a gram, or a litre
}

// niceAbove is the least round number, as 15, 20, 30 and 400 are, that is not
// under v.
func niceAbove(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 1) {
		return 10
	}
	ten := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 1.5, 2, 3, 4, 5, 6, 8} {
		if k*ten >= v*(1-1e-9) {
			return k * ten
		}
	}
	return 10 * ten
}

// sentence begins with a capital and ends with a stop.
func sentence(s string) string {
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".?!") {
		return upper(s)
	}
	return upper(s) + "."
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
