package report

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// grid lays out rows of cells in columns: the first flush left, the others
// flush right, two spaces apart.
type grid struct{ rows [][]string }

func (g *grid) add(cells ...string) { g.rows = append(g.rows, cells) }

// lines returns the rows, each behind the indent.
func (g *grid) lines(indent string) []string {
	var widths []int
	for _, row := range g.rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	out := make([]string, len(g.rows))
	for r, row := range g.rows {
		var b strings.Builder
		b.WriteString(indent)
		for i, cell := range row {
			space := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i == 0 {
				b.WriteString(cell + space)
			} else {
				b.WriteString("  " + space + cell)
			}
		}
		out[r] = strings.TrimRight(b.String(), " ")
	}
	return out
}

// width is the most characters of a line of text.
const width = 80

// wrap breaks text into lines that begin with first, then with rest. A unit
// stays with its number.
func wrap(text, first, rest string) []string {
	var lines []string
	line, empty := first, true
	for _, word := range glued(strings.Fields(text)) {
		switch {
		case empty:
			line += word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = rest + word
		}
		empty = false
	}
	return append(lines, line)
}

// glued joins each unit to the number before it.
func glued(words []string) []string {
	var out []string
	for _, w := range words {
		bare := strings.TrimRight(w, ".,;:)")
		if n := len(out); n > 0 && slices.Contains([]string{"%", "kg", "m3", "L", "lb", "ft3", "yd3", "kg/m3"}, bare) {
			out[n-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}
