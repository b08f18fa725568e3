package picture

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"heapwright/blend/pile"
)

const (
	columns = 66 // of the curve, so that a line stays under 80
	rows    = 16 // at the most
)

// Terminal draws the curve in characters, in lines of at most 80.
func Terminal(c *Curve) []string {
	days := c.Course.Days
	per := (len(days) + columns - 1) / columns // days to a column
	wide := (len(days) + per - 1) / per
	each := 1 // columns to a day, where there are few
	if per == 1 {
		each = min(4, columns/len(days))
		wide *= each
	}
	column := func(i int) int { return i / per * each }
	s := c.scale()
	s.step = s.step / 2
	for (s.high-s.low)/s.step+1 > rows {
		s.step *= 2
	}
	tall := int(math.Round((s.high-s.low)/s.step)) + 1
	field := make([][]rune, tall)
	for r := range field {
		field[r] = slices.Repeat([]rune{' '}, wide)
	}
	// A row holds what lies from its figure up to the next, so that what is drawn
	// on or above the line of a threshold has reached it.
	row := func(v float64) int { return tall - 1 - int(math.Floor((v-s.low)/s.step+1e-9)) }
	asked := map[int]string{}
	for _, r := range c.Rules {
		if at := row(c.shown(r.From.Celsius)); r.From.Celsius > 0 && at >= 0 && at < tall {
			asked[at] = c.Course.Log.Limit(r.From)
			for i := range field[at] {
				field[at][i] = '-'
			}
		}
	}
	put := func(col int, v float64, mark rune) {
		if at := row(v); at >= 0 && at < tall {
			field[at][col] = mark
		}
	}
	turns, events, phases := slices.Repeat([]rune{' '}, wide), slices.Repeat([]rune{' '}, wide), slices.Repeat([]rune{' '}, wide)
	// The hottest are drawn last, so that nothing hides them.
	for i, d := range days {
		if air, ok := d.AirMean(); ok {
			put(column(i), c.shown(air), 'a')
		}
	}
	for i, d := range days {
		if low, ok := d.Low(); ok {
			put(column(i), c.shown(low.Celsius), '.')
		}
	}
	for i, d := range days {
		if high, ok := d.High(); ok {
			put(column(i), c.shown(high.Celsius), 'o')
		}
		if len(d.Turnings) > 0 {
			turns[column(i)] = 'T'
		}
		for _, e := range d.Events {
			if name := letter(e.Kind); name != "" {
				events[column(i)] = rune(name[0])
			}
		}
	}
	for _, p := range c.Course.Phases {
		from, to := column(p.From.Number-days[0].Number), column(p.To.Number-days[0].Number)+each
		name := p.Kind.String()
		for k := from; k < to; k++ {
			phases[k] = '='
			if k == from {
				phases[k] = '|'
			} else if at := k - from - 1; at < len(name) && to-from > len(name)+1 {
				phases[k] = rune(name[at])
			}
		}
	}
	var lines []string
	for r := range field {
		name := fmt.Sprintf("%g", s.high-float64(r)*s.step)
		lines = append(lines, strings.TrimRight(fmt.Sprintf("  %6s %s", name, string(field[r])), " "))
		if text, ok := asked[r]; ok {
			lines[r] += " " + text
		}
	}
	under := func(name string, marks []rune) {
		if text := strings.TrimRight(string(marks), " "); text != "" {
			lines = append(lines, fmt.Sprintf("  %6s %s", name, text))
		}
	}
	under("", phases)
	under("turned", turns)
	under("", events)
	lines = append(lines, "         "+c.feet(wide, column))
	key := []string{"  o hottest reading of a day, . lowest"}
	if slices.ContainsFunc(days, func(d pile.Day) bool { return len(d.Air) > 0 }) {
		key[0] += ", a air"
	}
	key = append(key, fmt.Sprintf("  a row holds %g %s from its figure upwards", s.step, c.unit()))
	if w := c.eventWords(); w != "" {
		key = append(key, "  "+w)
	}
	if per > 1 {
		key = append(key, fmt.Sprintf("  %d days to a column", per))
	}
	return append(lines, key...)
}

// feet writes days under their columns.
func (c *Curve) feet(wide int, column func(int) int) string {
	line := slices.Repeat([]rune{' '}, wide+8)
	free := 0
	for i, d := range c.Course.Days {
		name := fmt.Sprint(d.Number)
		if c.Course.Log.Dated {
			name = d.Date.Format("2 Jan")
		}
		at := column(i)
		if at < free || at+len(name) > len(line) || at > free && at < free+6 && i > 0 {
			continue
		}
		copy(line[at:], []rune(name))
		free = at + len(name) + 3
	}
	return strings.TrimRight(string(line), " ")
}
