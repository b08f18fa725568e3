// Package page is the local page of heapwright: a form on which a plan is
// written, and the answer that moves with it. It keeps nothing between
// requests and touches no file: every request carries the whole form, and the
// form is turned into the text of a plan file that package blend reads, so
// that the page, a saved plan and the command give the same numbers.
package page

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"unicode/utf8"
)

// Form is a plan as it is written on the page. Every value is text, as typed.
type Form struct {
	Mode  string // "mix" or "check"
	Whole bool   // in whole measures; with mix
	Units string // "metric" or "us"

	Title                           string
	Ratio, RatioLow, RatioHigh      string // C:N, to one
	Moisture, MoistLow, MoistHigh   string // per cent
	Size, Largest, Water            string
	Shrink, Densest, Air, Preferred string

	Lots     []Lot // [on_hand]
	MayGet   []Lot // [may_get]
	Own      []Own // [feedstock]
	Measures []Measure
}

// Lot is a material on hand, or that could be got.
type Lot struct {
	Name    string
	Amount  string
	Is      string // the library's name for it, where Name is one's own
	Least   string
	Share   string
	Price   string
	Moist   string
	Further string // other keys of the lot, as in a plan: nitrogen = 3.1, ash = 8
}

// Own is a material of one's own, or one's own numbers for a known one.
type Own struct {
	Name, Nitrogen, Ratio, Moist, Density string
	Further                               string
}

// Measure is a vessel of one's own.
type Measure struct{ Name, Size string }

// Most rows of each table of the form, and most characters of one field: more
// than a class will type, and little enough to be worked out in a moment.
const (
	mostRows  = 60
	mostField = 2000
)

// lotKinds are the tables of lots, as the names of their controls begin.
const (
	onHand = "lot"
	mayGet = "get"
)

func (f *Form) lots(kind string) *[]Lot {
	if kind == mayGet {
		return &f.MayGet
	}
	return &f.Lots
}

// ReadForm reads a posted form. Fields that are not there are empty, rows are
// as long as their longest column. The error is a *[FormError].
func ReadForm(v url.Values) (*Form, error) {
	for key, values := range v {
		for i, text := range values {
			if len(text) > mostField {
				return nil, &FormError{Control: controlOf(key, i), Problem: fmt.Sprintf("a field holds more than %d characters", mostField), Hint: "shorten it"}
			}
			if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
				return nil, &FormError{Control: controlOf(key, i), Problem: "a field holds bytes that are not text", Hint: "type it again"}
			}
		}
		if len(values) > mostRows {
			return nil, &FormError{Problem: fmt.Sprintf("there are more than %d rows", mostRows), Hint: "put some together, or use heapwright mix with a plan file"}
		}
	}
	one := func(key string) string { return strings.TrimSpace(v.Get(key)) }
	f := &Form{
		Mode: "mix", Whole: one("whole") != "", Units: "metric",
		Title: one("title"), Ratio: one("ratio"), RatioLow: one("ratio-low"), RatioHigh: one("ratio-high"),
		Moisture: one("moisture"), MoistLow: one("moisture-low"), MoistHigh: one("moisture-high"),
		Size: one("size"), Largest: one("largest"), Water: one("water"),
		Shrink: one("shrink"), Densest: one("densest"), Air: one("air"), Preferred: one("prefer"),
	}
	if one("mode") == "check" {
		f.Mode = "check"
	}
	if one("units") == "us" {
		f.Units = "us"
	}
	for _, kind := range []string{onHand, mayGet} {
		rows := rowsOf(v, kind, "name", "amount", "is", "least", "share", "price", "moist", "further")
		for _, r := range rows {
			*f.lots(kind) = append(*f.lots(kind), Lot{r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7]})
		}
	}
	for _, r := range rowsOf(v, "own", "name", "nitrogen", "ratio", "moist", "density", "further") {
		f.Own = append(f.Own, Own{r[0], r[1], r[2], r[3], r[4], r[5]})
	}
	for _, r := range rowsOf(v, "measure", "name", "size") {
		f.Measures = append(f.Measures, Measure{r[0], r[1]})
	}
	return f, nil
}

// controlOf is the id of the control that posts the i-th value of a name.
func controlOf(name string, i int) string {
	switch kind, column, _ := strings.Cut(name, "-"); kind {
	case onHand, mayGet, "own", "measure":
		return fmt.Sprintf("%s-%d-%s", kind, i, column)
	}
	return name
}

// rowsOf gathers the columns KIND-KEY of a table into rows.
func rowsOf(v url.Values, kind string, keys ...string) [][]string {
	n := 0
	for _, key := range keys {
		n = max(n, len(v[kind+"-"+key]))
	}
	rows := make([][]string, n)
	for i := range rows {
		rows[i] = make([]string, len(keys))
		for k, key := range keys {
			if column := v[kind+"-"+key]; i < len(column) {
				rows[i][k] = strings.TrimSpace(column[i])
			}
		}
	}
	return rows
}

// Values is the form as it is posted; [ReadForm] reads it back.
func (f *Form) Values() url.Values {
	v := url.Values{}
	one := func(key, value string) {
		if value != "" {
			v.Set(key, value)
		}
	}
	one("mode", f.Mode)
	one("units", f.Units)
	if f.Whole {
		one("whole", "yes")
	}
	for key, value := range map[string]string{
		"title": f.Title, "ratio": f.Ratio, "ratio-low": f.RatioLow, "ratio-high": f.RatioHigh,
		"moisture": f.Moisture, "moisture-low": f.MoistLow, "moisture-high": f.MoistHigh,
		"size": f.Size, "largest": f.Largest, "water": f.Water,
		"shrink": f.Shrink, "densest": f.Densest, "air": f.Air, "prefer": f.Preferred,
	} {
		one(key, value)
	}
	row := func(kind string, pairs ...string) {
		for i := 0; i < len(pairs); i += 2 {
			v.Add(kind+"-"+pairs[i], pairs[i+1])
		}
	}
	for _, kind := range []string{onHand, mayGet} {
		for _, l := range *f.lots(kind) {
			row(kind, "name", l.Name, "amount", l.Amount, "is", l.Is, "least", l.Least, "share", l.Share, "price", l.Price, "moist", l.Moist, "further", l.Further)
		}
	}
	for _, o := range f.Own {
		row("own", "name", o.Name, "nitrogen", o.Nitrogen, "ratio", o.Ratio, "moist", o.Moist, "density", o.Density, "further", o.Further)
	}
	for _, m := range f.Measures {
		row("measure", "name", m.Name, "size", m.Size)
	}
	return v
}

// FormError is a fault of the form itself.
type FormError struct {
	Control string // the id of the control, where there is one
	Problem string
	Hint    string
}

func (e *FormError) Error() string { return e.Problem }

// edit adds or takes out a row, as a button of the form asks: "add lot",
// "drop lot 2". It gives the id of the control to go on at, or "".
func (f *Form) edit(do string) string {
	var verb, kind string
	row := -1
	if n, _ := fmt.Sscanf(do, "drop %s %d", &kind, &row); n == 2 {
		verb = "drop"
	} else if n, _ := fmt.Sscanf(do, "add %s", &kind); n == 1 {
		verb = "add"
	}
	switch kind {
	case onHand, mayGet:
		return editRows(f.lots(kind), verb, kind, row)
	case "own":
		return editRows(&f.Own, verb, kind, row)
	case "measure":
		return editRows(&f.Measures, verb, kind, row)
	}
	return ""
}

func editRows[T any](rows *[]T, verb, kind string, row int) string {
	switch {
	case verb == "add" && len(*rows) < mostRows:
		*rows = append(*rows, *new(T))
		return fmt.Sprintf("%s-%d-name", kind, len(*rows)-1)
	case verb == "drop" && row >= 0 && row < len(*rows):
		*rows = slices.Delete(*rows, row, row+1)
		return "add-" + kind
	}
	return ""
}
