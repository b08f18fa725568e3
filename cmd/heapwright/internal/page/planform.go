package page

import (
	"errors"
	"slices"
	"strings"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// FormOf turns the text of a plan file into the form, in the mode given. Plans
// that [blend] finds faults in are refused with its errors, and those with more
// than a form holds with a *[FormError]; lib is the library that they are read
// with.
func FormOf(plan, file string, lib *feedstocks.Library) (*Form, error) {
	read, err := blend.ReadPlan(strings.NewReader(plan), file)
	if err != nil {
		return nil, err
	}
	f, err := formOf(plan, file)
	if err != nil {
		return nil, err
	}
	// What the page could not be sent again is not opened; and a plan of a
	// thousand rows is not looked up either.
	if _, err := ReadForm(f.Values()); err != nil {
		if more, ok := errors.AsType[*FormError](err); ok {
			more.Control = "" // no control has it
		}
		return nil, err
	}
	if _, err := read.Problem(lib); err != nil {
		return nil, err
	}
	return f, nil
}

// formOf takes apart a plan that has been read once.
func formOf(plan, file string) (*Form, error) {
	doc, err := feedstocks.ReadDocument(strings.NewReader(plan), file)
	if err != nil {
		return nil, err
	}
	d := &tomlTable{doc.Root, doc.Keys, nil}
	target, pile := d.table("target"), d.table("pile")
	f := &Form{
		Mode: "mix", Units: "metric", Title: d.text("title"),
		Ratio: target.text("carbon_to_nitrogen"), Moisture: target.text("moisture"),
		Size: pile.text("size"), Largest: pile.text("largest"), Water: pile.text("water"),
		Shrink: pile.text("mixing_shrink"), Densest: pile.text("densest"), Air: pile.text("air_at_least"),
		Preferred: pile.text("prefer"),
	}
	if _, isText := pile.values["mixing_shrink"].(string); isText {
		if _, bare := plainNumber(f.Shrink); bare {
			f.Shrink += " %" // in quotes 20 is a percentage, and without them a share
		}
	}
	f.RatioLow, f.RatioHigh = target.pair("carbon_to_nitrogen_range")
	f.MoistLow, f.MoistHigh = target.pair("moisture_range")
	if f.Preferred == "target" {
		f.Preferred = ""
	}
	measures := d.table("measures")
	for _, name := range measures.keys() {
		f.Measures = append(f.Measures, Measure{name, measures.text(name)})
	}
	f.Lots, f.MayGet = d.table("on_hand").lots(), d.table("may_get").lots()
	own := d.table("feedstock")
	for _, name := range own.keys() {
		t := own.table(name)
		o := Own{
			Name: name, Nitrogen: t.text("nitrogen"), Ratio: t.text("carbon_to_nitrogen"),
			Moist: t.text("moisture"), Density: t.text("bulk_density"),
		}
		o.Further = t.rest(map[string]string{"nitrogen": o.Nitrogen, "carbon_to_nitrogen": o.Ratio, "moisture": o.Moist, "bulk_density": o.Density})
		f.Own = append(f.Own, o)
	}
	return f, nil
}

// tomlTable is a table of a decoded plan, with the order of its keys.
type tomlTable struct {
	values map[string]any
	order  [][]string
	path   []string
}

func (t *tomlTable) table(key string) *tomlTable {
	values, _ := t.values[key].(map[string]any)
	return &tomlTable{values, t.order, append(slices.Clone(t.path), key)}
}

// keys lists the keys as they were written.
func (t *tomlTable) keys() []string {
	var out []string
	for _, path := range t.order {
		if n := len(t.path); len(path) > n && slices.Equal(path[:n], t.path) && !slices.Contains(out, path[n]) {
			out = append(out, path[n])
		}
	}
	return out
}

// text gives a value that has a control of its own, as one would type it.
func (t *tomlTable) text(key string) string { return typed(t.values[key]) }

// typed is a number or a text as one would type it; "" for anything else.
func typed(v any) string {
	switch v := v.(type) {
	case string:
		return strings.TrimSpace(v)
	case int64, float64:
		return strings.TrimSuffix(value(v), ".0")
	}
	return ""
}

func (t *tomlTable) pair(key string) (low, high string) {
	if list, ok := t.values[key].([]any); ok && len(list) == 2 {
		return typed(list[0]), typed(list[1])
	}
	return "", ""
}

// rest writes the keys that no control has taken: those of taken that gave
// nothing are left for it.
func (t *tomlTable) rest(taken map[string]string) string {
	out := &inlineTable{others: t.values}
	for _, key := range t.keys() {
		if taken[key] == "" {
			out.order = append(out.order, key)
		}
	}
	if len(out.order) == 0 {
		return ""
	}
	return strings.TrimSuffix(strings.TrimPrefix(out.inline(), "{ "), " }")
}

func (t *tomlTable) lots() []Lot {
	var out []Lot
	for _, name := range t.keys() {
		if amount, ok := t.values[name].(string); ok {
			out = append(out, Lot{Name: name, Amount: strings.TrimSpace(amount)})
			continue
		}
		e := t.table(name)
		l := Lot{
			Name: name, Amount: e.text("amount"), Is: e.text("feedstock"), Least: e.text("at_least"),
			Share: e.text("share_at_most"), Price: e.text("price"), Moist: e.text("moisture"),
		}
		l.Further = e.rest(map[string]string{"amount": l.Amount, "feedstock": l.Is, "at_least": l.Least, "share_at_most": l.Share, "price": l.Price, "moisture": l.Moist})
		out = append(out, l)
	}
	return out
}
