package pile

import (
	"bytes"
	"cmp"
	"fmt"
	"strings"
	"time"
)

// AppendTOML adds a table to the end of a TOML log, and returns the new text
// and what was added; what was there stays as it is. A text that is empty gets
// the unit first. See [Append] for the rest.
func AppendTOML(text []byte, name string, a Addition, o Options) (out []byte, added string, err error) {
	g, err := newGatherer(name, o)
	if err != nil {
		return nil, "", err
	}
	w := &adder{text: text, name: name, a: a, g: g, end: "\n"}
	if err := w.check(); err != nil {
		return nil, "", err
	}
	if bytes.Contains(text, []byte("\r\n")) {
		w.end = "\r\n"
	}
	start := w.closed()
	before := &Log{}
	if len(bytes.TrimSpace(text)) == 0 {
		unit := o.Unit
		for _, m := range a.Temperatures {
			unit = cmp.Or(unit, m.Unit)
		}
		if unit == "" {
			return nil, "", w.fault("say --unit C or --unit F", "a new log needs the unit of its temperatures")
		}
		start = append(start, fmt.Sprintf("unit = %q%s", unit, w.end)...)
	} else if before, err = ReadTOML(bytes.NewReader(text), name, o); err != nil {
		return nil, "", err
	}
	key, err := w.tomlKey(before)
	if err != nil {
		return nil, "", err
	}
	lines := []string{"", fmt.Sprintf("[at.%q]", key)}
	for _, m := range a.Temperatures {
		line, err := w.tomlTemperature(m)
		if err != nil {
			return nil, "", err
		}
		lines = append(lines, line)
	}
	if a.Turned {
		lines = append(lines, "turned = true")
	}
	for _, d := range []struct {
		key, text string
		said      bool
	}{{"watered", w.a.Watered, said(w.a.Watered)}, {"added", w.a.Added, w.a.Added != ""}, {"rain", w.a.Rain, said(w.a.Rain)}, {"note", w.a.Note, w.a.Note != ""}} {
		if _, detail := saysYes(d.text); d.said && detail == "" && d.key != "note" {
			lines = append(lines, d.key+" = true")
		} else if d.said {
			lines = append(lines, d.key+" = "+tomlText(d.text))
		}
	}
	block := strings.Join(lines, w.end) + w.end
	out = append(start, block...)
	after, err := ReadTOML(bytes.NewReader(out), name, o)
	if err != nil || len(after.Events) != len(before.Events)+w.deeds() || readingsIn(after) != readingsIn(before)+len(a.Temperatures) {
		// The likeliest cause is a table for this moment, which TOML cannot
		// have twice.
		return nil, "", w.fault("add to it by hand, or give another minute", "the log has a table [at.%q], or one that the addition does not agree with", key)
	}
	return out, strings.TrimSpace(block), nil
}

// readingsIn counts all readings of a log, used or set aside.
func readingsIn(l *Log) int { return len(l.Readings) + len(l.Ambient) + l.SetAside }

// tomlKey writes when the addition is.
func (w *adder) tomlKey(l *Log) (string, error) {
	m, _, err := w.moment(false, 0)
	if err != nil {
		return "", err
	}
	started := len(l.Readings)+len(l.Ambient) > 0
	numbered := started && (!l.Dated || !w.g.options.Built.IsZero() && bytes.Contains(bytes.ToLower(w.text), []byte(`[at."day`)))
	switch {
	case m.hasNumber && started && !numbered:
		return "", w.fault(`give the date, as in --at "2026-11-03 18:00"`, "the log has dates, not day numbers")
	case m.hasNumber:
		return "day " + dayText(m.number), nil
	case numbered:
		return "", w.fault(`give the day, as in --at "day 12"`, "the log has day numbers, not dates")
	}
	t := m.wallTime(w.g.order)
	switch {
	case !m.hasClock:
		return t.Format(time.DateOnly), nil
	case m.hasZone:
		return t.Format("2006-01-02 15:04Z07:00"), nil
	}
	return t.Format("2006-01-02 15:04"), nil
}

// tomlTemperature writes a temperature under the name of its probe.
func (w *adder) tomlTemperature(m Measured) (string, error) {
	probe := strings.Join(strings.Fields(m.Probe), " ")
	if probe == "" {
		probe = "temperature"
	}
	if r := readColumn(probe).role; r != temperatureRole && r != unknownRole {
		return "", w.fault("use a name such as core or probe 2", "%q cannot name a probe", shorten(probe))
	}
	unit := m.Unit
	if unit == "" {
		unit = w.g.options.Unit
	}
	if unit != "" {
		if problem := wrongRange(m.Value, unit[0]); problem != "" {
			return "", w.fault("check the figure; if the heap smokes, call the fire service", "%s", problem)
		}
	}
	value := decimal(m.Value, false)
	if m.Unit != "" {
		value = tomlText(value + m.Unit)
	}
	bare := strings.TrimFunc(probe, func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' || r == '-'
	}) == ""
	if !bare {
		probe = tomlText(probe)
	}
	return probe + " = " + value, nil
}

// tomlText writes a basic string of TOML. The text has no control characters.
func tomlText(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}
