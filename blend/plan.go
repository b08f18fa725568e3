package blend

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"heapwright/feedstocks"
)

// Plan is a plan file as it stands, before its words are turned into numbers.
// Values may be set or replaced with [Plan.Set], so that a command-line flag
// and a line of a file go the same way.
type Plan struct {
	file  string
	text  []byte
	root  map[string]any
	order map[string][]string // keys of each table as they were written
	seen  map[string]bool     // keys that order has
	set   map[string]bool     // paths that Set put there, which have no line
}

// NewPlan returns an empty plan. file names it in errors and may be "".
func NewPlan(file string) *Plan {
	return &Plan{file: file, root: map[string]any{}, order: map[string][]string{}, seen: map[string]bool{}, set: map[string]bool{}}
}

// ReadPlan reads a plan file; file names it in errors. The error is a
// *[PlanError] when the text is not TOML. What its values say is checked by
// [Plan.Problem].
func ReadPlan(r io.Reader, file string) (*Plan, error) {
	doc, err := feedstocks.ReadDocument(r, file)
	if err != nil {
		if f, ok := errors.AsType[*feedstocks.FaultError](err); ok {
			return nil, &PlanError{File: file, Line: f.Line, Problem: f.Problem, Hint: f.Hint}
		}
		return nil, fmt.Errorf("blend: %w", err)
	}
	p := NewPlan(file)
	p.text = doc.Text
	if doc.Root != nil {
		p.root = doc.Root
	}
	for _, path := range doc.Keys {
		p.noteOrder(path)
	}
	return p, nil
}

// noteOrder remembers where a key stands among those of its table.
func (p *Plan) noteOrder(path []string) {
	table, key := strings.Join(path[:len(path)-1], "\x00"), path[len(path)-1]
	if whole := table + "\x00\x00" + key; !p.seen[whole] {
		p.seen[whole] = true
		p.order[table] = append(p.order[table], key)
	}
}

// Set puts a value at a path of keys, over what stood there. The value is of
// the kinds that TOML has: string, int64, float64, bool, []any,
// map[string]any.
func (p *Plan) Set(value any, path ...string) {
	table := p.root
	for i, key := range path[:len(path)-1] {
		p.noteOrder(path[:i+1])
		next, ok := table[key].(map[string]any)
		if !ok {
			next = map[string]any{}
			table[key] = next
		}
		table = next
	}
	table[path[len(path)-1]] = value
	p.noteOrder(path)
	p.set[strings.Join(path, "\x00")] = true
}

// wasSet reports whether the value at a path, or one that holds it, was put
// there by Set.
func (p *Plan) wasSet(path []string) bool {
	for i := range path {
		if p.set[strings.Join(path[:i+1], "\x00")] {
			return true
		}
	}
	return false
}

// Title is the plan's title, or "".
func (p *Plan) Title() string {
	title, _ := p.root["title"].(string)
	return title
}

// File is the name the plan was read by, or "".
func (p *Plan) File() string { return p.file }

// PlanError is one fault of a plan.
type PlanError struct {
	File    string
	Line    int      // 1 for the first; 0 when not known
	Path    []string // the keys that lead to it
	Problem string
	Hint    string
}

func (e *PlanError) Error() string {
	var b strings.Builder
	b.WriteString("blend: ")
	if e.File != "" {
		b.WriteString(e.File)
		if e.Line > 0 {
			fmt.Fprintf(&b, ":%d", e.Line)
		}
		b.WriteString(": ")
	}
	if len(e.Path) > 0 {
		fmt.Fprintf(&b, "%s: ", strings.Join(e.Path, ", "))
	}
	b.WriteString(e.Problem)
	return b.String()
}

// table is a table of the plan being read.
type table struct {
	read   *reading
	path   []string
	values map[string]any
}

// reading gathers the faults of a plan while it is turned into a problem.
type reading struct {
	plan   *Plan
	lines  feedstocks.Lines
	faults []error
}

func (r *reading) fault(path []string, hint, format string, v ...any) {
	e := &PlanError{Path: slices.Clone(path), Problem: fmt.Sprintf(format, v...), Hint: hint}
	if !r.plan.wasSet(path) {
		e.File, e.Line = r.plan.file, r.lines.Of(path...)
	}
	r.faults = append(r.faults, e)
}

// refuse turns an error of another package into a fault at a path.
func (r *reading) refuse(path []string, err error) {
	hint := ""
	if q, ok := errors.AsType[*feedstocks.QuantityError](err); ok {
		hint = q.Hint
		if len(q.Near) > 0 {
			hint = "did you mean " + strings.Join(q.Near, " or ") + "?"
		}
		r.fault(path, hint, "%q: %s", q.Text, q.Problem)
		return
	}
	r.fault(path, hint, "%s", strings.TrimPrefix(err.Error(), "feedstocks: "))
}

func (r *reading) top() table { return table{r, nil, r.plan.root} }

// table opens the table at key; an absent one is empty.
func (t table) table(key string) table {
	path := append(slices.Clone(t.path), key)
	values, ok := t.values[key].(map[string]any)
	if v, there := t.values[key]; there && !ok {
		t.read.fault(path, fmt.Sprintf("write [%s] and its keys below it", strings.Join(path, ".")), "this must be a table, not %v", v)
	}
	return table{t.read, path, values}
}

// keys lists the keys of the table as they were written.
func (t table) keys() []string {
	written := t.read.plan.order[strings.Join(t.path, "\x00")]
	var keys []string
	for _, k := range written {
		if _, ok := t.values[k]; ok {
			keys = append(keys, k)
		}
	}
	if len(keys) == len(t.values) {
		return keys
	}
	for _, k := range slices.Sorted(maps.Keys(t.values)) {
		if !slices.Contains(written, k) { // put there as part of a table by Set
			keys = append(keys, k)
		}
	}
	return keys
}

func (t table) at(key string) []string { return append(slices.Clone(t.path), key) }

// only refuses keys that are not among the known.
func (t table) only(known ...string) {
	for _, k := range t.keys() {
		if slices.Contains(known, k) {
			continue
		}
		hint := "the keys here are " + strings.Join(known, ", ")
		if near := feedstocks.Nearest(k, known); len(near) > 0 {
			hint = "did you mean " + strings.Join(near, " or ") + "?"
		}
		t.read.fault(t.at(k), hint, "this is not a key of a plan")
	}
}

// text reads a string; "" when absent.
func (t table) text(key string) string {
	v, ok := t.values[key]
	if !ok {
		return ""
	}
	s, ok := v.(string)
	if !ok {
		t.read.fault(t.at(key), `write it in quotes, as in `+key+` = "..."`, "this must be text in quotes, not %v", v)
	}
	return s
}

// number reads a plain number.
func (t table) number(key string) (float64, bool) {
	v, ok := t.values[key]
	if !ok {
		return 0, false
	}
	n, ok := asNumber(v)
	if !ok {
		t.read.fault(t.at(key), "", "this must be a number, not %v", v)
	}
	return n, ok
}

func asNumber(v any) (float64, bool) {
	switch v := v.(type) {
	case int64:
		return float64(v), true
	case float64:
		return v, known(v)
	}
	return 0, false
}

// percent reads a percentage into a fraction.
func (t table) percent(key string) (float64, bool) {
	v, ok := t.values[key]
	if !ok {
		return 0, false
	}
	f, err := feedstocks.ParsePercent(v)
	if err != nil {
		t.read.refuse(t.at(key), err)
		return 0, false
	}
	return f, true
}

// pair reads [low, high] through one.
func (t table) pair(key string, one func(any) (float64, bool)) (low, high float64, ok bool) {
	v, there := t.values[key]
	if !there {
		return 0, 0, false
	}
	if list, isList := v.([]any); isList && len(list) == 2 {
		low, lowOK := one(list[0])
		high, highOK := one(list[1])
		if lowOK && highOK {
			return low, high, true
		}
	}
	t.read.fault(t.at(key), "write two numbers, as in "+key+" = [25, 35]", "this must be a low and a high number, not %v", v)
	return 0, 0, false
}

// quantity reads a quantity of the given dimensions.
func (t table) quantity(key string, measures feedstocks.Measures) (feedstocks.Quantity, bool) {
	if _, ok := t.values[key]; !ok {
		return feedstocks.Quantity{}, false
	}
	if n, isNumber := asNumber(t.values[key]); isNumber {
		t.read.fault(t.at(key), fmt.Sprintf(`write the unit too, as in "%g kg" or "%g L"`, n, n), "the unit is missing after %g", n)
		return feedstocks.Quantity{}, false
	}
	text := t.text(key)
	if text == "" {
		if _, isText := t.values[key].(string); isText {
			t.read.fault(t.at(key), `write a number and a unit, as in "14 sacks"`, "the quantity is empty")
		}
		return feedstocks.Quantity{}, false
	}
	q, err := measures.Parse(text)
	if err != nil {
		t.read.refuse(t.at(key), err)
		return feedstocks.Quantity{}, false
	}
	return q, true
}

// volume reads a volume in m3; 0 when absent.
func (t table) volume(key string, measures feedstocks.Measures) float64 {
	q, ok := t.quantity(key, measures)
	if !ok {
		return 0
	}
	if q.Unit.Dimension != feedstocks.Volume {
		t.read.fault(t.at(key), `give a volume, as in "1.5 m3"`, "%s is a weight, and a volume is wanted", q)
		return 0
	}
	v := q.Number * q.Unit.Factor
	if v <= 0 {
		t.read.fault(t.at(key), "leave it out for no limit", "a pile of %s is none", q)
	}
	return v
}

// SetLot puts a value at a key of one entry of a table of lots ("on_hand" or
// "may_get"), over what stood there. An entry that was an amount alone keeps it.
func (p *Plan) SetLot(value any, table, name, key string) {
	lots, _ := p.root[table].(map[string]any)
	if amount, ok := lots[name].(string); ok {
		lots[name] = map[string]any{"amount": amount}
	}
	p.Set(value, table, name, key)
}
