package pile

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Read reads a temperature log in CSV; name names it in errors and in the log.
// It reads what people and loggers write:
//
//   - cells with commas, semicolons, tabs or bars between them, in quotes or
//     not; decimal points or commas; LF, CRLF or CR; a byte order mark; rows
//     that are empty or begin with #; up to 40 rows of a logger about itself
//     above the header
//   - columns in any order, under the words in common use: date, time, day,
//     temperature, core, edge, probe 1, T1, ambient, air, event, turned, water,
//     note and so on; or no header at all over a date and a temperature
//   - dates as [Options] says, or days since the start
//   - a column for each probe, or a row for each with a column that names it;
//     a column that names the pile (see [Options.Group])
//   - degrees C or F by header, by cell ("131F") or by [Options.Unit]
//
// What is doubtful is set aside in Log.Doubts: a row or cell that cannot be
// read, and a reading that no sound probe in a heap gives (tooHotC and the
// bounds beside it). The error is a *[ReadError] when the log cannot be read as
// a whole: when it has no readings, when most rows cannot be read, or when the
// unit of temperature or the order of day and month are open.
//
// It holds about 24 bytes for each reading of the file, and 100 for each that
// ends up in the log, which are at most about 200 000 (Log.Condensed).
func Read(r io.Reader, name string, o Options) (*Log, error) {
	g, err := newGatherer(name, o)
	if err != nil {
		return nil, err
	}
	t, err := scanTable(r, g, true)
	if err != nil {
		return nil, err
	}
	if len(g.chunks) == 0 {
		return nil, g.nothing(t)
	}
	l, err := g.log()
	if err != nil {
		return nil, err
	}
	l.Ignored = t.ignored()
	return l, nil
}

// ReadEvents reads a CSV of what was done to a pile, with a column for the date
// and one for the event (or turned, watered, added, rain, note), for
// [Options.Events]. Every row must be readable. The error is a *[ReadError].
func ReadEvents(r io.Reader, name string, o Options) ([]Event, error) {
	o.Events = nil
	g, err := newGatherer(name, o)
	if err != nil {
		return nil, err
	}
	if _, err := scanTable(r, g, false); err != nil {
		return nil, err
	}
	if len(g.doubts) > 0 {
		d := g.doubts[0]
		return nil, g.fault(d.Line, hintFor(badDate), "%q: %s", d.Text, d.Reason)
	}
	if err := g.settleOrder(); err != nil {
		return nil, err
	}
	var events []Event
	for _, e := range g.events {
		g.resolve(&e.when)
		e.Time, e.File = g.timeOf(&e.when), name
		events = append(events, e.Event)
	}
	slices.SortStableFunc(events, func(a, b Event) int { return a.Time.Compare(b.Time) })
	return events, nil
}

// mostUnread is the share of rows that may be unreadable; above it the file has
// been misunderstood.
const mostUnread = 0.5

// table reads the rows of a CSV by its layout.
type table struct {
	layout
	g         *gatherer
	ids       []uint16 // of the probe of each column; valid where idKnown
	idKnown   []bool
	cells     [][]byte
	last      moment // of the row before, for cells left blank
	hasLast   bool
	rows      int // with data
	unread    int
	trouble   error             // the first row that could not be read
	rowProbes map[string]uint16 // by the cell that names the probe of a row
}

// scanTable reads all rows into the gatherer.
func scanTable(r io.Reader, g *gatherer, readings bool) (*table, error) {
	lines, err := newLineReader(r, g.name)
	if err != nil {
		return nil, err
	}
	var first []rawRow
	for len(first) < sniffRows {
		line, err := lines.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if !isComment(line) {
			first = append(first, rawRow{bytes.Clone(line), lines.number})
		}
	}
	t := &table{g: g, rowProbes: map[string]uint16{}}
	var above int
	if t.layout, above, err = sniff(first, g.name, readings); err != nil {
		return nil, err
	}
	t.ids, t.idKnown = make([]uint16, len(t.columns)), make([]bool, len(t.columns))
	if err := t.checkUnits(); err != nil {
		return nil, err
	}
	first = first[min(above, len(first)):]
	for i := 0; i < len(first); i++ {
		row := first[i]
		// A quoted cell may go on in the next of them, or beyond.
		for openQuote(row.text, t.sep) {
			if i+1 < len(first) {
				i++
				row.text = append(append(row.text, ' '), first[i].text...)
			} else if more, err := lines.next(); err == nil && len(row.text) < lineMost && lines.number-row.line < rowLinesMost {
				row.text = append(append(row.text, ' '), more...)
			} else if err != nil && !errors.Is(err, io.EOF) {
				return nil, err
			} else {
				return nil, g.fault(row.line, `close it, or leave it out; a quote inside a quoted cell is written twice ("")`, "a quote opens in this line and is not closed")
			}
		}
		if err := t.row(row.text, row.line); err != nil {
			return nil, err
		}
	}
	for {
		line, number, err := lines.row(t.sep)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if isComment(line) {
			continue
		}
		if err := t.row(line, number); err != nil {
			return nil, err
		}
	}
	if t.unread > 0 && float64(t.unread) > mostUnread*float64(t.rows) {
		return nil, t.trouble
	}
	return t, nil
}

// checkUnits compares the units of the header with what the user said.
func (t *table) checkUnits() error {
	for _, c := range t.columns {
		if c.unit == 0 {
			continue
		}
		t.g.inHeader = true
		if u := t.g.options.Unit; u != "" && u[0] != c.unit {
			return t.g.fault(t.header, "leave --unit out, or mend the header", "the header %q is in %c, and you said %s", c.header, c.unit, u)
		}
	}
	return nil
}

// nothing says why there is not one reading.
func (g *gatherer) nothing(t *table) error {
	if t.trouble != nil {
		return t.trouble
	}
	if len(g.groups) > 0 && g.options.Group != "" {
		return g.fault(0, "the piles in it are "+strings.Join(g.groups, ", "), "no reading is of a pile %q", g.options.Group)
	}
	if len(g.doubts) > 0 {
		d := g.doubts[0]
		return g.fault(d.Line, "write temperatures as in 58 or 136F", "there is no temperature that can be read: %q, %s", d.Text, d.Reason)
	}
	return g.fault(t.header, "add a row for each reading, or give the log in which they are", "there is not one temperature in it")
}

// What is wrong with a row, for people.
const (
	tooManyCells  = "it has more cells than the header has columns"
	noDateYet     = "it has no date, and no row before it has one"
	notReadable   = "not a temperature"
	loggerFault   = "the logger says that it could not measure"
	badUnit       = "not a unit of temperature"
	commaSplit    = "the decimal comma may have split this temperature in two"
	manyCellsHint = "put quotes around cells with commas in them; with decimal commas, part the cells with semicolons"
)

// unreadable sets a whole row aside.
func (t *table) unreadable(line int, text []byte, problem, hint string) {
	t.unread++
	if t.trouble == nil {
		t.trouble = t.g.fault(line, hint, "%q: %s", shorten(string(text)), problem)
	}
	t.g.setAside(line, string(text), problem)
}

// row reads one row. The error is for the whole file.
func (t *table) row(text []byte, line int) error {
	t.cells = splitCells(t.cells, text, t.sep)
	for len(t.cells) > len(t.columns) && len(t.cells[len(t.cells)-1]) == 0 {
		t.cells = t.cells[:len(t.cells)-1]
	}
	if !slices.ContainsFunc(t.cells, func(c []byte) bool { return len(c) > 0 }) {
		return nil
	}
	t.rows++
	if len(t.cells) > len(t.columns) {
		t.unreadable(line, text, tooManyCells, manyCellsHint)
		return nil
	}
	if t.isHeaderAgain() {
		t.rows--
		return nil
	}
	m, problem := t.when()
	if problem != "" {
		t.unreadable(line, text, problem, hintFor(problem))
		return nil
	}
	when, err := t.g.stamp(&m, line)
	if err != nil {
		return err
	}
	return t.contents(when, text)
}

// isHeaderAgain reports whether the row repeats the header, as in files that
// were joined.
func (t *table) isHeaderAgain() bool {
	if t.header == 0 || len(t.cells) != len(t.columns) || len(t.cells[0]) == 0 || isDigit(t.cells[0][0]) {
		return false
	}
	for i, cell := range t.cells {
		if t.columns[i].header != shorten(string(cell)) {
			return false
		}
	}
	return true
}

// cell gives the cell of the first column with a role, or nil.
func (t *table) cell(r role) []byte {
	for i := range t.cells {
		if t.columns[i].role == r {
			return t.cells[i]
		}
	}
	return nil
}

// when reads the time of the row. Cells left blank are those of the row above.
func (t *table) when() (m moment, problem string) {
	blankDate, blankClock := true, true
	var headerZone *column
	for i, cell := range t.cells {
		c := &t.columns[i]
		if c.role < dateRole || c.role > elapsedRole {
			continue
		}
		if c.hasZone {
			headerZone = c
		}
		if len(cell) == 0 {
			continue
		}
		switch c.role {
		case dateRole:
			blankDate = false
			parsed, problem := parseMoment(cell)
			if problem != "" {
				return m, problem
			}
			if !parsed.hasDate && !parsed.hasNumber {
				return m, badDate
			}
			if parsed.hasClock {
				blankClock = false
			} else {
				parsed.hasClock, parsed.clock = m.hasClock, m.clock
			}
			m = parsed
		case elapsedRole:
			blankDate = false
			clock, hasClock := m.clock, m.hasClock
			parsed, problem := t.elapsed(cell, c)
			if problem != "" {
				return m, problem
			}
			if m = parsed; hasClock {
				m.clock, m.hasClock = clock, true
			}
		case clockRole:
			blankClock = false
			if problem := t.clock(&m, cell); problem != "" {
				return m, problem
			}
		}
	}
	if blankDate {
		if !t.hasLast {
			return m, noDateYet
		}
		clock, hasClock := m.clock, m.hasClock
		m = t.last
		if hasClock {
			m.clock, m.hasClock = clock, true
		}
	} else if blankClock && t.hasLast && t.last.hasClock && !m.hasNumber && m.hasDate && m.day == t.last.day {
		m.clock, m.hasClock = t.last.clock, true
	}
	if headerZone != nil && !m.hasZone {
		m.zone, m.hasZone = headerZone.zone, true
	}
	t.last, t.hasLast = m, true
	return m, ""
}

// clock reads a cell of a column of times of day; a bare hour will do there.
func (t *table) clock(m *moment, cell []byte) string {
	if v, n := leadingInt(cell); n == len(cell) && n <= 2 && v < 24 {
		m.hasClock, m.clock = true, int64(v)*msPerHour
		return ""
	}
	if problem := m.parseClock(cell); problem != "" {
		// Some loggers repeat the date beside the time.
		full, other := parseMoment(cell)
		if other != "" || !full.hasClock {
			return problem
		}
		m.hasClock, m.clock = true, full.clock
	}
	return ""
}

// elapsed reads a cell of a column of days, hours ... since the start. A date
// may stand there too.
func (t *table) elapsed(cell []byte, c *column) (moment, string) {
	v, rest, ok := leadingFloat(cell)
	if ok && len(rest) == 0 {
		days := v * float64(c.stepMs) / float64(msPerDay)
		if days < 0 || days > mostDays {
			return moment{}, badDate
		}
		// A fraction of a day is a time of day.
		return moment{hasNumber: true, number: days, hasClock: days != float64(int64(days))}, ""
	}
	m, problem := parseMoment(cell)
	if problem == "" && !m.hasDate && !m.hasNumber {
		problem = badDate
	}
	return m, problem
}

// contents reads the temperatures and events of a row.
func (t *table) contents(when record, text []byte) error {
	group, wanted := t.group()
	if !wanted {
		return nil
	}
	rowUnit := byte(0)
	if cell := t.cell(unitRole); len(cell) > 0 {
		u, ok := unitOf(string(cell))
		if !ok {
			t.g.setAside(int(when.line), string(text), badUnit)
			return nil
		}
		rowUnit = u
	}
	for i, cell := range t.cells {
		c := &t.columns[i]
		switch c.role {
		case temperatureRole:
			if len(cell) == 0 {
				continue
			}
			value, unit, state := parseTemperature(cell)
			switch state {
			case isFault:
				t.g.setAside(int(when.line), string(cell), loggerFault)
				continue
			case isOther:
				if !t.deedsIn(when, cell) {
					t.g.setAside(int(when.line), string(cell), notReadable)
				}
				continue
			case isEmpty:
				continue
			}
			if t.splitByComma(i) {
				t.g.setAside(int(when.line), string(text), commaSplit)
				return nil
			}
			id, err := t.probe(i, group)
			if err != nil {
				return err
			}
			if unit == 0 {
				unit = cmp.Or(rowUnit, c.unit)
			}
			t.g.add(when, id, value, unit)
		case eventRole, noteRole, turnedRole, wateredRole, addedRole, rainRole:
			if len(cell) > 0 {
				t.deeds(when, c, string(cell))
			}
		}
	}
	return nil
}

// deedsIn takes "turned" and the like from a cell where a temperature is
// expected.
func (t *table) deedsIn(when record, cell []byte) bool {
	deeds := readDeeds(string(cell), true)
	if len(deeds) == 0 || deeds[0].kind == Noted {
		return false
	}
	t.g.did(when, deeds...)
	return true
}

// splitByComma reports whether what follows a temperature without decimals is
// nothing but one or two digits in a column of words: "58,5" in a file whose
// cells are parted by commas.
func (t *table) splitByComma(i int) bool {
	if t.sep != ',' || i+1 >= len(t.cells) || bytes.ContainsAny(t.cells[i], ".,") {
		return false
	}
	next := t.cells[i+1]
	r := t.columns[i+1].role
	if r != noteRole && r != eventRole && r != unknownRole || len(next) == 0 || len(next) > 2 {
		return false
	}
	_, n := leadingInt(next)
	return n == len(next) && r != unknownRole
}

// group gives the pile that the row is of, with its replicate, and whether it
// is to be read.
func (t *table) group() (name string, wanted bool) {
	g := t.cell(groupRole)
	if g == nil {
		if r := t.cell(replicateRole); r != nil {
			return string(r), true
		}
		return "", true
	}
	name = string(g)
	ambient := isAmbient(name)
	if !ambient && name != "" && !slices.Contains(t.g.groups, name) && len(t.g.groups) < probesMost {
		t.g.groups = append(t.g.groups, name)
	}
	if t.g.options.Group != "" && !ambient && !strings.EqualFold(name, t.g.options.Group) {
		return "", false
	}
	if r := t.cell(replicateRole); len(r) > 0 {
		name += "/" + string(r)
	}
	return name, true
}

// isAmbient reports whether the name of a probe or group is that of the air.
func isAmbient(name string) bool {
	for w := range strings.FieldsFuncSeq(strings.ToLower(name), func(r rune) bool { return r == ' ' || r == '/' || r == '-' || r == '_' }) {
		if isAmbientWord(w) {
			return true
		}
	}
	return false
}

// probe gives the series of the temperature in column i.
func (t *table) probe(i int, group string) (uint16, error) {
	row := t.cell(probeRole)
	if row == nil && group == "" {
		if t.idKnown[i] {
			return t.ids[i], nil
		}
		id, err := t.g.probeID(t.columns[i].probe, t.columns[i].ambient)
		t.ids[i], t.idKnown[i] = id, err == nil
		return id, err
	}
	if t.columns[i].ambient && group == "" {
		return t.g.probeID(t.columns[i].probe, true)
	}
	plain := group == "" && t.columns[i].probe == ""
	if id, ok := t.rowProbes[string(row)]; ok && plain {
		return id, nil
	}
	var parts []string
	for _, part := range []string{group, string(row), t.columns[i].probe} {
		if part != "" {
			parts = append(parts, shorten(part))
		}
	}
	name := strings.Join(parts, "/")
	ambient := t.columns[i].ambient || isAmbient(string(row)) || isAmbient(group)
	id, err := t.g.probeID(name, ambient)
	if plain && err == nil {
		t.rowProbes[string(row)] = id
	}
	return id, err
}

// deeds reads a cell of a column of events.
func (t *table) deeds(when record, c *column, cell string) {
	if c.role == eventRole {
		t.g.did(when, readDeeds(cell, false)...)
		return
	}
	if c.role == noteRole {
		if wordState([]byte(cell)) == isEmpty {
			return
		}
		// Where no column is for events, a note that is nothing but an event
		// is one.
		if !slices.ContainsFunc(t.columns, func(c column) bool { return c.role.isAction() }) {
			t.g.did(when, readDeeds(cell, true)...)
			return
		}
		t.g.did(when, deed{Noted, nan(), shorten(cell)})
		return
	}
	yes, words := saysYes(cell)
	if c.role == wateredRole || c.role == rainRole {
		if v, rest, ok := leadingFloat([]byte(cell)); ok && len(rest) == 0 {
			// A bare number is an amount, not a yes.
			yes, words = v > 0, strings.TrimSpace(fmt.Sprintf("%s %s", cell, c.amount))
		}
	}
	if !yes {
		return
	}
	d := deed{text: words, litres: nan()}
	switch c.role {
	case turnedRole:
		d.kind = Turned
	case wateredRole:
		d.kind, d.litres = Watered, litresIn(words)
	case addedRole:
		d.kind = Added
	case rainRole:
		d.kind = Rained
	}
	t.g.did(when, d)
}
