package report

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"heapwright/blend/season"
)

// ICalendar writes what is to be done, one all-day event each on the first day
// of its week, in the form of RFC 5545. Sowing takes all the days of its window.
func ICalendar(w io.Writer, p *season.Plan) error {
	s := p.Season
	var b strings.Builder
	line := func(name, value string) {
		b.WriteString(folded(name + ":" + value))
	}
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//heapwright//season//EN")
	stamp := s.Date(firstWeek(p)).Format("20060102T150405Z")
	for n, e := range p.Events() {
		if e.Kind == season.Comes || e.Kind == season.Spoil {
			continue
		}
		d, last := s.Date(e.Week), s.Date(e.Week)
		if e.Kind == season.Sow {
			d, last = e.First, e.Last
		}
		line("BEGIN", "VEVENT")
		line("UID", fmt.Sprintf("%s-%s-%d@heapwright.invalid", d.Format("20060102"), e.Kind, n))
		line("DTSTAMP", stamp)
		line("DTSTART;VALUE=DATE", d.Format("20060102"))
		line("DTEND;VALUE=DATE", last.AddDate(0, 0, 1).Format("20060102"))
		line("SUMMARY", escapedText(sentence(eventSummary(e))))
		line("DESCRIPTION", escapedText(sentence(eventWords(p, e, Options{}))))
		line("TRANSP", "TRANSPARENT")
		line("END", "VEVENT")
	}
	line("END", "VCALENDAR")
	_, err := io.WriteString(w, b.String())
	return err
}

// eventSummary is the short form of an event.
func eventSummary(e season.Event) string {
	switch e.Kind {
	case season.Order:
		return "order " + e.Name
	case season.Ready:
		return "compost ready from bay " + e.Name
	case season.Move:
		return "empty bay " + e.Name
	case season.Build:
		return "build a batch in bay " + e.Name
	case season.Spread:
		if e.GoesWithout() {
			return "no compost for " + e.Name
		}
		return "spread compost on " + e.Name
	case season.Sow:
		return "sow " + e.Name
	case season.Cut:
		return "cut " + e.Name
	}
	if e.GoesWithout() {
		return "no cover for " + e.Name
	}
	return "lay the cover of " + e.Name
}

// escapedText escapes a text value (RFC 5545, 3.3.11).
func escapedText(s string) string {
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\r\n", `\n`, "\n", `\n`, "\r", `\n`).Replace(s)
}

// folded ends a line with CRLF, and breaks one of more than 75 octets with a
// space at the head of what follows (RFC 5545, 3.1), never within a character.
func folded(s string) string {
	const most = 75
	var b strings.Builder
	room := most
	for _, r := range s {
		size := utf8.RuneLen(r)
		if size < 0 {
			r, size = utf8.RuneError, 3
		}
		if size > room {
			b.WriteString("\r\n ")
			room = most - 1
		}
		b.WriteRune(r)
		room -= size
	}
	b.WriteString("\r\n")
	return b.String()
}
