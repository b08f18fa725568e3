package pile

import (
	"cmp"
	"slices"
	"strings"
)

// rows makes the rows to add: one, or one for each temperature where the log
// has a row for each probe.
func (w *adder) rows() ([]string, error) {
	perProbe := w.t.has(probeRole) || w.t.has(replicateRole)
	var rows [][]string
	if !perProbe || len(w.a.Temperatures) == 0 {
		row, err := w.blank()
		if err != nil {
			return nil, err
		}
		rows = append(rows, row)
	}
	for _, m := range w.a.Temperatures {
		if perProbe {
			row, err := w.blank()
			if err != nil {
				return nil, err
			}
			rows = append(rows, row)
		}
		if err := w.placeTemperature(rows[len(rows)-1], m, perProbe); err != nil {
			return nil, err
		}
	}
	if err := w.placeDeeds(rows[0]); err != nil {
		return nil, err
	}
	var out []string
	for _, row := range rows {
		for i := range row {
			row[i] = quote(row[i], w.t.sep, i == 0)
		}
		out = append(out, strings.Join(row, string(w.t.sep)))
	}
	return out, nil
}

// blank is a row with nothing but its time and its pile.
func (w *adder) blank() ([]string, error) {
	row := make([]string, len(w.t.columns))
	for i, text := range w.write {
		row[i] = text
	}
	if w.t.has(groupRole) {
		if w.g.options.Group == "" {
			return nil, w.fault("say which with --group", "the log is of several piles")
		}
		row[w.column(groupRole)] = w.g.options.Group
	}
	return row, nil
}

// column gives the first column with a role, or -1.
func (w *adder) column(r role) int {
	return slices.IndexFunc(w.t.columns, func(c column) bool { return c.role == r })
}

// placeTemperature writes a temperature into its column.
func (w *adder) placeTemperature(row []string, m Measured, perProbe bool) error {
	at, err := w.columnOf(m.Probe, perProbe)
	if err != nil {
		return err
	}
	if row[at] != "" {
		return w.fault("give each probe once", "there are two temperatures for the probe %q", shorten(m.Probe))
	}
	if perProbe {
		into := w.column(probeRole)
		if into < 0 {
			into = w.column(replicateRole)
		}
		name := strings.TrimPrefix(m.Probe, w.g.options.Group+"/")
		if name == "" {
			return w.fault("say --probe and its name", "the log has a row for each probe, and this temperature has none")
		}
		row[into] = name
	}
	c := w.t.columns[at]
	unit, suffix, comma := c.unit, "", false
	for _, sample := range w.samples {
		cell := sample[at]
		_, rest, ok := leadingFloat([]byte(cell))
		if !ok {
			continue
		}
		written := cell[:len(cell)-len(rest)]
		comma = comma || strings.Contains(written, ",")
		suffix = string(rest)
		if u, known := unitOf(strings.TrimSpace(suffix)); known && u != 0 {
			unit = u
		}
	}
	if i := w.column(unitRole); i >= 0 {
		given := cmp.Or(m.Unit, w.g.options.Unit)
		if n := len(w.samples); given == "" && n > 0 {
			given = w.samples[n-1][i]
		}
		u, ok := unitOf(given)
		if !ok || u == 0 {
			return w.fault("say --unit C or --unit F", "the log has a column for the unit, and this temperature has none")
		}
		row[i], unit = given, u
	}
	given := byte(0)
	if m.Unit != "" {
		given = m.Unit[0]
	}
	if unit == 0 && w.g.options.Unit != "" {
		unit = w.g.options.Unit[0]
	}
	if unit == 0 && given != 0 {
		unit, err = w.unitOfLog()
		if err != nil {
			return err
		}
	}
	value := inUnit(m.Value, given, unit)
	if unit != 0 {
		if problem := wrongRange(value, unit); problem != "" {
			return w.fault("check the figure; if the heap smokes, call the fire service", "%s", problem)
		}
	}
	row[at] = decimal(value, comma) + suffix
	return nil
}

// unitOfLog is the unit of a log that names none, from its values.
func (w *adder) unitOfLog() (byte, error) {
	g, err := newGatherer(w.name, w.g.options)
	if err != nil {
		return 0, err
	}
	if _, err := scanTable(strings.NewReader(string(w.text)), g, true); err != nil {
		return 0, err
	}
	unit, _, err := g.settleUnit()
	return unit, err
}

// columnOf finds the column for a probe.
func (w *adder) columnOf(probe string, perProbe bool) (int, error) {
	var pile, air []int
	for i, c := range w.t.columns {
		switch {
		case c.role != temperatureRole:
		case c.ambient:
			air = append(air, i)
		default:
			pile = append(pile, i)
		}
		if c.role == temperatureRole && probe != "" && (strings.EqualFold(c.probe, probe) || strings.EqualFold(c.header, probe)) {
			return i, nil
		}
	}
	switch {
	case isAmbient(probe) && len(air) == 1:
		return air[0], nil
	case (probe == "" || perProbe) && len(pile) == 1:
		return pile[0], nil
	case len(pile) == 1 && w.t.columns[pile[0]].probe == "" && isTemperatureWord(strings.ToLower(probe)):
		return pile[0], nil
	}
	var names []string
	for _, i := range append(pile, air...) {
		names = append(names, cmp.Or(w.t.columns[i].probe, w.t.columns[i].header, "(no name)"))
	}
	have := "its probes are " + strings.Join(names, ", ")
	if probe == "" {
		return 0, w.fault(have+": say which with --probe", "the log has several probes")
	}
	return 0, w.fault(have+"; or "+addHint, "the log has no column for a probe %q", shorten(probe))
}

// placeDeeds writes what was done into the columns for it.
func (w *adder) placeDeeds(row []string) error {
	var words []string // for the column of events
	for _, d := range []struct {
		role   role
		text   string // as given
		said   bool
		phrase string // in a column of events
	}{
		{turnedRole, "", w.a.Turned, "turned"},
		{wateredRole, w.a.Watered, said(w.a.Watered), "watered"},
		{addedRole, w.a.Added, w.a.Added != "", "added"},
		{rainRole, w.a.Rain, said(w.a.Rain), "rain"},
	} {
		if !d.said {
			continue
		}
		_, detail := saysYes(d.text)
		if i := w.column(d.role); i >= 0 {
			row[i] = w.deedCell(i, detail)
			continue
		}
		words = append(words, strings.TrimSpace(d.phrase+" "+detail))
	}
	into := w.column(eventRole)
	notes := w.column(noteRole)
	noteIsEvent := notes >= 0 && !slices.ContainsFunc(w.t.columns, func(c column) bool { return c.role.isAction() })
	if into < 0 && noteIsEvent {
		into = notes
	}
	switch {
	case len(words) > 0 && into < 0:
		return w.fault(addHint+": event", "the log has no column for %q", words[0])
	case w.a.Note != "" && notes < 0:
		return w.fault(addHint+": note", "the log has no column for a note")
	case w.a.Note != "" && into == notes && len(words) > 0:
		return w.fault("add the note in a row of its own, or "+addHint+": event", "the log has one column for events and notes together")
	}
	if len(words) > 0 {
		row[into] = strings.Join(words, "; ")
	}
	if w.a.Note != "" {
		row[notes] = w.a.Note
	}
	return nil
}

// deedCell writes a cell of a column for one kind of event, as the cells above
// it are written.
func (w *adder) deedCell(column int, detail string) string {
	c := w.t.columns[column]
	if v := litres(detail); c.amount != "" && v == v {
		if c.amount == "US gal" {
			return decimal(v/litres("1 US gal"), false)
		}
		return decimal(v, false)
	}
	if detail != "" {
		return detail
	}
	for _, row := range slices.Backward(w.samples) {
		if yes, words := saysYes(row[column]); yes && words == "" {
			return row[column]
		}
	}
	return "yes"
}
