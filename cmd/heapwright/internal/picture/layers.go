package picture

import (
	"fmt"
	"image/color"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"heapwright/blend/pile"
)

// phaseBands shades the phases, lighter and darker in turn, and names them.
type phaseBands struct {
	*Curve
	scale scale
}

// Plot implements plot.Plotter.
func (b *phaseBands) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	first := b.Course.Days[0].Number
	edge := draw.LineStyle{Color: color.Gray{120}, Width: vg.Points(0.6)}
	for i, phase := range b.Course.Phases {
		from, to := x(float64(phase.From.Number-first)), x(float64(phase.To.Number-first+1))
		if phase.Kind == pile.Hot || phase.Kind == pile.Curing {
			c.FillPolygon(color.Gray{240}, []vg.Point{{X: from, Y: c.Min.Y}, {X: to, Y: c.Min.Y}, {X: to, Y: c.Max.Y}, {X: from, Y: c.Max.Y}})
		}
		if i > 0 {
			c.StrokeLine2(edge, from, c.Min.Y, from, c.Max.Y)
		}
		style := words(9.5, draw.XCenter, draw.YCenter)
		name := phase.Kind.String()
		if style.Width(name) > to-from-vg.Points(3) {
			name = name[:3] // a narrow phase keeps its first letters
			style.Font.Size = vg.Points(7.5)
			if style.Width(name) > to-from {
				continue
			}
		}
		c.FillText(style, vg.Point{X: (from + to) / 2, Y: (y(b.scale.high) + c.Max.Y) / 2}, name)
	}
	grid := draw.LineStyle{Color: color.Gray{205}, Width: vg.Points(0.4)}
	for _, t := range b.scale.ticks() {
		c.StrokeLine2(grid, c.Min.X, y(t.Value), c.Max.X, y(t.Value))
	}
}

// thresholds draws the temperature that each rule asks for, and its ceiling
// where that is in the picture.
type thresholds struct {
	*Curve
	scale scale
}

// Plot implements plot.Plotter.
func (t *thresholds) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	drawn := map[string]bool{}
	level := func(l pile.Limit) {
		name := t.Course.Log.Limit(l)
		v := l.Celsius
		if t.Course.Log.Unit == "F" {
			v = l.Fahrenheit
		}
		if (l == pile.Limit{}) || drawn[name] || v > t.scale.high || v < t.scale.low {
			return
		}
		drawn[name] = true
		c.StrokeLine2(thresholdStyle(), c.Min.X, y(v), c.Max.X, y(v))
		// A pile begins cold, so there is room at the left.
		style := words(8.5, draw.XLeft, draw.YBottom)
		at := vg.Point{X: x(p.X.Min) + vg.Points(3), Y: y(v) + vg.Points(1.5)}
		box := style.Rectangle(name).Add(at)
		c.FillPolygon(color.White, []vg.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}})
		c.FillText(style, at, name)
	}
	for _, r := range t.Rules {
		level(r.From)
		level(r.Ceiling)
	}
}

// marks are the lanes under the curves: what was done to the pile, and when.
type marks struct {
	*Curve
	scale scale
}

// Plot implements plot.Plotter.
func (m *marks) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	lane := (y(m.scale.low) - c.Min.Y) / 2
	c.StrokeLine2(draw.LineStyle{Color: color.Gray{120}, Width: vg.Points(0.6)}, c.Min.X, y(m.scale.low), c.Max.X, y(m.scale.low))
	for i, d := range m.Course.Days {
		at := x(float64(i) + 0.5)
		if len(d.Turnings) > 0 {
			c.StrokeLine2(draw.LineStyle{Color: color.Gray{110}, Width: vg.Points(0.6), Dashes: []vg.Length{vg.Points(3), vg.Points(2)}}, at, c.Min.Y+1.5*lane, at, y(m.scale.high))
			c.DrawGlyph(turnedGlyph(), vg.Point{X: at, Y: c.Min.Y + 1.5*lane})
		}
		letters := ""
		for _, e := range d.Events {
			if s := letter(e.Kind); s != "" && !strings.Contains(letters, s) {
				letters += s
			}
		}
		if letters != "" {
			c.FillText(words(8.5, draw.XCenter, draw.YCenter), vg.Point{X: at, Y: c.Min.Y + 0.55*lane}, letters)
		}
	}
}

func turnedGlyph() draw.GlyphStyle {
	return draw.GlyphStyle{Color: color.Black, Radius: vg.Points(3.2), Shape: draw.PyramidGlyph{}}
}

// letter stands for an event under the curve.
func letter(k pile.EventKind) string {
	switch k {
	case pile.Watered:
		return "W"
	case pile.Added:
		return "A"
	case pile.Rained:
		return "R"
	}
	return ""
}

// eventWords names the letters that occur.
func (c *Curve) eventWords() string {
	seen := map[string]bool{}
	var out []string
	for _, d := range c.Course.Days {
		for _, e := range d.Events {
			if s := letter(e.Kind); s != "" && !seen[s] {
				seen[s] = true
				out = append(out, fmt.Sprintf("%s %s", s, map[string]string{"W": "watered", "A": "material added", "R": "rain"}[s]))
			}
		}
	}
	return strings.Join(out, ", ")
}

// legend explains the lines, in rows under the picture.
type legend struct{ entries []entry }

type entry struct {
	name string
	sample
}

func (l *legend) add(name string, s sample) { l.entries = append(l.entries, entry{name, s}) }

const (
	legendLine = 0.5 * vg.Centimeter
	sampleWide = 1.1 * vg.Centimeter
	entryGap   = 0.7 * vg.Centimeter
)

func (e entry) width() vg.Length {
	w := words(9, draw.XLeft, draw.YCenter).Width(e.name) + entryGap
	if e.line.Width > 0 || e.glyph.Shape != nil {
		w += sampleWide
	}
	return w
}

// rows breaks the entries to the width.
func (l *legend) rows(wide vg.Length) [][]entry {
	var rows [][]entry
	var used vg.Length
	for _, e := range l.entries {
		if len(rows) == 0 || used+e.width() > wide {
			rows, used = append(rows, nil), 0
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], e)
		used += e.width()
	}
	return rows
}

func (l *legend) draw(c draw.Canvas) {
	y := c.Max.Y - legendLine/2
	for _, row := range l.rows(c.Size().X) {
		x := c.Min.X
		for _, e := range row {
			from := x
			if e.patch != nil {
				high := vg.Points(4)
				box := []vg.Point{{X: x, Y: y - high}, {X: x + sampleWide - vg.Points(4), Y: y - high}, {X: x + sampleWide - vg.Points(4), Y: y + high}, {X: x, Y: y + high}}
				c.FillPolygon(e.patch, box)
				c.StrokeLines(e.line, append(box, box[0]))
			} else if e.line.Width > 0 {
				c.StrokeLine2(e.line, x, y, x+sampleWide-vg.Points(4), y)
			}
			if e.glyph.Shape != nil {
				c.DrawGlyph(e.glyph, vg.Point{X: x + (sampleWide-vg.Points(4))/2, Y: y})
			}
			if e.line.Width > 0 || e.glyph.Shape != nil {
				x += sampleWide
			}
			c.FillText(words(9, draw.XLeft, draw.YCenter), vg.Point{X: x, Y: y}, e.name)
			x = from + e.width()
		}
		y -= legendLine
	}
}
