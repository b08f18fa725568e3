package page

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"heapwright/feedstocks"
)

// Plan writes the form as the text of a plan file. Rows without a name and an
// amount are left out. The error is a *[FormError].
func (f *Form) Plan() (string, error) {
	w := &planWriter{}
	w.line("title", text(f.Title))
	w.table("target")
	w.line("carbon_to_nitrogen", loose(f.Ratio))
	w.pair("carbon_to_nitrogen_range", f.RatioLow, f.RatioHigh, "ratio")
	w.line("moisture", loose(f.Moisture))
	w.pair("moisture_range", f.MoistLow, f.MoistHigh, "moisture")
	w.table("pile")
	w.line("size", text(f.Size))
	w.line("largest", text(f.Largest))
	w.line("water", text(f.Water))
	w.line("mixing_shrink", loose(f.Shrink))
	w.line("densest", text(f.Densest))
	w.line("air_at_least", loose(f.Air))
	if f.Preferred != "target" { // which is the default
		w.line("prefer", text(f.Preferred))
	}
	w.table("measures")
	for i, m := range f.Measures {
		if m != (Measure{}) && w.named("measure", i, m.Name) {
			w.line(m.Name, orEmpty(m.Size))
		}
	}
	w.lots("on_hand", onHand, f.Lots)
	w.lots("may_get", mayGet, f.MayGet)
	w.table("feedstock")
	for i, o := range f.Own {
		if o == (Own{}) || !w.named("own", i, o.Name) {
			continue
		}
		entry := w.further("own", i, o.Further)
		entry.first("nitrogen", loose(o.Nitrogen))
		entry.first("carbon_to_nitrogen", loose(o.Ratio))
		entry.first("moisture", loose(o.Moist))
		entry.first("bulk_density", loose(o.Density))
		w.line(o.Name, entry.inline())
	}
	if w.fault != nil {
		return "", w.fault
	}
	return w.b.String(), nil
}

// planWriter writes TOML, and keeps the first fault of the form.
type planWriter struct {
	b     strings.Builder
	open  string          // the table that is to be opened by its first line
	names map[string]bool // of the rows of this table
	fault *FormError
}

func (w *planWriter) refuse(control, problem, hint string) {
	if w.fault == nil {
		w.fault = &FormError{control, problem, hint}
	}
}

// table begins a table; one without lines is not written.
func (w *planWriter) table(name string) { w.open, w.names = name, map[string]bool{} }

// line writes a key; an empty value is none.
func (w *planWriter) line(key, value string) {
	if value == "" {
		return
	}
	if w.open != "" {
		if w.b.Len() > 0 {
			w.b.WriteByte('\n')
		}
		fmt.Fprintf(&w.b, "[%s]\n", w.open)
		w.open = ""
	}
	fmt.Fprintf(&w.b, "%s = %s\n", quoteKey(key), value)
}

func (w *planWriter) pair(key, low, high, control string) {
	switch {
	case low == "" && high == "":
	case low == "":
		w.refuse(control+"-low", "the range has an upper end and no lower one", "fill both in, or neither for the usual range")
	case high == "":
		w.refuse(control+"-high", "the range has a lower end and no upper one", "fill both in, or neither for the usual range")
	default:
		w.line(key, "["+loose(low)+", "+loose(high)+"]")
	}
}

// named checks the name of a row.
func (w *planWriter) named(kind string, row int, name string) bool {
	control := fmt.Sprintf("%s-%d-name", kind, row)
	switch {
	case name == "":
		w.refuse(control, "a row has no name", "say what it is, or take the row out")
		return false
	case w.names[name]:
		w.refuse(control, fmt.Sprintf("%q is named twice", name), "add the two up, or give each a name of its own and say what it is")
		return false
	}
	w.names[name] = true
	return true
}

func (w *planWriter) lots(table, kind string, lots []Lot) {
	w.table(table)
	for i, l := range lots {
		if l == (Lot{}) || !w.named(kind, i, l.Name) {
			continue
		}
		bare := l
		bare.Name, bare.Amount = "", ""
		if bare == (Lot{}) {
			w.line(l.Name, orEmpty(l.Amount))
			continue
		}
		entry := w.further(kind, i, l.Further)
		entry.first("amount", orEmpty(l.Amount))
		entry.first("feedstock", text(l.Is))
		entry.first("moisture", loose(l.Moist))
		entry.first("at_least", text(l.Least))
		entry.first("share_at_most", loose(l.Share))
		entry.first("price", text(l.Price))
		w.line(l.Name, entry.inline())
	}
}

// inlineTable is a table on one line: the keys that have controls of their own,
// then the others.
type inlineTable struct {
	keys    []string
	values  []string
	others  map[string]any
	order   []string
	refused func(key string)
}

func (t *inlineTable) first(key, value string) {
	if value == "" {
		return
	}
	if _, twice := t.others[key]; twice {
		t.refused(key)
		return
	}
	t.keys, t.values = append(t.keys, key), append(t.values, value)
}

func (t *inlineTable) inline() string {
	var parts []string
	for i, key := range t.keys {
		parts = append(parts, quoteKey(key)+" = "+t.values[i])
	}
	for _, key := range t.order {
		parts = append(parts, quoteKey(key)+" = "+value(t.others[key]))
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

// further reads the keys that a row has no controls for, written as in a plan
// and on one line.
func (w *planWriter) further(kind string, row int, written string) *inlineTable {
	control := fmt.Sprintf("%s-%d-further", kind, row)
	t := &inlineTable{refused: func(key string) {
		w.refuse(control, fmt.Sprintf("%s is given twice in this row", key), "leave one of the two out")
	}}
	if written == "" {
		return t
	}
	refuse := func() {
		w.refuse(control, "the further figures cannot be read", `write them as in a plan, with commas between: nitrogen = 3.1, source = "laboratory sheet"`)
	}
	if strings.ContainsAny(written, "\r\n") {
		refuse()
		return t
	}
	doc, err := feedstocks.ReadDocument(strings.NewReader("row = { "+written+" }"), "")
	if err != nil || len(doc.Root) != 1 {
		refuse()
		return t
	}
	t.others, _ = doc.Root["row"].(map[string]any)
	for _, path := range doc.Keys {
		if len(path) >= 2 && !slices.Contains(t.order, path[1]) {
			t.order = append(t.order, path[1])
		}
	}
	return t
}

// text writes a value that a plan wants in quotes; "" for none.
func text(s string) string {
	if s == "" {
		return ""
	}
	return quote(s)
}

// orEmpty writes an amount, which a plan refuses where it is empty.
func orEmpty(s string) string { return quote(s) }

// loose writes a value that a plan may have as a number or as text, such as a
// percentage with its sign.
func loose(s string) string {
	if v, ok := plainNumber(s); ok {
		return number(v)
	}
	return text(s)
}

// plainNumber reads digits with a decimal point or comma, and nothing else;
// what could be thousands is left for the plan to refuse.
func plainNumber(s string) (float64, bool) {
	s = strings.TrimSpace(s)
	if whole, decimals, comma := strings.Cut(s, ","); comma && !strings.Contains(s, ".") {
		if len(decimals) == 3 && strings.Trim(whole, "0") != "" {
			return 0, false
		}
		s = whole + "." + decimals
	}
	if strings.Trim(s, "0123456789.+-eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// number writes a number so that TOML reads back the same one.
func number(v float64) string {
	if math.Abs(v) >= 1e15 {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// value writes any value that the TOML decoder gives, on one line.
func value(v any) string {
	switch v := v.(type) {
	case string:
		return quote(v)
	case int64:
		return strconv.FormatInt(v, 10)
	case float64:
		s := number(v)
		switch {
		case math.IsNaN(v):
			return "nan"
		case math.IsInf(v, 1):
			return "inf"
		case math.IsInf(v, -1):
			return "-inf"
		case strings.Trim(s, "-0123456789") == "":
			return s + ".0" // a whole number read back is of another kind
		}
		return s
	case bool:
		return strconv.FormatBool(v)
	case []any:
		var parts []string
		for _, e := range v {
			parts = append(parts, value(e))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case map[string]any:
		t := &inlineTable{others: v, order: slices.Sorted(maps.Keys(v))}
		return t.inline()
	case []map[string]any:
		var parts []string
		for _, e := range v {
			parts = append(parts, value(e))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return quote(fmt.Sprint(v)) // a date, which no key of a plan takes
}

// quoteKey writes a key, in quotes where TOML wants them.
func quoteKey(key string) string {
	for _, r := range key {
		if !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' || r == '-') {
			return quote(key)
		}
	}
	if key == "" {
		return `""`
	}
	return key
}

// quote writes a TOML basic string.
func quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, "\uFFFD") {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r == '\r':
			b.WriteString(`\r`)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
