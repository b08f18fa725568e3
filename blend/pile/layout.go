package pile

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"heapwright/feedstocks"
)

// layout is how a CSV log is written: what separates its cells and what its
// columns hold.
type layout struct {
	sep     byte
	columns []column
	header  int // line of the header; 0 when there is none
}

// rawRow is a row of the text with the number of its first line.
type rawRow struct {
	text []byte
	line int
}

// sniffRows is how many rows are looked at to find the header: loggers put a
// few lines about themselves above it.
const sniffRows = 40

func separators() []byte { return []byte{'\t', ';', ',', '|'} }

// sniff finds the layout, and how many of the rows stand above the data. Every
// separator is tried, and the one kept under which a row has the most columns
// that are understood.
func sniff(rows []rawRow, name string, readings bool) (layout, int, error) {
	best, above, score := layout{}, 0, 0
	for _, sep := range separators() {
		for i, row := range rows {
			cells := splitCells(nil, row.text, sep)
			if slices.ContainsFunc(cells, isData) {
				continue
			}
			columns := headerColumns(cells)
			if n := worth(columns, readings); n > score {
				best, above, score = layout{sep, columns, row.line}, i+1, n
			}
		}
	}
	if score > 0 {
		if above < len(rows) && best.takeUnitRow(rows[above].text) {
			above++
		}
		return best, above, nil
	}
	if len(rows) == 0 {
		return layout{}, 0, &ReadError{File: name, Problem: "there is nothing in it", Hint: "a log has a header such as date,core (C) and a row for each reading"}
	}
	for _, sep := range separators() {
		if columns, ok := plainColumns(splitCells(nil, rows[0].text, sep)); ok && readings {
			return layout{sep: sep, columns: columns}, 0, nil
		}
	}
	return layout{}, 0, noHeader(rows, name, readings)
}

// isData reports whether a cell stands in a row of data and never in a header:
// a date, or a number that is no number of a probe.
func isData(cell []byte) bool {
	if len(cell) == 0 || !isDigit(cell[0]) && cell[0] != '-' {
		return false
	}
	const most = 2 // digits of the number of a probe
	if _, rest, ok := leadingFloat(cell); ok && len(rest) == 0 {
		return len(cell) > most || cell[0] == '-'
	}
	m, problem := parseMoment(cell)
	return problem == "" && m.hasDate
}

func noHeader(rows []rawRow, name string, readings bool) error {
	e := &ReadError{File: name, Line: rows[0].line, Hint: "write a header such as date,time,core (C),edge (C),event,note"}
	if !readings {
		e.Hint = "write a header such as date,time,event,note"
	}
	if !bytes.ContainsAny(rows[0].text, "\t;,|") {
		e.Hint += ", and put the same commas into each row"
	}
	what := "a temperature"
	if !readings {
		what = "an event"
	}
	e.Problem = fmt.Sprintf("no row names a column for the date and one for %s (the first is %q)", what, shorten(string(rows[0].text)))
	if near := nearHeader(rows); near != "" {
		e.Problem += near
	}
	return e
}

// nearHeader says which word of a header may be misspelt.
func nearHeader(rows []rawRow) string {
	known := []string{"date", "time", "day", "temperature", "core", "edge", "probe", "ambient", "event", "note"}
	for _, sep := range separators() {
		for _, row := range rows {
			cells := splitCells(nil, row.text, sep)
			understood := 0
			for _, c := range headerColumns(cells) {
				if c.role != unknownRole {
					understood++
				}
			}
			if understood == 0 || len(cells) < 2 {
				continue
			}
			for _, c := range headerColumns(cells) {
				if c.role != unknownRole || c.header == "" {
					continue
				}
				if near := feedstocks.Nearest(c.header, known); len(near) > 0 {
					return fmt.Sprintf("; did you mean %s by %q?", near[0], c.header)
				}
			}
		}
	}
	return ""
}

// headerColumns understands a row as a header.
func headerColumns(cells [][]byte) []column {
	columns := make([]column, len(cells))
	letters := 0
	for i, cell := range cells {
		columns[i] = readColumn(string(cell))
		if len(cell) == 1 && (columns[i].role == unknownRole || columns[i].role == temperatureRole) && !isDigit(cell[0]) {
			letters++
		}
	}
	used := map[role]bool{}
	for i := range columns {
		c := &columns[i]
		// Several columns A, B, C are probes; one column C is in degrees C.
		if letters > 1 && len(cells[i]) == 1 && !isDigit(cells[i][0]) {
			*c = column{role: temperatureRole, header: c.header, probe: c.header}
		}
		if c.role != temperatureRole && c.role != noteRole && c.role != eventRole {
			if used[c.role] {
				c.role = unknownRole
			}
			used[c.role] = true
		}
	}
	if used[elapsedRole] && used[dateRole] {
		for i := range columns {
			if columns[i].role == elapsedRole {
				columns[i].role = unknownRole
			}
		}
	}
	if used[clockRole] && !used[elapsedRole] && !used[dateRole] {
		for i := range columns {
			if columns[i].role == clockRole {
				columns[i].role = dateRole
			}
		}
	}
	distinctProbes(columns)
	return columns
}

// worth counts the columns that are understood, or is 0 when they do not make a
// log: that needs a time, and a temperature or, in a file of events, an event.
func worth(columns []column, readings bool) int {
	n := 0
	var when, what bool
	for _, c := range columns {
		switch {
		case c.role == unknownRole:
			continue
		case c.role == dateRole, c.role == elapsedRole:
			when = true
		case readings && c.role == temperatureRole, !readings && (c.role.isAction() || c.role == noteRole):
			what = true
		}
		n++
	}
	if !when || !what {
		return 0
	}
	return n
}

// takeUnitRow takes the units from a row below the header that has nothing
// else: ",°C,°C".
func (l *layout) takeUnitRow(text []byte) bool {
	cells := splitCells(nil, text, l.sep)
	if len(cells) != len(l.columns) {
		return false
	}
	found := false
	for i, cell := range cells {
		if bytes.ContainsAny(cell, "0123456789") {
			return false
		}
		u, ok := unitOf(string(cell))
		if ok && u != 0 && l.columns[i].role == temperatureRole {
			found = true
		}
	}
	if !found {
		return false
	}
	for i, cell := range cells {
		if u, ok := unitOf(string(cell)); ok && u != 0 && l.columns[i].role == temperatureRole {
			l.columns[i].unit = u
		}
	}
	return true
}

// plainColumns understands a first row of data where there is no header: a
// date or day, perhaps a time of day, a temperature, and perhaps words.
func plainColumns(cells [][]byte) ([]column, bool) {
	if len(cells) < 2 || len(cells) > 4 {
		return nil, false
	}
	first := column{role: dateRole}
	if m, problem := parseMoment(cells[0]); problem != "" || !m.hasDate {
		if v, rest, ok := leadingFloat(cells[0]); !m.hasNumber && (!ok || len(rest) > 0 || v < 0 || v > mostDays) {
			return nil, false
		}
		first = column{role: elapsedRole, stepMs: msPerDay}
	}
	columns, cells := []column{first}, cells[1:]
	var clock moment
	if bytes.IndexByte(cells[0], ':') > 0 && clock.parseClock(cells[0]) == "" && len(cells) > 1 {
		columns, cells = append(columns, column{role: clockRole}), cells[1:]
	}
	if _, _, state := parseTemperature(cells[0]); state != isReading {
		return nil, false
	}
	columns, cells = append(columns, column{role: temperatureRole}), cells[1:]
	if len(cells) > 0 {
		if len(cells) > 1 || bytes.ContainsAny(cells[0], "0123456789") && !bytes.ContainsFunc(cells[0], isLetter) {
			return nil, false
		}
	}
	return append(columns, column{role: eventRole}), true
}

func isLetter(r rune) bool {
	return r > '9' && strings.ToUpper(string(r)) != strings.ToLower(string(r))
}

// has reports whether a column has the role.
func (l *layout) has(r role) bool {
	for _, c := range l.columns {
		if c.role == r {
			return true
		}
	}
	return false
}

// ignored lists the headers that are not understood.
func (l *layout) ignored() []string {
	var names []string
	for _, c := range l.columns {
		if c.role == unknownRole && c.header != "" {
			names = append(names, c.header)
		}
	}
	return names
}
