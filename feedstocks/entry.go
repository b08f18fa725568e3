package feedstocks

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"unicode"
)

// Entry is one [feedstock."name"] table as it stands in a library file or in a
// plan. A plan embeds map[string]Entry. Decoding an Entry never fails on what
// it says, so that every fault of a file can be told at once: call
// [Entry.Feedstock], then [Locate] for the lines.
type Entry struct {
	value any // as the decoder gave it
}

// UnmarshalTOML keeps the table for [Entry.Feedstock]. It always succeeds.
func (e *Entry) UnmarshalTOML(value any) error {
	e.value = value
	return nil
}

// Feedstock checks a table out of a plan and turns it into a material. Its
// numbers are the user's, of standing [Yours]. The error joins one
// [*FaultError] for each fault.
func (e Entry) Feedstock(name, file string) (*Feedstock, error) {
	return e.decode(name, entryRules{file: file, planned: true})
}

// entryRules tell a plan from a user's library and from the built-in one.
type entryRules struct {
	file    string
	planned bool              // in a plan: no sources, every number is the user's
	strict  bool              // built in: every number has a source and a standing
	sources map[string]Source // by key
}

// textLong is the most runes in a title, note or other text.
const textLong = 600

// entryDecoder gathers the faults of one table.
type entryDecoder struct {
	entryRules
	name   string
	source string // the table's own source, for numbers without one
	faults []error
}

func (d *entryDecoder) fault(hint, property, format string, args ...any) {
	path := []string{"feedstock", d.name}
	if property != "" {
		path = append(path, property)
	}
	d.faults = append(d.faults, &FaultError{
		File: d.file, Feedstock: d.name, Property: property, Problem: fmt.Sprintf(format, args...), Hint: hint, path: path,
	})
}

func (e Entry) decode(name string, rules entryRules) (*Feedstock, error) {
	d := &entryDecoder{entryRules: rules, name: name}
	f := &Feedstock{Name: strings.TrimSpace(name), Properties: make(map[Kind]Property)}
	if problem := badName(name); problem != "" {
		d.fault("", "", "%s", problem)
	}
	table, ok := e.value.(map[string]any)
	if !ok && e.value != nil {
		d.fault(`write [feedstock."`+f.Name+`"] with the figures below it`, "", "a feedstock is a table, not %s", typeName(e.value))
	}
	if v, ok := table["source"]; ok {
		d.source = d.text("source", v)
	}
	for _, key := range slices.Sorted(maps.Keys(table)) {
		v := table[key]
		if k, ok := kindOf(key); ok {
			if p, ok := d.property(k, v); ok {
				f.Properties[k] = p
			}
			continue
		}
		switch key {
		case "source":
		case "title":
			f.Title = d.text(key, v)
		case "group":
			f.Group = d.text(key, v)
		case "note":
			f.Note = d.text(key, v)
		case "also":
			f.Aliases = d.texts(key, v)
			for _, a := range f.Aliases {
				if problem := badName(a); problem != "" {
					d.fault("", key, "%s", problem)
				}
			}
		case "everyday":
			everyday, ok := v.(bool)
			if !ok {
				d.fault("", key, "this is true or false, not %s", typeName(v))
			}
			f.Everyday = everyday
		case "cautions":
			f.Cautions = d.texts(key, v)
			for _, c := range f.Cautions {
				if !knownCaution(c) {
					d.fault(orElse(didYouMean(Nearest(c, Cautions())), "known are "+strings.Join(Cautions(), ", ")), key, "%q is not a caution that is known", shorten(c))
				}
			}
		default:
			d.fault(didYouMean(Nearest(key, entryKeys())), key, "this is not a key of a feedstock")
		}
	}
	if len(d.faults) > 0 {
		return nil, errors.Join(d.faults...)
	}
	return f, nil
}

func entryKeys() []string {
	keys := []string{"title", "also", "group", "everyday", "cautions", "note", "source"}
	for _, k := range Kinds() {
		keys = append(keys, k.String())
	}
	return keys
}

func orElse(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// badName checks the name of a material.
func badName(name string) string {
	switch {
	case nameKey(name) == "":
		return "a feedstock needs a name"
	case len([]rune(name)) > textLong/10:
		return fmt.Sprintf("a name has at most %d characters", textLong/10)
	case strings.ContainsFunc(name, unicode.IsControl):
		return "a name cannot hold control characters"
	}
	return ""
}

func (d *entryDecoder) text(key string, v any) string {
	s, ok := v.(string)
	switch {
	case !ok:
		d.fault("", key, "this is text in quotes, not %s", typeName(v))
	case len([]rune(s)) > textLong:
		d.fault("", key, "this text is too long (at most %d characters)", textLong)
	case strings.ContainsFunc(s, unicode.IsControl):
		d.fault("write it on one line", key, "this text holds control characters")
	default:
		return strings.TrimSpace(s)
	}
	return ""
}

func (d *entryDecoder) texts(key string, v any) []string {
	list, ok := v.([]any)
	if !ok {
		d.fault(`as in ["one", "two"]`, key, "this is a list of texts, not %s", typeName(v))
		return nil
	}
	var out []string
	for _, one := range list {
		if s := d.text(key, one); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// property reads a number, a list of two or three, or an inline table.
func (d *entryDecoder) property(k Kind, v any) (Property, bool) {
	before := len(d.faults)
	var p Property
	switch v := v.(type) {
	case map[string]any:
		p = d.propertyTable(k, v)
	case []any:
		n := make([]float64, len(v))
		for i := range v {
			n[i] = d.number(k, v[i])
		}
		switch len(n) {
		case 2:
			p = Property{Low: n[0], Typical: (n[0] + n[1]) / 2, High: n[1]}
		case 3:
			p = Property{Low: n[0], Typical: n[1], High: n[2]}
		default:
			d.fault("write [low, high] or [low, typical, high]", k.String(), "a list of %d figures", len(n))
		}
		p.Cite = Cite{Source: d.source, Standing: Yours}
	default:
		n := d.number(k, v)
		p = Property{Low: n, Typical: n, High: n, Cite: Cite{Source: d.source, Standing: Yours}}
	}
	if d.strict && p.Standing == Yours && len(d.faults) == before {
		d.fault("", k.String(), "a figure of the built-in library needs its source and standing")
	}
	if len(d.faults) == before && (p.Low > p.Typical || p.Typical > p.High) {
		d.fault("write the smallest first", k.String(), "low, typical and high are out of order: %g, %g, %g", outer(k, p.Low), outer(k, p.Typical), outer(k, p.High))
	}
	return p, len(d.faults) == before
}

// outer turns an inner figure back into the one the file uses, to show it.
func outer(k Kind, v float64) float64 {
	if k.Percent() {
		return math.Round(v*100*1e9) / 1e9
	}
	return v
}

func (d *entryDecoder) propertyTable(k Kind, t map[string]any) Property {
	key := k.String()
	p := Property{Cite: Cite{Source: d.source, Standing: Yours}}
	read := func(name string, into *float64) bool {
		v, ok := t[name]
		if ok {
			*into = d.number(k, v)
		}
		return ok
	}
	low, typical, high := read("low", &p.Low), read("typical", &p.Typical), read("high", &p.High)
	switch {
	case !typical && low && high:
		p.Typical = (p.Low + p.High) / 2
	case !typical:
		d.fault("", key, "the typical figure is missing")
	}
	if !low {
		p.Low = p.Typical
	}
	if !high {
		p.High = p.Typical
	}
	for _, name := range slices.Sorted(maps.Keys(t)) {
		v := t[name]
		switch name {
		case "low", "typical", "high":
		case "note":
			p.Note = d.text(key, v)
		case "shape":
			p.Shape = d.text(key, v)
			if !slices.Contains(Shapes(), p.Shape) {
				d.fault("it is one of "+strings.Join(Shapes(), ", "), key, "%q is not a shape", shorten(p.Shape))
			}
		case "source":
			p.Source = d.text(key, v)
		case "standing":
			p.Standing = d.standing(key, v)
		case "range_source":
			p.Range.Source = d.text(key, v)
		case "range_standing":
			p.Range.Standing = d.standing(key, v)
		default:
			d.fault(didYouMean(Nearest(name, []string{"low", "typical", "high", "shape", "note", "source", "standing", "range_source", "range_standing"})),
				key, "%q is not a key of a figure", shorten(name))
		}
	}
	_, rangeSource := t["range_source"]
	_, rangeStanding := t["range_standing"]
	if rangeSource && !rangeStanding {
		p.Range.Standing = p.Standing
	}
	if rangeStanding && !rangeSource {
		d.fault("", key, "range_standing needs range_source")
	}
	d.cite(key, p.Cite)
	if rangeSource {
		d.cite(key, p.Range)
	}
	return p
}

// Shapes are the forms of distribution that a figure may be given.
func Shapes() []string { return []string{"fixed", "pert", "lognormal", "normal"} }

func (d *entryDecoder) standing(key string, v any) Standing {
	s, ok := v.(string)
	if !ok {
		d.fault("", key, "standing is text in quotes, not %s", typeName(v))
		return Yours
	}
	standing, ok := parseStanding(s)
	if !ok {
		d.fault(`it is "read", "derived", "memory" or "yours"`, key, "%q is not a standing", shorten(s))
		return Yours
	}
	if d.planned && standing != Yours {
		d.fault("leave standing out, or put published figures into a library file", key, "the figures of a plan are yours")
		return Yours
	}
	return standing
}

// cite checks that a published figure names a source of the same file.
func (d *entryDecoder) cite(key string, c Cite) {
	if c.Standing == Yours {
		return
	}
	if _, ok := d.sources[c.Source]; !ok {
		if c.Source == "" {
			d.fault("", key, "a figure that is %s needs its source", c.Standing)
			return
		}
		d.fault("write a [source."+shorten(c.Source)+"] table, or leave standing out for a figure of your own", key, "there is no source %q", shorten(c.Source))
	}
}

// number reads one figure into the package's inner unit.
func (d *entryDecoder) number(k Kind, v any) float64 {
	value, problem, hint := kindValue(k, v)
	if problem != "" {
		d.fault(hint, k.String(), "%s", problem)
	}
	return value
}

// ratioMost bounds a C:N; the highest published, of oak sawdust, is 1665.
const ratioMost = 10000

// kindValue reads a figure as it stands in a file.
func kindValue(k Kind, v any) (value float64, problem, hint string) {
	switch k {
	case BulkDensity:
		if s, ok := v.(string); ok {
			value, err := ParseDensity(s)
			if q, ok := errors.AsType[*QuantityError](err); ok {
				return 0, fmt.Sprintf("%q: %s", shorten(q.Text), q.Problem), q.Hint
			}
			return value, "", ""
		}
		value, problem = plainValue(v)
		if problem == "" {
			problem = badDensity(value)
		}
		return value, problem, `a number is kg/m3; for other units write text, as in "700 lb/yd3"`
	case CarbonToNitrogen:
		if s, ok := v.(string); ok {
			n, err := plainNumber(cutToOne(s))
			if err != nil {
				return 0, fmt.Sprintf("%q is not a ratio: %v", shorten(s), err), "write a number, as in 30"
			}
			v = n
		}
		value, problem = plainValue(v)
		switch {
		case problem != "":
		case value <= 0:
			problem = "C:N must be over 0"
			hint = "for a material without nitrogen or without carbon give carbon and nitrogen instead"
		case value > ratioMost:
			problem = fmt.Sprintf("C:N of %g is beyond any material", value)
		}
		return value, problem, hint
	}
	value, problem = percentValue(v)
	if problem == "" && k == Moisture && value >= 1 {
		problem = "moisture of 100 % leaves no dry matter"
	}
	if problem != "" {
		hint = "give per cent, " + strings.TrimPrefix(k.Unit(), "% ")
	}
	return value, problem, hint
}

// cutToOne takes ":1" off the end of a ratio.
func cutToOne(s string) string {
	if n, ok := strings.CutSuffix(strings.TrimSpace(s), "1"); ok {
		if n, ok = strings.CutSuffix(strings.TrimSpace(n), ":"); ok {
			return n
		}
	}
	return s
}

func plainValue(v any) (float64, string) {
	var n float64
	switch v := v.(type) {
	case int64:
		n = float64(v)
	case int:
		n = float64(v)
	case float64:
		n = v
	default:
		return 0, fmt.Sprintf("this is a number, not %s", typeName(v))
	}
	if math.IsNaN(n) || math.IsInf(n, 0) {
		return 0, fmt.Sprintf("%g is not a number to reckon with", n)
	}
	return n, ""
}
