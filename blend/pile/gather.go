package pile

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Options say how a log is to be read where it does not say so itself. The
// zero value lets the log speak.
type Options struct {
	// Unit is "C" or "F" for temperatures that have no unit.
	Unit string
	// DayFirst and MonthFirst say how to read 11/03/2026. At most one may be
	// set.
	DayFirst, MonthFirst bool
	// Zone is where times without an offset were written; nil for times as they
	// stand, which are then given as UTC. Times with an offset are turned into
	// it when it is not nil.
	Zone *time.Location
	// Built is day 0 of a log with day numbers, which are then dates; and the
	// start of any log that does not give its own.
	Built time.Time
	// Group is the pile to read from a log of several; "" for all.
	Group string
	// Events are what a file of its own says was done: see [ReadEvents]. They
	// are merged into the log.
	Events []Event
}

func (o Options) check() error {
	switch {
	case o.Unit != "" && o.Unit != "C" && o.Unit != "F":
		return &ReadError{Problem: fmt.Sprintf("there is no unit %q of temperature", shorten(o.Unit)), Hint: "it is C or F"}
	case o.DayFirst && o.MonthFirst:
		return &ReadError{Problem: "the day and the month cannot both come first", Hint: "set one of them"}
	}
	return nil
}

// record is a reading as it is gathered; a log may have a million.
type record struct {
	ms    int64 // since 1970 by the clock on the wall; once resolved, since 1970 UTC
	value float64
	line  uint32
	probe uint16
	zone  uint8 // 0 for none; else index of an offset
	flags uint8 // marks, and the doubt in the upper bits
}

const (
	inCelsius     = 1 << iota
	inFahrenheit  // neither: not known yet
	ambiguousDate // and read with the day first for now
	withoutClock
	doubtShift = iota
)

func (r *record) doubt() doubtRule     { return doubtRule(r.flags >> doubtShift) }
func (r *record) setDoubt(d doubtRule) { r.flags |= uint8(d) << doubtShift }

const (
	chunkSize  = 8192
	probesMost = 4096
)

// probe is one series of readings.
type probe struct {
	name    string
	ambient bool
	count   int
	finest  float64 // the smallest part of a degree in its readings
}

// gatherer takes readings and events off a file and makes a log of them.
type gatherer struct {
	options  Options
	name     string
	unsorted bool // the order of the file means nothing

	chunks [][]record
	probes []probe
	ids    map[string]uint16 // by name, ambient ones behind "\x00"
	events []pendingEvent
	doubts []Doubt
	groups []string

	order     dateOrder
	orderLine int // where it was settled; 0 for the options
	unsure    int // first line with an ambiguous date
	dated     int // first line with a date
	numbered  int // first line with a day number
	clocks    bool
	lastZone  uint8
	started   *pendingEvent // when the pile was built

	celsius, fahrenheit, unitless int
	hot                           int // unitless readings over overBoiling
	unitlessLine                  int
	inHeader                      bool // a unit stands in a header or column
}

// pendingEvent is an event whose time is not settled.
type pendingEvent struct {
	Event
	when record
}

func newGatherer(name string, o Options) (*gatherer, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	g := &gatherer{options: o, name: name, ids: map[string]uint16{}}
	switch {
	case o.DayFirst:
		g.order = dayFirst
	case o.MonthFirst:
		g.order = monthFirst
	}
	return g, nil
}

func (g *gatherer) fault(line int, hint, format string, v ...any) error {
	return &ReadError{File: g.name, Line: line, Problem: fmt.Sprintf(format, v...), Hint: hint}
}

// probeID finds or makes the series of a probe.
func (g *gatherer) probeID(name string, ambient bool) (uint16, error) {
	key := name
	if ambient {
		key = "\x00" + name
	}
	if id, ok := g.ids[key]; ok {
		return id, nil
	}
	if len(g.probes) == probesMost {
		return 0, g.fault(0, "check that the column of probes holds names, not readings", "there are over %d probes", probesMost)
	}
	id := uint16(len(g.probes))
	g.probes = append(g.probes, probe{name: name, ambient: ambient, finest: math.Inf(1)})
	g.ids[key] = id
	return id, nil
}

// stamp settles when a row was written. The error is for the whole file.
func (g *gatherer) stamp(m *moment, line int) (record, error) {
	r := record{line: uint32(min(line, math.MaxUint32))}
	if m.hasNumber {
		if g.numbered == 0 {
			g.numbered = line
		}
		r.ms = int64(math.Round(m.number*float64(msPerDay))) + m.clock
	} else {
		if g.dated == 0 {
			g.dated = line
		}
		if m.shows != anyOrder {
			if g.order == anyOrder {
				g.order, g.orderLine = m.shows, line
			} else if g.order != m.shows {
				return r, g.mixedOrder(m.shows, line)
			}
		}
		day := m.day
		if m.ambiguous {
			switch g.order {
			case anyOrder:
				r.flags |= ambiguousDate
				if g.unsure == 0 {
					g.unsure = line
				}
			case monthFirst:
				day = m.swapped
			}
		}
		r.ms = day*msPerDay + m.clock
	}
	if g.dated > 0 && g.numbered > 0 {
		return r, g.fault(line, "give every row a date, or every row a day number", "some rows have dates (line %d) and some day numbers (line %d)", g.dated, g.numbered)
	}
	switch {
	case m.hasZone:
		r.zone = uint8(m.zone/zoneStep + zoneMiddle)
		g.lastZone = r.zone
	case m.hasDate && g.options.Zone == nil:
		r.zone = g.lastZone
	}
	if m.hasClock {
		g.clocks = true
	} else {
		r.flags |= withoutClock
	}
	return r, nil
}

// zoneMiddle is the index of UTC among the offsets; 0 is no offset.
const zoneMiddle = 100

func (g *gatherer) mixedOrder(shown dateOrder, line int) error {
	hint := "write dates as in 2026-11-03"
	if g.orderLine == 0 {
		return g.fault(line, hint+", or leave the order of day and month to the file", "this date has %s, and you said %s", shown, g.order)
	}
	return g.fault(line, hint, "this date has %s, and the one in line %d %s", shown, g.orderLine, g.order)
}

// add takes a reading. The unit is 'C', 'F' or 0.
func (g *gatherer) add(when record, id uint16, value float64, unit byte) {
	when.value, when.probe = value, id
	switch unit {
	case 'C':
		when.flags |= inCelsius
		g.celsius++
	case 'F':
		when.flags |= inFahrenheit
		g.fahrenheit++
	default:
		if g.unitless++; g.unitlessLine == 0 {
			g.unitlessLine = int(when.line)
		}
		if value > overBoiling && value < overFahrenheit {
			g.hot++
		}
	}
	p := &g.probes[id]
	p.count++
	if p.finest > tenth && value != math.Trunc(value) {
		p.finest = half
		if 2*value != math.Trunc(2*value) {
			p.finest = tenth
		}
	}
	last := len(g.chunks) - 1
	if last < 0 || len(g.chunks[last]) == chunkSize {
		g.chunks = append(g.chunks, make([]record, 0, chunkSize))
		last++
	}
	g.chunks[last] = append(g.chunks[last], when)
}

// did takes what was done.
func (g *gatherer) did(when record, deeds ...deed) {
	for _, d := range deeds {
		e := pendingEvent{Event{Kind: d.kind, Litres: d.litres, Text: d.text, Line: int(when.line)}, when}
		if d.kind == built {
			if g.started == nil {
				g.started = &e
			}
			continue
		}
		g.events = append(g.events, e)
	}
}

// setAside takes a row that cannot be used.
func (g *gatherer) setAside(line int, text, reason string) {
	if n := len(g.doubts); n > 0 && g.doubts[n-1].Reason == reason && g.doubts[n-1].Last == line-1 {
		g.doubts[n-1].Last = line
		g.doubts[n-1].Count++
		return
	}
	g.list(Doubt{Line: line, Text: shorten(text), Reason: reason, Count: 1, Last: line})
}

// listedMost is how many doubts are listed one by one; what comes after is
// counted with the last one of its reason.
const listedMost = 1000

// list adds a doubt and gives its place.
func (g *gatherer) list(d Doubt) int {
	if len(g.doubts) >= listedMost {
		for i := len(g.doubts) - 1; i >= 0; i-- {
			if g.doubts[i].Reason == d.Reason {
				g.doubts[i].Count++
				g.doubts[i].Last = d.Line
				return i
			}
		}
	}
	g.doubts = append(g.doubts, d)
	return len(g.doubts) - 1
}

// How the unit shows in the values. Nothing that is written in C is over 100
// in a moist heap, where water boils, let alone again and again; in F that is
// 38 C, and any heap that heats is over it. There is no such test for C: 60
// may be a hot heap in C or a cold one in F.
const (
	overBoiling    = 100.0
	overFahrenheit = 250.0 // no moist heap in F either
	hotShare       = 0.1   // of the readings, and
	hotCount       = 3     // as many of them
)

// settleUnit decides on the unit of readings that have none.
func (g *gatherer) settleUnit() (unit byte, from string, err error) {
	if g.unitless == 0 {
		from = "each reading has its unit"
		if g.inHeader {
			from = "the header says so"
		}
		if g.fahrenheit > g.celsius {
			return 'F', from, nil
		}
		return 'C', from, nil
	}
	if g.options.Unit != "" {
		return g.options.Unit[0], "you said so", nil
	}
	if g.hot >= hotCount && float64(g.hot) >= hotShare*float64(g.unitless) {
		return 'F', fmt.Sprintf("%d of %d readings are over 100, which in C is above boiling", g.hot, g.unitless), nil
	}
	return 0, "", g.fault(g.unitlessLine, "write the unit into the header, as in core (C), or say --unit C or --unit F", "these temperatures have no unit, and could be degrees C or F")
}

// settleOrder decides on day and month of dates that could be read either way.
func (g *gatherer) settleOrder() error {
	if g.unsure == 0 || g.order != anyOrder {
		return nil
	}
	return g.fault(g.unsure, "say --day-first or --month-first, or write dates as in 2026-11-03", "this date could have the day or the month first, and no other date in the file shows which")
}

// log makes the log of what was gathered.
func (g *gatherer) log() (*Log, error) {
	if err := g.settleOrder(); err != nil {
		return nil, err
	}
	unit, from, err := g.settleUnit()
	if err != nil {
		return nil, err
	}
	l := &Log{Name: g.name, Dated: g.numbered == 0 || !g.options.Built.IsZero(), UnitFrom: from, Unit: string(unit), DateOnly: !g.clocks, Groups: g.groups}
	g.resolveAll(unit)
	for i := range g.events {
		g.resolve(&g.events[i].when)
		g.events[i].Time = g.timeOf(&g.events[i].when)
		l.Events = append(l.Events, g.events[i].Event)
	}
	l.Events = append(l.Events, g.options.Events...)
	slices.SortStableFunc(l.Events, func(a, b Event) int { return a.Time.Compare(b.Time) })

	series := g.series()
	g.judge(series, l.Events)
	for i := range series {
		if !g.probes[i].ambient {
			l.Used += len(series[i])
		}
	}
	l.Condensed = g.condense(series)
	g.collect(l, series)
	slices.SortStableFunc(g.doubts, func(a, b Doubt) int { return cmp.Compare(a.Line, b.Line) })
	l.Doubts = g.doubts
	for _, d := range l.Doubts {
		l.SetAside += d.Count
	}
	g.setStart(l)
	return l, nil
}

func (g *gatherer) setStart(l *Log) {
	switch {
	case g.started != nil:
		g.resolve(&g.started.when)
		l.Start = g.timeOf(&g.started.when)
	case !g.options.Built.IsZero():
		l.Start = g.options.Built
	case !l.Dated:
		l.Start = DayZero()
	case len(l.Readings) > 0:
		l.Start = l.Readings[0].Time
	}
}

// resolveAll gives every record its moment and its unit.
func (g *gatherer) resolveAll(unit byte) {
	flag := uint8(inCelsius)
	if unit == 'F' {
		flag = inFahrenheit
	}
	for _, chunk := range g.chunks {
		for i := range chunk {
			r := &chunk[i]
			if r.flags&(inCelsius|inFahrenheit) == 0 {
				r.flags |= flag
			}
			g.resolve(r)
		}
	}
}

// resolve turns the clock on the wall into a moment.
func (g *gatherer) resolve(r *record) {
	if r.flags&ambiguousDate != 0 && g.order == monthFirst {
		day := floorDiv(r.ms, msPerDay)
		r.ms += (swapDay(day) - day) * msPerDay
	}
	r.flags &^= ambiguousDate
	switch {
	case g.numbered > 0:
		zero := g.options.Built
		if zero.IsZero() {
			zero = DayZero()
		}
		r.ms += zero.UnixMilli()
	case r.zone != 0:
		r.ms -= int64(int(r.zone)-zoneMiddle) * zoneStep * msPerMinute
	case g.options.Zone != nil:
		t := time.UnixMilli(r.ms).UTC()
		r.ms = time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), g.options.Zone).UnixMilli()
	}
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// timeOf gives the time of a record that is resolved.
func (g *gatherer) timeOf(r *record) time.Time {
	t := time.UnixMilli(r.ms)
	switch {
	case g.options.Zone != nil:
		return t.In(g.options.Zone)
	case g.numbered > 0 && !g.options.Built.IsZero():
		return t.In(g.options.Built.Location())
	case r.zone > 0 && r.zone != zoneMiddle:
		return t.In(zoneOf(int(r.zone)))
	}
	return t.UTC()
}

// zoneOf gives the location of an offset.
func zoneOf(index int) *time.Location {
	minutes := (index - zoneMiddle) * zoneStep
	sign, size := '+', minutes
	if minutes < 0 {
		sign, size = '-', -minutes
	}
	return time.FixedZone(fmt.Sprintf("%c%02d:%02d", sign, size/60, size%60), minutes*60)
}

// series gives the records of each probe, in order of the file.
func (g *gatherer) series() [][]uint32 {
	out := make([][]uint32, len(g.probes))
	for i, p := range g.probes {
		out[i] = make([]uint32, 0, p.count)
	}
	index := uint32(0)
	for _, chunk := range g.chunks {
		for i := range chunk {
			out[chunk[i].probe] = append(out[chunk[i].probe], index)
			index++
		}
	}
	return out
}

// at gives a record by its place in the file.
func (g *gatherer) at(i uint32) *record { return &g.chunks[i/chunkSize][i%chunkSize] }

// celsiusOf is the temperature of a record in degrees C.
func celsiusOf(r *record) float64 {
	if r.flags&inFahrenheit != 0 {
		return toCelsius(r.value, 'F')
	}
	return r.value
}

// collect puts the readings into the log, in order of time.
func (g *gatherer) collect(l *Log, series [][]uint32) {
	readings, ambient := 0, 0
	for i, s := range series {
		if g.probes[i].ambient {
			ambient += len(s)
		} else {
			readings += len(s)
		}
	}
	l.Readings, l.Ambient = make([]Reading, 0, readings), make([]Reading, 0, ambient)
	fahrenheit := 0
	zones := map[uint8]*time.Location{}
	for i, s := range series {
		into := &l.Readings
		if g.probes[i].ambient {
			into = &l.Ambient
		}
		for _, at := range s {
			r := g.at(at)
			t := time.UnixMilli(r.ms).UTC()
			if g.options.Zone != nil || g.numbered > 0 {
				t = g.timeOf(r)
			} else if r.zone > 0 && r.zone != zoneMiddle {
				if zones[r.zone] == nil {
					zones[r.zone] = zoneOf(int(r.zone))
				}
				t = t.In(zones[r.zone])
			}
			unit := "C"
			if r.flags&inFahrenheit != 0 {
				unit = "F"
				fahrenheit++
			}
			*into = append(*into, Reading{Time: t, Probe: g.probes[i].name, Celsius: celsiusOf(r), Entered: r.value, Unit: unit, Line: int(r.line)})
		}
	}
	l.Unit = "C"
	if 2*fahrenheit > readings+ambient {
		l.Unit = "F"
	}
	byTime := func(a, b Reading) int { return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.Line, b.Line)) }
	if len(series) > 1 {
		slices.SortStableFunc(l.Readings, byTime)
		slices.SortStableFunc(l.Ambient, byTime)
	}
}

// words tells of a reading in a doubt.
func (g *gatherer) words(r *record) string {
	t := g.timeOf(r)
	when := t.Format(time.DateOnly)
	if r.flags&withoutClock == 0 {
		when = t.Format("2006-01-02 15:04")
	}
	if g.numbered > 0 && g.options.Built.IsZero() {
		when = "day " + strconv.FormatFloat(t.Sub(DayZero()).Hours()/24, 'f', -1, 64)
	}
	unit := "C"
	if r.flags&inFahrenheit != 0 {
		unit = "F"
	}
	name := g.probes[r.probe].name
	if g.probes[r.probe].ambient {
		name = strings.TrimSpace("air " + name)
	}
	return shorten(strings.TrimSpace(fmt.Sprintf("%s %s %s %s", when, name, strconv.FormatFloat(r.value, 'f', -1, 64), unit)))
}
