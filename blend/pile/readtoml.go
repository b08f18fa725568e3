package pile

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"heapwright/feedstocks"
)

// ReadTOML reads a temperature log in TOML; name names it in errors and in the
// log. The file has a table for each time, in any order, and says the same
// things under the same words as a CSV (see [Read]):
//
//	unit = "C"              # of temperatures without a unit; or "F"
//	built = "2026-11-03"    # when the pile was built; may be left out
//
//	[at."2026-11-04 18:00"]
//	core = 52               # each probe under its name; temperature for the only one
//	edge = "105F"
//	air = 9
//
//	[at."2026-11-09"]
//	turned = true
//	watered = "20 L"
//	added = "two barrows of leaves"
//	rain = "12 mm"
//	note = "steam, ammonia"
//
// Times are written as in CSV, and so are "day 3" and the like. A key that is
// not known is a probe when it holds a number. The error is a *[ReadError] for
// the first thing that cannot be understood; readings that are doubtful are set
// aside as by Read.
func ReadTOML(r io.Reader, name string, o Options) (*Log, error) {
	g, err := newGatherer(name, o)
	if err != nil {
		return nil, err
	}
	g.unsorted = true
	doc, err := feedstocks.ReadDocument(r, name)
	if err != nil {
		if f, ok := errors.AsType[*feedstocks.FaultError](err); ok {
			return nil, &ReadError{File: name, Line: f.Line, Problem: f.Problem, Hint: f.Hint}
		}
		return nil, &ReadError{File: name, Problem: err.Error()}
	}
	d := tomlLog{g: g, lines: feedstocks.LinesOf(doc.Text)}
	if err := d.read(doc.Root); err != nil {
		return nil, err
	}
	if len(g.chunks) == 0 {
		return nil, g.fault(0, `write a table for each reading, as in [at."2026-11-04 18:00"] and core = 52`, "there is not one temperature in it")
	}
	return g.log()
}

// tomlLog reads the tables of a TOML log into a gatherer.
type tomlLog struct {
	g     *gatherer
	lines feedstocks.Lines
	unit  byte
}

func (d *tomlLog) fault(path []string, hint, format string, v ...any) error {
	return d.g.fault(d.lines.Of(path...), hint, format, v...)
}

func (d *tomlLog) read(root map[string]any) error {
	for _, key := range slices.Sorted(maps.Keys(root)) {
		switch key {
		case "unit":
			text, _ := root[key].(string)
			u, ok := unitOf(text)
			if !ok || u == 0 {
				return d.fault([]string{key}, `write unit = "C" or unit = "F"`, "%v is not a unit of temperature", shown(root[key]))
			}
			if want := d.g.options.Unit; want != "" && want[0] != u {
				return d.fault([]string{key}, "leave --unit out, or mend the file", "the file is in %c, and you said %s", u, want)
			}
			d.unit, d.g.inHeader = u, true
		case "built":
			when, err := d.time([]string{key}, root[key])
			if err != nil {
				return err
			}
			d.g.did(when, deed{kind: built})
		case "at", "title", "note":
		default:
			hint := "a log has unit, built, title, note, and a table [at.\"...\"] for each time"
			if near := feedstocks.Nearest(key, []string{"unit", "built", "at", "title", "note"}); len(near) > 0 {
				hint = "did you mean " + near[0] + "?"
			}
			return d.fault([]string{key}, hint, "%q is not a key of a log", shorten(key))
		}
	}
	tables, ok := root["at"].(map[string]any)
	if !ok && root["at"] != nil {
		return d.fault([]string{"at"}, `write [at."2026-11-04 18:00"]`, "at is not a set of tables")
	}
	for _, key := range slices.Sorted(maps.Keys(tables)) {
		if err := d.table(key, tables[key]); err != nil {
			return err
		}
	}
	return nil
}

// time reads a time from text, or from a date of TOML.
func (d *tomlLog) time(path []string, v any) (record, error) {
	text, ok := v.(string)
	if t, is := v.(time.Time); is {
		ok, text = true, t.Format(time.RFC3339)
		switch t.Location().String() { // the names that the decoder gives to times without an offset
		case "date-local":
			text = t.Format(time.DateOnly)
		case "datetime-local":
			text = t.Format("2006-01-02T15:04:05")
		}
	}
	m, problem := parseMoment([]byte(text))
	if !ok || problem == "" && !m.hasDate && !m.hasNumber {
		problem = badDate
	}
	if problem != "" {
		return record{}, d.fault(path, hintFor(problem), "%v: %s", shown(v), problem)
	}
	return d.g.stamp(&m, d.lines.Of(path...))
}

// table reads one [at."..."] table.
func (d *tomlLog) table(key string, v any) error {
	path := []string{"at", key}
	values, ok := v.(map[string]any)
	if !ok {
		return d.fault(path, "write [at."+fmt.Sprintf("%q", key)+"] and the readings below it", "%s is not a table", shorten(key))
	}
	when, err := d.time(path, key)
	if err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(values)) {
		at := append(slices.Clone(path), name)
		when.line = uint32(max(0, d.lines.Of(at...)))
		c := readColumn(name)
		if err := d.value(when, at, c, values[name]); err != nil {
			return err
		}
	}
	return nil
}

func (d *tomlLog) value(when record, path []string, c column, v any) error {
	key := shorten(path[len(path)-1])
	number, isNumber := 0.0, true
	switch n := v.(type) {
	case int64:
		number = float64(n)
	case float64:
		number = n
	default:
		isNumber = false
	}
	if isNumber && (math.IsNaN(number) || math.IsInf(number, 0)) {
		return d.fault(path, "leave the key out when nothing was read", "%s is not a number", key)
	}
	switch {
	case c.role == temperatureRole, c.role == unknownRole && isNumber:
		text, _ := v.(string)
		unit, state := byte(0), isReading
		if !isNumber {
			number, unit, state = parseTemperature([]byte(strings.TrimSpace(text)))
		}
		if state != isReading {
			return d.fault(path, `write core = 58 or core = "136F"`, "%s = %v is not a temperature", key, shown(v))
		}
		if unit == 0 {
			unit = c.unit
		}
		if unit == 0 {
			unit = d.unit
		}
		name := c.probe
		if c.role == unknownRole {
			name = key
		}
		id, err := d.g.probeID(name, c.ambient)
		if err != nil {
			return err
		}
		d.g.add(when, id, number, unit)
		return nil
	case c.role.isAction() || c.role == noteRole:
		return d.deed(when, path, c.role, v, number, isNumber)
	}
	hint := "a table has probes with their temperatures, and turned, watered, added, rain, event and note"
	if near := feedstocks.Nearest(key, []string{"temperature", "core", "edge", "air", "turned", "watered", "added", "rain", "event", "note"}); len(near) > 0 {
		hint = "did you mean " + near[0] + "?"
	}
	return d.fault(path, hint, "%q is not known here", key)
}

// deed reads what was done: text, or true or false.
func (d *tomlLog) deed(when record, path []string, r role, v any, number float64, isNumber bool) error {
	text, isText := v.(string)
	yes, isBool := v.(bool)
	switch {
	case isNumber && (r == wateredRole || r == rainRole):
		return d.fault(path, `write a quantity with its unit, as in watered = "20 L"`, "%s = %v has no unit", path[len(path)-1], number)
	case isBool && !yes:
		return nil
	case !isText && !isBool, isBool && (r == noteRole || r == eventRole):
		return d.fault(path, `write true, or words in quotes`, "%s = %v is not understood", path[len(path)-1], shown(v))
	}
	switch r {
	case eventRole:
		d.g.did(when, readDeeds(text, false)...)
	case noteRole:
		d.g.did(when, deed{Noted, nan(), shorten(text)})
	default:
		if isText {
			if yes, text = saysYes(text); !yes {
				return nil
			}
		}
		x := deed{text: text, litres: nan()}
		switch r {
		case turnedRole:
			x.kind = Turned
		case wateredRole:
			x.kind, x.litres = Watered, litresIn(text)
		case addedRole:
			x.kind = Added
		case rainRole:
			x.kind = Rained
		}
		d.g.did(when, x)
	}
	return nil
}

// shown puts a value of TOML into an error.
func shown(v any) string {
	if s, ok := v.(string); ok {
		return fmt.Sprintf("%q", shorten(s))
	}
	return shorten(fmt.Sprint(v))
}
