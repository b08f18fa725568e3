package pile

import (
	"bytes"
	"fmt"
	"iter"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Addition is what is to be added to a log.
type Addition struct {
	// At is when, as a log would write it; only a time of day is today; ""
	// is Now.
	At string
	// Now is the present, by the clock on the wall where the log is kept.
	Now          time.Time
	Temperatures []Measured
	Turned       bool
	Watered      string // a quantity, as in "20 L", or "yes"; "" for no
	Added        string // what was; "" for nothing
	Rain         string // how much, or "yes"; "" for none
	Note         string
}

// Measured is one temperature to add.
type Measured struct {
	Probe string  // "" for the only one there is
	Value float64 // in Unit
	Unit  string  // "C", "F", or "" for the unit of the log
}

// Append adds a row to a CSV log (several where the log has a row for each probe)
// and returns the new text and the rows added. The row is written as the others
// are: the same columns, separator, line ends, form of the date, decimal sign
// and unit. It goes where its time belongs, which is most often the end. All
// other bytes stay as they are. A text that is empty gets a header first, for
// which a unit must be given.
//
// name names the log in errors. The error is a *[ReadError] when something has
// no place in the log, such as a probe without a column; text is never changed.
func Append(text []byte, name string, a Addition, o Options) (out []byte, added string, err error) {
	g, err := newGatherer(name, o)
	if err != nil {
		return nil, "", err
	}
	w := &adder{text: text, name: name, a: a, g: g}
	if err := w.check(); err != nil {
		return nil, "", err
	}
	if err := w.scan(); err != nil {
		return nil, "", err
	}
	if err := w.settleTime(); err != nil {
		return nil, "", err
	}
	rows, err := w.rows()
	if err != nil {
		return nil, "", err
	}
	out = w.insert(rows)
	if err := w.verify(out); err != nil {
		return nil, "", err
	}
	return out, strings.Join(rows, "\n"), nil
}

// adder adds to one log.
type adder struct {
	text []byte // with a header
	name string
	a    Addition
	g    *gatherer
	t    *table
	end  string // of lines

	placed  []placedRow
	samples [][]string // cells of the last rows
	means   []moment   // when they are

	when  moment
	ms    int64          // for comparing with the rows
	write map[int]string // cells of the time columns
}

// placedRow is a row of data in the text.
type placedRow struct {
	start, end int // of its bytes, with the line end
	when       record
}

const (
	samplesMost = 50
	addHint     = "add the column to the header by hand, with a separator in each row below it"
)

func (w *adder) fault(hint, format string, v ...any) error { return w.g.fault(0, hint, format, v...) }

// check refuses what no log should have.
func (w *adder) check() error {
	a := &w.a
	if len(a.Temperatures) == 0 && !a.Turned && a.Watered == "" && a.Added == "" && a.Rain == "" && a.Note == "" {
		return w.fault("give a temperature, or what was done", "there is nothing to add")
	}
	for _, m := range a.Temperatures {
		if math.IsNaN(m.Value) || math.IsInf(m.Value, 0) {
			return w.fault("", "a temperature must be a number")
		}
		if m.Unit != "" && m.Unit != "C" && m.Unit != "F" {
			return w.fault("it is C or F", "there is no unit %q of temperature", shorten(m.Unit))
		}
	}
	for _, s := range []*string{&a.Watered, &a.Added, &a.Rain, &a.Note} {
		*s = strings.Join(strings.Fields(strings.ToValidUTF8(*s, "?")), " ")
	}
	if yes, words := saysYes(a.Watered); yes && words != "" && math.IsNaN(litresIn(words)) {
		return w.fault(`write a number and a unit, as in "20 L", or yes`, "%q is not a quantity of water", shorten(a.Watered))
	}
	return nil
}

// scan reads the log as it is, or begins one.
func (w *adder) scan() error {
	w.end = "\n"
	switch {
	case bytes.Contains(w.text, []byte("\r\n")):
		w.end = "\r\n"
	case !bytes.Contains(w.text, []byte("\n")) && bytes.Contains(w.text, []byte("\r")):
		w.end = "\r"
	}
	if _, err := newLineReader(bytes.NewReader(w.text), w.name); err != nil {
		return err
	}
	first, err := w.firstRows()
	if err != nil {
		return err
	}
	if len(first) == 0 {
		header, err := w.newHeader()
		if err != nil {
			return err
		}
		w.text = append(w.closed(), header+w.end...)
		if first, err = w.firstRows(); err != nil {
			return err
		}
	}
	w.t = &table{g: w.g}
	above := 0
	if w.t.layout, above, err = sniff(first, w.name, true); err != nil {
		return err
	}
	w.t.ids, w.t.idKnown = make([]uint16, len(w.t.columns)), make([]bool, len(w.t.columns))
	if err := w.t.checkUnits(); err != nil {
		return err
	}
	from := 0
	if above > 0 {
		from = first[above-1].line
	}
	return w.scanRows(from)
}

// closed is the text with its last line ended.
func (w *adder) closed() []byte {
	text := bytes.Clone(w.text)
	if len(text) > 0 && !bytes.HasSuffix(text, []byte(w.end)) && !bytes.HasSuffix(text, []byte("\n")) {
		text = append(text, w.end...)
	}
	return text
}

// lines gives the lines of the text with their places; body is without the end.
func (w *adder) lines(yield func(number, start, end int, body []byte) bool) {
	at := 0
	if bytes.HasPrefix(w.text, []byte("\xef\xbb\xbf")) {
		at = 3
	}
	last := []byte{w.end[len(w.end)-1]}
	for number := 1; at < len(w.text); number++ {
		end := len(w.text)
		if i := bytes.Index(w.text[at:], last); i >= 0 {
			end = at + i + 1
		}
		body := bytes.TrimRight(w.text[at:end], "\r\n")
		if !yield(number, at, end, body) {
			return
		}
		at = end
	}
}

func (w *adder) firstRows() ([]rawRow, error) {
	var first []rawRow
	w.lines(func(number, _, _ int, body []byte) bool {
		if !isComment(body) {
			first = append(first, rawRow{body, number})
		}
		return len(first) < sniffRows
	})
	return first, nil
}

// scanRows notes where each row stands and when it is.
func (w *adder) scanRows(from int) error {
	var failure error
	var open []byte // a row that goes on over the line
	start := 0
	w.lines(func(number, at, end int, body []byte) bool {
		if number <= from || len(open) == 0 && isComment(body) {
			return true
		}
		if len(open) > 0 {
			body = append(append(open, ' '), body...)
		} else {
			start = at
		}
		if openQuote(body, w.t.sep) {
			open = bytes.Clone(body)
			return true
		}
		open = nil
		w.t.cells = splitCells(w.t.cells, body, w.t.sep)
		if len(w.t.cells) > len(w.t.columns) || w.t.isHeaderAgain() || len(bytes.Trim(body, " \t"+string(w.t.sep))) == 0 {
			return true
		}
		m, problem := w.t.when()
		if problem != "" {
			return true
		}
		when, err := w.g.stamp(&m, number)
		if err != nil {
			failure = err
			return false
		}
		w.placed = append(w.placed, placedRow{start, end, when})
		cells := make([]string, len(w.t.columns))
		for i, c := range w.t.cells {
			cells[i] = string(c)
		}
		if len(w.samples) == samplesMost {
			w.samples, w.means = w.samples[1:], w.means[1:]
		}
		w.samples, w.means = append(w.samples, cells), append(w.means, m)
		return true
	})
	if len(open) > 0 && failure == nil {
		failure = w.fault("close it first", "a quote opens in the log and is not closed")
	}
	return failure
}

// newHeader is the header of a log that is begun.
func (w *adder) newHeader() (string, error) {
	cells := []string{"date", "time"}
	for _, m := range w.a.Temperatures {
		unit := m.Unit
		if unit == "" {
			unit = w.g.options.Unit
		}
		if unit == "" {
			return "", w.fault("say --unit C or --unit F, or 58C", "a new log needs the unit of its temperatures")
		}
		probe := strings.Join(strings.Fields(m.Probe), " ")
		if probe == "" {
			probe = "temperature"
		}
		header := probe + " (" + unit + ")"
		if c := readColumn(header); c.role != temperatureRole || strings.ContainsAny(probe, `,;"()[]`) {
			return "", w.fault("use letters and digits, as in core or probe 2", "%q cannot name a probe", shorten(probe))
		}
		cells = append(cells, header)
	}
	if len(w.a.Temperatures) == 0 {
		return "", w.fault("begin with a temperature, so that the log gets a column for it", "a new log needs a probe")
	}
	return strings.Join(append(cells, "event", "note"), ","), nil
}

// settleTime decides when the addition is and how the log writes that.
func (w *adder) settleTime() error {
	zoned := len(w.means) > 0 && w.means[len(w.means)-1].hasZone
	zone := 0
	if zoned {
		zone = w.means[len(w.means)-1].zone
	}
	m, explicit, err := w.moment(zoned, zone)
	if err != nil {
		return err
	}
	if err := w.g.settleOrder(); err != nil {
		return err
	}
	w.when, w.write = m, map[int]string{}
	numbered := slices.ContainsFunc(w.means, func(m moment) bool { return m.hasNumber }) || len(w.means) == 0 && w.t.has(elapsedRole)
	if numbered && !m.hasNumber {
		if w.g.options.Built.IsZero() {
			return w.fault(`give the day, as in --at "day 12"`, "the log has day numbers, not dates")
		}
		b := w.g.options.Built
		days := float64(m.day) - float64(civilDay(b.Year(), int(b.Month()), b.Day()))
		if w.g.clocks || slices.ContainsFunc(w.means, func(m moment) bool { return m.number != math.Trunc(m.number) }) {
			days += float64(m.clock) / float64(msPerDay)
		}
		m = moment{hasNumber: true, number: days}
	} else if !numbered && m.hasNumber {
		return w.fault(`give the date, as in --at "2026-11-03 18:00"`, "the log has dates, not day numbers")
	}
	w.when = m
	when, err := w.g.stamp(&m, 0)
	if err != nil {
		return err
	}
	for i := range w.placed {
		w.g.resolve(&w.placed[i].when)
	}
	w.g.resolve(&when)
	w.ms = when.ms
	if m.hasNumber {
		return w.writeDays(m)
	}
	return w.writeDate(m, explicit)
}

// moment reads when the addition is; explicit is true when the user gave a time
// of day.
func (w *adder) moment(zoned bool, zone int) (m moment, explicit bool, err error) {
	now := w.a.Now
	if zoned {
		now = now.In(time.FixedZone("", zone*60))
	}
	today := civilDay(now.Year(), int(now.Month()), now.Day())
	if w.a.At == "" {
		clock := int64(now.Hour())*msPerHour + int64(now.Minute())*msPerMinute
		if now.Year() < 1970 {
			return m, false, w.fault("", "the present is not known")
		}
		return moment{hasDate: true, hasClock: true, hasZone: zoned, zone: zone, day: today, clock: clock}, false, nil
	}
	text := []byte(strings.TrimSpace(w.a.At))
	if m.parseClock(text) == "" && bytes.ContainsAny(text, ":hpa") {
		m.hasDate, m.day = true, today
	} else {
		m = moment{}
		var problem string
		if m, problem = parseMoment(text); problem != "" {
			return m, false, w.fault(hintFor(problem), "%q: %s", shorten(w.a.At), problem)
		}
		if m.ambiguous && w.g.order == anyOrder {
			return m, false, w.fault(hintFor(badDate), "%q could have the day or the month first", shorten(w.a.At))
		}
		if m.shows != anyOrder && m.shows != w.g.order {
			// It is clear in itself, whatever the log does.
			m.shows = anyOrder
		}
	}
	if zoned && !m.hasZone {
		m.hasZone, m.zone = true, zone
	}
	return m, m.hasClock, nil
}

// writeDays writes a day number into its column.
func (w *adder) writeDays(m moment) error {
	for i, c := range w.t.columns {
		if c.role != elapsedRole && c.role != dateRole {
			continue
		}
		text := dayText(m.number)
		if c.role == elapsedRole && c.stepMs != msPerDay {
			text = dayText(m.number * float64(msPerDay) / float64(c.stepMs))
		}
		if n := len(w.samples); n > 0 {
			// "day 3" stays "day 4".
			last := w.samples[n-1][i]
			if cut := strings.IndexFunc(last, func(r rune) bool { return r >= '0' && r <= '9' }); cut > 0 {
				text = last[:cut] + text
			}
		} else if c.role == dateRole {
			text = "day " + text
		}
		w.write[i] = text
		return nil
	}
	return w.fault("", "the log has no column for the time")
}

// writeDate writes a date and time of day into their columns.
func (w *adder) writeDate(m moment, explicit bool) error {
	t := m.wallTime(w.g.order)
	placed := false // the time of day
	for i, c := range w.t.columns {
		if c.role < dateRole || c.role > elapsedRole {
			continue
		}
		if c.role == clockRole && !m.hasClock {
			placed = true
			continue
		}
		cells, means := w.samplesOf(i)
		forms, otherwise := iter.Seq[string](joinedForms), "2006-01-02 15:04"
		switch {
		case c.role == clockRole:
			forms, otherwise = slices.Values(clockForms()), "15:04"
		case w.t.has(clockRole):
			forms, otherwise = slices.Values(dateForms()), "2006-01-02"
		}
		write, ok := writtenForm(cells, means, forms)
		switch {
		case !ok && len(cells) > 0:
			return w.fault("write the row by hand, or write all dates of the log in one way, as in 2026-11-03 18:00", "its dates are not all written in one known way: %q", shorten(cells[len(cells)-1]))
		case !ok:
			write = func(t time.Time) string { return t.Format(otherwise) }
		}
		shows := hasClockIn(write)
		if shows && !m.hasClock {
			return w.fault(`give it, as in --at "`+t.Format("2006-01-02")+` 18:00"`, "the log has times of day, and --at has none")
		}
		placed = placed || shows
		w.write[i] = write(t)
	}
	if explicit && !placed {
		return w.fault("leave the time of day out of --at", "the log has dates only, and no place for a time of day")
	}
	return nil
}

// samplesOf gives the cells of a column that are not blank, and what they mean.
func (w *adder) samplesOf(column int) (cells []string, means []time.Time) {
	for i, row := range w.samples {
		if row[column] != "" {
			cells = append(cells, row[column])
			means = append(means, w.means[i].wallTime(w.g.order))
		}
	}
	return cells, means
}

// insert puts the rows where their time belongs.
func (w *adder) insert(rows []string) []byte {
	up, down := 0, 0
	for i := 1; i < len(w.placed); i++ {
		switch a, b := w.placed[i-1].when.ms, w.placed[i].when.ms; {
		case a < b:
			up++
		case a > b:
			down++
		}
	}
	at := len(w.text)
	if down > up {
		for _, p := range w.placed {
			if p.when.ms <= w.ms {
				at = p.start
				break
			}
		}
	} else if n := len(w.placed); n > 0 && w.placed[n-1].when.ms > w.ms {
		at = w.placed[0].start
		for _, p := range w.placed {
			if p.when.ms <= w.ms {
				at = p.end
			}
		}
	}
	block := strings.Join(rows, w.end) + w.end
	if at == len(w.text) {
		return append(w.closed(), block...)
	}
	return slices.Concat(w.text[:at], []byte(block), w.text[at:])
}

// verify reads the new log and makes sure that it says what the old one said
// and what was added.
func (w *adder) verify(out []byte) error {
	before, err0 := w.tally(w.text)
	after, err1 := w.tally(out)
	want := before
	want.readings += len(w.a.Temperatures)
	want.events += w.deeds()
	if before.twice < after.twice && err0 == nil {
		return w.fault("give another time with --at, or mend the row that is there", "the log has a reading of this probe at this moment")
	}
	if err0 != nil || err1 != nil || after != want {
		return w.fault("write the row by hand", "the row would not read back as what it should say, so nothing is added")
	}
	return nil
}

// tally is what a log holds.
type tally struct{ readings, events, unread, twice int }

func (w *adder) tally(text []byte) (tally, error) {
	g, err := newGatherer(w.name, w.g.options)
	if err != nil {
		return tally{}, err
	}
	if _, err = scanTable(bytes.NewReader(text), g, true); err != nil {
		return tally{}, err
	}
	n := tally{events: len(g.events)}
	for _, chunk := range g.chunks {
		n.readings += len(chunk)
	}
	for _, d := range g.doubts {
		n.unread += d.Count
	}
	// Whether the log as a whole can be read is not the addition's business.
	if l, err := g.log(); err == nil {
		for _, d := range l.Doubts {
			if d.Reason == duplicate.String() || d.Reason == secondReading.String() {
				n.twice += d.Count
			}
		}
	}
	return n, nil
}

// deeds counts the events of the addition.
func (w *adder) deeds() int {
	n := 0
	for _, is := range []bool{w.a.Turned, said(w.a.Watered), w.a.Added != "", said(w.a.Rain), w.a.Note != ""} {
		if is {
			n++
		}
	}
	return n
}

// said reports whether text says more than no.
func said(text string) bool {
	yes, _ := saysYes(text)
	return yes
}

// quote writes a cell so that it reads back as itself.
func quote(cell string, sep byte, first bool) string {
	if strings.IndexByte(cell, sep) < 0 && !strings.Contains(cell, `"`) && !(first && strings.HasPrefix(cell, "#")) {
		return cell
	}
	return `"` + strings.ReplaceAll(cell, `"`, `""`) + `"`
}

// decimal writes a number as finely as it is given, with the decimal sign of
// the log.
func decimal(v float64, comma bool) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// inUnit turns a value into another unit, and rounds it down to a tenth there:
// a temperature is never made out higher than it was.
func inUnit(v float64, from, to byte) float64 {
	if from == to || from == 0 || to == 0 {
		return v
	}
	if to == 'F' {
		v = v*9/5 + 32
	} else {
		v = toCelsius(v, 'F')
	}
	const rounding = 1e-9 // of the conversion, in tenths of a degree
	return math.Floor(v*10+rounding) / 10
}

func wrongRange(v float64, unit byte) string {
	switch c := toCelsius(v, unit); {
	case c > tooHotC:
		return fmt.Sprintf("%g %c is hotter than any heap that does not burn", v, unit)
	case c < tooColdC:
		return fmt.Sprintf("%g %c is colder than any heap or air", v, unit)
	}
	return ""
}
