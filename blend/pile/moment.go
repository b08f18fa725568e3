package pile

import (
	"bytes"
	"math"
	"strings"
	"time"
)

// dateOrder says which of day and month comes first in 11/03/2026.
type dateOrder uint8

const (
	anyOrder dateOrder = iota
	dayFirst
	monthFirst
)

func (o dateOrder) String() string {
	if o == monthFirst {
		return "the month first"
	}
	return "the day first"
}

// moment is a date, a time of day, or both, or a number of days, as one cell
// says it.
type moment struct {
	hasDate, hasClock, hasZone, hasNumber bool

	day       int64     // days since 1970-01-01, by the calendar
	swapped   int64     // the same with day and month swapped, where ambiguous
	ambiguous bool      // it could be read with the day or the month first
	shows     dateOrder // the order that this date settles, for one with a 13 to 31 in it
	clock     int64     // ms since midnight
	zone      int       // minutes east of Greenwich
	number    float64   // days
}

const (
	msPerSecond = int64(1000)
	msPerMinute = 60 * msPerSecond
	msPerHour   = 60 * msPerMinute
	msPerDay    = 24 * msPerHour
)

// What is wrong with a cell that should say when.
const (
	badDate  = "this is not a date or time that is understood"
	noSuch   = "there is no such date"
	noYear   = "the year is missing"
	badClock = "this is not a time of day"
	badZone  = "this time zone has no single meaning"
)

// hintFor says what to write instead.
func hintFor(problem string) string {
	switch problem {
	case badZone:
		return "write the offset, as in 2026-11-03 14:00 +01:00"
	case badClock:
		return "write times as in 14:00 or 2:00 pm"
	}
	return "write dates as in 2026-11-03 or 3 Nov 2026, and days since the start as in day 3"
}

// parseMoment reads the text of a cell. The problem is "" when it is
// understood. Known are: 2026-11-03 and 2026/11/03; 03.11.2026; 3/11/2026 and
// 11/03/2026, 3-11-2026; 3/11/26; 20261103; 3 Nov 2026, Nov 3 2026, 3-Nov-26;
// a weekday in front; each with a time of day and an offset behind it; the
// seconds or ms since 1970 that some loggers write (10 or 13 digits); "day 3".
func parseMoment(s []byte) (moment, string) {
	s = bytes.TrimSpace(s)
	var m moment
	rest, ok, problem := m.numericDate(s)
	if problem != "" {
		return m, problem
	}
	if !ok {
		if rest, ok, problem = m.namedDate(s); problem != "" {
			return m, problem
		}
	}
	if !ok {
		return wordyMoment(string(s))
	}
	rest = trimJoin(rest)
	if len(rest) == 0 {
		return m, ""
	}
	return m, m.parseClock(rest)
}

// trimJoin drops what stands between a date and a time.
func trimJoin(s []byte) []byte {
	for len(s) > 0 && (s[0] == ' ' || s[0] == ',' || s[0] == 'T' || s[0] == 't' && len(s) > 1 && isDigit(s[1])) {
		s = s[1:]
	}
	return s
}

// numericDate reads three numbers with /, - or . between them.
func (m *moment) numericDate(s []byte) (rest []byte, ok bool, problem string) {
	a, na := leadingInt(s)
	if na == 0 || na > 4 || na >= len(s) {
		return s, false, ""
	}
	sep := s[na]
	if sep != '-' && sep != '/' && sep != '.' {
		return s, false, ""
	}
	b, nb := leadingInt(s[na+1:])
	at := na + 1 + nb
	if nb == 0 || nb > 2 || at >= len(s) || s[at] != sep {
		return s, false, ""
	}
	c, nc := leadingInt(s[at+1:])
	rest = s[at+1+nc:]
	if nc == 0 {
		if na <= 2 && len(bytes.TrimSpace(rest)) == 0 && sep == '.' {
			return s, false, noYear
		}
		return s, false, ""
	}
	if len(rest) > 0 && rest[0] == sep {
		return s, false, badDate
	}
	switch {
	case na == 4 && nc <= 2:
		return rest, true, m.setDate(a, b, c)
	case na <= 2 && (nc == 4 || nc == 2):
		if nc == 2 {
			c += 2000
		}
	default:
		return s, false, badDate
	}
	switch {
	case sep == '.':
		// Dots are written with the day first wherever they are written.
		return rest, true, m.setDate(c, b, a)
	case a > 12 && b > 12:
		return s, false, noSuch
	case a > 12:
		m.shows = dayFirst
		return rest, true, m.setDate(c, b, a)
	case b > 12:
		m.shows = monthFirst
		return rest, true, m.setDate(c, a, b)
	}
	if problem := m.setDate(c, a, b); problem != "" {
		return s, false, problem
	}
	m.swapped, m.ambiguous = m.day, a != b
	return rest, true, m.setDate(c, b, a)
}

// namedDate reads the commonest form with a month in letters, 3 Nov 2026 or
// 3-Nov-2026, without a detour; namedMonth knows the others.
func (m *moment) namedDate(s []byte) (rest []byte, ok bool, problem string) {
	day, n := leadingInt(s)
	if n == 0 || n > 2 || n+5 >= len(s) || s[n] != ' ' && s[n] != '-' {
		return s, false, ""
	}
	end := n + 1
	for end < len(s) && s[end]|0x20 >= 'a' && s[end]|0x20 <= 'z' {
		end++
	}
	month := monthOf(s[n+1 : end])
	if month == 0 || end >= len(s) || s[end] != s[n] {
		return s, false, ""
	}
	year, digits := leadingInt(s[end+1:])
	if digits != 4 {
		return s, false, ""
	}
	return s[end+1+digits:], true, m.setDate(year, month, day)
}

// setDate checks and keeps a date.
func (m *moment) setDate(year, month, day int) string {
	if year < 1900 || year > 2200 || month < 1 || month > 12 || day < 1 || day > daysIn(year, month) {
		return noSuch
	}
	m.hasDate, m.day = true, civilDay(year, month, day)
	return ""
}

// parseClock reads a time of day and the offset behind it: 14:00, 14:00:05.25,
// 2:00 pm, 2pm, 14h00, noon; Z, +01:00, UTC.
func (m *moment) parseClock(s []byte) string {
	s = bytes.TrimSpace(s)
	hour, n := leadingInt(s)
	if n == 0 || n > 2 {
		return m.wordyClock(s)
	}
	s = s[n:]
	var minute, second int
	var ms int64
	plain := true // a bare hour so far
	if len(s) > 1 && (s[0] == ':' || s[0] == '.' || s[0] == 'h' || s[0] == 'H') && isDigit(s[1]) {
		plain = false
		if minute, n = leadingInt(s[1:]); n != 2 {
			return badClock
		}
		s = s[1+n:]
		if len(s) > 1 && (s[0] == ':' || s[0] == '.') && isDigit(s[1]) {
			if second, n = leadingInt(s[1:]); n != 2 {
				return badClock
			}
			s = s[1+n:]
			if len(s) > 1 && (s[0] == '.' || s[0] == ',') && isDigit(s[1]) {
				s = s[1:]
				for scale := int64(100); len(s) > 0 && isDigit(s[0]); s = s[1:] {
					ms += int64(s[0]-'0') * scale
					scale /= 10
				}
			}
		}
	} else if len(s) > 0 && (s[0] == 'h' || s[0] == 'H') {
		plain, s = false, s[1:]
	}
	if rest, half := halfOfDay(s); half != 0 {
		if hour < 1 || hour > 12 {
			return badClock
		}
		hour %= 12
		if half == 'p' {
			hour += 12
		}
		plain, s = false, rest
	}
	if hour == 24 && minute == 0 && second == 0 {
		// The end of the day is the start of the next.
		m.day, m.swapped, hour = m.day+1, m.swapped+1, 0
		if !m.hasDate || m.ambiguous {
			return badClock
		}
	}
	if plain && len(bytes.TrimSpace(s)) > 0 || hour > 23 || minute > 59 || second > 59 {
		return badClock
	}
	m.hasClock = true
	m.clock = int64(hour)*msPerHour + int64(minute)*msPerMinute + int64(second)*msPerSecond + ms
	return m.parseZone(s)
}

// wordyClock reads the times of day that are written in words or without a
// colon.
func (m *moment) wordyClock(s []byte) string {
	switch strings.ToLower(string(s)) {
	case "noon", "midday":
		m.hasClock, m.clock = true, 12*msPerHour
		return ""
	case "midnight":
		m.hasClock, m.clock = true, 0
		return ""
	}
	if v, n := leadingInt(s); n == 4 && n == len(s) && v/100 < 24 && v%100 < 60 {
		m.hasClock, m.clock = true, int64(v/100)*msPerHour+int64(v%100)*msPerMinute
		return ""
	}
	return badClock
}

// halfOfDay takes am or pm off the front; half is 'a', 'p' or 0.
func halfOfDay(s []byte) (rest []byte, half byte) {
	s = bytes.TrimLeft(s, " ")
	if len(s) < 2 || s[0]|0x20 != 'a' && s[0]|0x20 != 'p' {
		return s, 0
	}
	half = s[0] | 0x20
	s = bytes.TrimPrefix(s[1:], []byte("."))
	if len(s) == 0 || s[0]|0x20 != 'm' {
		return s, 0
	}
	return bytes.TrimPrefix(s[1:], []byte(".")), half
}

// parseZone reads an offset from Greenwich, or nothing.
func (m *moment) parseZone(s []byte) string {
	s = bytes.TrimSpace(s)
	if len(s) >= 3 && (bytes.EqualFold(s[:3], []byte("utc")) || bytes.EqualFold(s[:3], []byte("gmt"))) {
		m.hasZone = true
		s = bytes.TrimSpace(s[3:])
	}
	if len(s) == 1 && s[0]|0x20 == 'z' {
		m.hasZone, s = true, nil
	}
	if len(s) == 0 {
		return ""
	}
	if s[0] != '+' && s[0] != '-' {
		return badZone
	}
	hour, n := leadingInt(s[1:])
	rest := s[1+n:]
	minute := 0
	switch {
	case n == 4 && len(rest) == 0:
		hour, minute = hour/100, hour%100
	case n == 1 || n == 2:
		if len(rest) == 3 && rest[0] == ':' {
			minute, n = leadingInt(rest[1:])
			if n != 2 {
				return badZone
			}
		} else if len(rest) > 0 {
			return badZone
		}
	default:
		return badZone
	}
	m.zone = hour*60 + minute
	if s[0] == '-' {
		m.zone = -m.zone
	}
	m.hasZone = true
	if minute > 59 || hour > 14 || m.zone%zoneStep != 0 {
		return badZone
	}
	return ""
}

// zoneStep is the smallest difference between time zones in use, in minutes.
const zoneStep = 15

// wordyMoment reads what has month names, or no separators at all.
func wordyMoment(text string) (moment, string) {
	var m moment
	if v, ok := dayNumber(text); ok {
		m.hasNumber, m.number = true, v
		return m, ""
	}
	if digits, n := leadingInt64(text); n == len(text) {
		switch n {
		case 8:
			return m, m.setDate(int(digits/10000), int(digits/100%100), int(digits%100))
		case 10, 13:
			if n == 10 {
				digits *= msPerSecond
			}
			m.hasDate, m.hasClock, m.hasZone = true, true, true
			m.day, m.clock = digits/msPerDay, digits%msPerDay
			return m, ""
		}
		return m, badDate
	}
	if digits, n := leadingInt64(text); n == 8 && (text[8]|0x20 == 't' || text[8] == ' ') {
		if problem := m.setDate(int(digits/10000), int(digits/100%100), int(digits%100)); problem != "" {
			return m, problem
		}
		if clock := text[9:]; strings.ContainsAny(clock, ":.hHpPaA") {
			return m, m.parseClock([]byte(clock))
		}
		return m, m.basicClock(text[9:])
	}
	return namedMonth(text)
}

// basicClock reads the time of day of 20261103T140005Z.
func (m *moment) basicClock(text string) string {
	digits, n := leadingInt64(text)
	switch n {
	case 4:
		digits *= 100
	case 6:
	default:
		return badClock
	}
	hour, minute, second := digits/10000, digits/100%100, digits%100
	if hour > 23 || minute > 59 || second > 59 {
		return badClock
	}
	m.hasClock, m.clock = true, hour*msPerHour+minute*msPerMinute+second*msPerSecond
	return m.parseZone([]byte(text[n:]))
}

// dayNumber reads "day 3", "d3" and "day 3.5".
func dayNumber(text string) (float64, bool) {
	lower := strings.ToLower(text)
	rest, ok := strings.CutPrefix(lower, "day")
	if !ok {
		if rest, ok = strings.CutPrefix(lower, "d"); !ok {
			return 0, false
		}
	}
	v, rest2, ok := leadingFloat([]byte(strings.TrimLeft(rest, " .:")))
	return v, ok && len(rest2) == 0 && v >= 0 && v <= mostDays
}

// mostDays bounds a day number; more is a slip, or a date in disguise.
const mostDays = 5000

// namedMonth reads dates with the name of the month.
func namedMonth(text string) (moment, string) {
	var m moment
	const most = 64
	if len(text) > most {
		return m, badDate
	}
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' || r == '\t' })
	if len(words) > 0 && isWeekday(words[0]) {
		words = words[1:]
		if len(words) > 0 && isDigit(words[0][0]) && strings.ContainsAny(words[0], "/-.") {
			return parseMoment([]byte(strings.Join(words, " ")))
		}
	}
	if len(words) == 0 {
		return m, badDate
	}
	// 3-Nov-26 and 3.Nov.2026 are three words in one.
	var parts []string
	used := 0
	for _, w := range words {
		if strings.Contains(w, ":") || len(parts) >= 3 {
			break
		}
		used++
		parts = append(parts, strings.FieldsFunc(w, func(r rune) bool { return r == '-' || r == '/' || r == '.' })...)
	}
	var day, year, month int
	for _, p := range parts {
		v, n := leadingInt([]byte(p))
		tail := p[n:]
		switch {
		case n == 0 && month == 0 && monthOf(p) > 0:
			month = monthOf(p)
		case n == 4 && tail == "" && year == 0:
			year = v
		case n == 2 && tail == "" && day > 0 && year == 0 && month > 0:
			year = 2000 + v
		case (n == 1 || n == 2) && day == 0 && (tail == "" || tail == "st" || tail == "nd" || tail == "rd" || tail == "th"):
			day = v
		default:
			return m, badDate
		}
	}
	switch {
	case month == 0 || day == 0:
		return m, badDate
	case year == 0:
		return m, noYear
	}
	if problem := m.setDate(year, month, day); problem != "" || used == len(words) {
		return m, problem
	}
	return m, m.parseClock([]byte(strings.Join(words[used:], " ")))
}

// monthOf gives 1 to 12 for the name of a month or its first three letters or
// more, else 0.
func monthOf[T []byte | string](word T) int {
	const names = "january  february march    april    may      june     july     august   septemberoctober  november december "
	const width = 9
	if len(word) < 3 || len(word) > width {
		return 0
	}
month:
	for at := 0; at < len(names); at += width {
		for i := range len(word) {
			if word[i]|0x20 != names[at+i] || names[at+i] == ' ' {
				continue month
			}
		}
		return at/width + 1
	}
	return 0
}

func isWeekday(word string) bool {
	if len(word) < 3 {
		return false
	}
	for day := time.Sunday; day <= time.Saturday; day++ {
		if strings.HasPrefix(strings.ToLower(day.String()), strings.TrimSuffix(word, ".")) {
			return true
		}
	}
	return false
}

// civilDay counts the days from 1970-01-01 in the Gregorian calendar, from the
// lengths of 400-year cycles, with the year begun in March.
func civilDay(year, month, day int) int64 {
	if month <= 2 {
		year--
	}
	era := year / 400
	ofEra := year - era*400
	ofYear := (153*((month+9)%12)+2)/5 + day - 1
	return int64(era*146097 + ofEra*365 + ofEra/4 - ofEra/100 + ofYear - 719468)
}

func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// swapDay gives the day that a day of the calendar becomes when its month and
// day of the month are swapped; both are at most 12.
func swapDay(day int64) int64 {
	y, m, d := time.Unix(day*msPerDay/1000, 0).UTC().Date()
	return civilDay(y, d, int(m))
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// leadingInt reads digits off the front, at most nine.
func leadingInt(s []byte) (value, digits int) {
	for digits < len(s) && digits < 9 && isDigit(s[digits]) {
		value = 10*value + int(s[digits]-'0')
		digits++
	}
	return value, digits
}

// leadingInt64 reads digits off the front, at most 18.
func leadingInt64(s string) (value int64, digits int) {
	for digits < len(s) && digits < 18 && isDigit(s[digits]) {
		value = 10*value + int64(s[digits]-'0')
		digits++
	}
	return value, digits
}

// leadingFloat reads a number with a decimal point or comma off the front.
func leadingFloat(s []byte) (value float64, rest []byte, ok bool) {
	negative := false
	switch {
	case len(s) > 0 && (s[0] == '-' || s[0] == '+'):
		negative, s = s[0] == '-', s[1:]
	case bytes.HasPrefix(s, []byte("−")):
		negative, s = true, s[len("−"):]
	}
	// Up to 15 digits and 15 decimals the quotient of two exact numbers is
	// the nearest to what is written.
	var digits int64
	count, decimals, point := 0, 0, false
	i := 0
	for ; i < len(s); i++ {
		switch c := s[i]; {
		case isDigit(c):
			if count == 15 {
				if !point {
					return 0, s, false
				}
				continue // decimals that no thermometer has
			}
			digits = 10*digits + int64(c-'0')
			if digits > 0 {
				count++
			}
			if point {
				decimals++
			}
			ok = true
			if decimals > 15 {
				return 0, s, false
			}
			continue
		case (c == '.' || c == ',') && !point:
			point = true
			continue
		}
		break
	}
	value = float64(digits) / math.Pow10(decimals)
	if negative {
		value = -value
	}
	return value, s[i:], ok
}
