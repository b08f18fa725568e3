package pile

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// written makes a log from a compact notation, one word a day from 1 May: the
// readings of the probes with "/" between them, at eight o'clock; "-" for none;
// then "t" for a turning at noon ("tt" for two), "w" watered, "r" rain, "a"
// added, and "@20" for the air. The word "5x60" stands for five days of "60".
func written(unit, days string) *Log {
	return writtenFrom(time.Date(2026, 5, 1, 8, 0, 0, 0, time.UTC), unit, days)
}

func writtenFrom(start time.Time, unit, days string) *Log {
	l := &Log{Name: "test", Start: start.Truncate(24 * time.Hour), Dated: true, Unit: unit}
	day := 0
	for word := range strings.FieldsSeq(days) {
		times := 1
		if n, rest, ok := strings.Cut(word, "x"); ok {
			times, _ = strconv.Atoi(n)
			word = rest
		}
		for range times {
			l.writeDay(start.AddDate(0, 0, day), word)
			day++
		}
	}
	return l
}

func (l *Log) writeDay(at time.Time, word string) {
	word, air, hasAir := strings.Cut(word, "@")
	if hasAir {
		l.Ambient = append(l.Ambient, asEntered(at, "", air, l.Unit))
	}
	marks := strings.TrimLeft(word, "0123456789./-")
	word = strings.TrimSuffix(word, marks)
	if word != "-" {
		for i, text := range strings.Split(word, "/") {
			probe := ""
			if strings.Contains(word, "/") {
				probe = []string{"core", "edge", "base"}[i]
			}
			l.Readings = append(l.Readings, asEntered(at, probe, text, l.Unit))
		}
	}
	for i, mark := range marks {
		e := Event{Time: at.Add(time.Duration(4+i) * time.Hour), Litres: math.NaN()}
		e.Kind = map[rune]EventKind{'t': Turned, 'w': Watered, 'r': Rained, 'a': Added}[mark]
		if e.Kind == 0 {
			panic("no such mark: " + string(mark))
		}
		l.Events = append(l.Events, e)
	}
}

func asEntered(at time.Time, probe, text, unit string) Reading {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(err)
	}
	r := Reading{Time: at, Probe: probe, Celsius: v, Entered: v, Unit: unit}
	if unit == "F" {
		r.Celsius = (v - 32) * 5 / 9
	}
	return r
}

// rule finds one rule.
func rule(key string) Rule {
	found := FindRules(key)
	if len(found) != 1 {
		panic("no single rule " + key)
	}
	return found[0]
}
