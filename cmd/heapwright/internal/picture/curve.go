package picture

import (
	"fmt"
	"image/color"
	"io"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"heapwright/blend/pile"
)

// Curve is what to draw.
type Curve struct {
	Course *pile.Course
	Rules  []pile.Rule // whose thresholds are drawn; of equal ones one
	Title  string
}

const (
	// mostPoints is the most points of a line that are drawn; of more, the
	// lowest and highest of each stretch are.
	mostPoints = 2000
	// mostMarkers is the most markers on a line.
	mostMarkers = 45
)

// Write draws the curve to w.
func Write(w io.Writer, c *Curve, format Format) error {
	p, legend := c.plot()
	return paint(w, format, func(whole draw.Canvas) { layOut(whole, p, legend) })
}

// plot sets the curve up, and its legend.
func (c *Curve) plot() (*plot.Plot, *legend) {
	l := c.Course.Log
	p := plot.New()
	p.Title.Text = c.Title
	p.Title.TextStyle = words(12, draw.XCenter, draw.YTop)
	p.Title.Padding = 2 * vg.Millimeter
	p.Y.Label.Text = "temperature, " + l.Unit
	p.X.Label.Text = "day"
	days := c.Course.Days
	if l.Dated {
		p.X.Label.Text = "date, " + days[0].Date.Format("2006")
		if last := days[len(days)-1].Date; last.Year() != days[0].Date.Year() {
			p.X.Label.Text = fmt.Sprintf("date, %d to %d", days[0].Date.Year(), last.Year())
		}
	}
	axisWords(p)
	scale := c.scale()
	p.X.Min, p.X.Max = 0, float64(len(days))
	p.Y.Min, p.Y.Max = scale.bottom, scale.top
	p.X.Tick.Marker = plot.ConstantTicks(c.dayTicks())
	p.Y.Tick.Marker = plot.ConstantTicks(scale.ticks())
	key := &legend{}
	p.Add(&phaseBands{c, scale})
	p.Add(&thresholds{c, scale})
	c.addLines(p, key)
	p.Add(&marks{c, scale})
	if len(c.Rules) > 0 {
		name := "threshold"
		if r := c.Rules[0]; len(c.Rules) == 1 && r.Key != "" {
			name += " of " + r.Key
		}
		key.add(name, sample{line: thresholdStyle()})
	}
	if len(c.Course.Turnings) > 0 {
		key.add("turned", sample{glyph: turnedGlyph()})
	}
	if w := c.eventWords(); w != "" {
		key.add(w, sample{})
	}
	return p, key
}

// unit is that of the log: C, or F.
func (c *Curve) unit() string {
	if c.Course.Log.Unit == "F" {
		return "F"
	}
	return "C"
}

// shown turns C into the unit of the log.
func (c *Curve) shown(celsius float64) float64 {
	if c.Course.Log.Unit == "F" {
		return celsius*9/5 + 32
	}
	return celsius
}

// at is the place of a reading on the x axis, in days from the first midnight.
func (c *Curve) at(day int, r pile.Reading) float64 {
	l := c.Course.Log
	if !l.Dated {
		return float64(day) + math.Mod(r.Time.Sub(pile.DayZero()).Hours()/24, 1)
	}
	h, m, s := r.Time.Clock()
	if l.DateOnly {
		return float64(day) + 0.5
	}
	return float64(day) + (float64(h)+float64(m)/60+float64(s)/3600)/24
}

// line is a curve with its style.
type line struct {
	name   string
	points plotter.XYs
}

// lines gathers the readings by probe, in order of their names, and the air.
func (c *Curve) lines() (probes []line, air line) {
	byName := map[string]plotter.XYs{}
	var outside plotter.XYs
	for i, d := range c.Course.Days {
		for _, r := range d.Readings {
			byName[r.Probe] = append(byName[r.Probe], plotter.XY{X: c.at(i, r), Y: c.shown(r.Celsius)})
		}
		for _, r := range d.Air {
			outside = append(outside, plotter.XY{X: c.at(i, r), Y: c.shown(r.Celsius)})
		}
	}
	for name, points := range byName {
		if name == "" {
			name = "pile"
			if len(byName) > 1 {
				name = "probe not named"
			}
		}
		probes = append(probes, line{name, thin(points, float64(len(c.Course.Days)))})
	}
	slices.SortFunc(probes, func(a, b line) int { return strings.Compare(a.name, b.name) })
	return probes, line{"air", thin(outside, float64(len(c.Course.Days)))}
}

// thin keeps of each stretch of a long line the lowest and the highest point.
func thin(points plotter.XYs, days float64) plotter.XYs {
	if len(points) <= mostPoints {
		return points
	}
	stretch := days / (mostPoints / 2)
	var out plotter.XYs
	for from := 0; from < len(points); {
		to := from
		low, high := from, from
		for to < len(points) && math.Floor(points[to].X/stretch) == math.Floor(points[from].X/stretch) {
			if points[to].Y < points[low].Y {
				low = to
			}
			if points[to].Y > points[high].Y {
				high = to
			}
			to++
		}
		out = append(out, points[min(low, high)])
		if low != high {
			out = append(out, points[max(low, high)])
		}
		from = to
	}
	return out
}

// mostProbes is how many probes are told apart by style; of more, the lowest
// and highest of each day are drawn.
const mostProbes = 6

func (c *Curve) addLines(p *plot.Plot, key *legend) {
	probes, air := c.lines()
	if len(probes) > mostProbes {
		probes = c.extremes(len(probes))
	}
	for i, l := range probes {
		style := probeStyle(i)
		add(p, l.points, style)
		key.add(l.name, style)
	}
	if len(air.points) > 0 {
		style := sample{line: draw.LineStyle{Color: color.Gray{90}, Width: vg.Points(1), Dashes: []vg.Length{vg.Points(1), vg.Points(2.5)}}}
		add(p, air.points, style)
		key.add("air", style)
	}
}

// extremes are the lowest and highest readings of each day.
func (c *Curve) extremes(n int) []line {
	low, high := line{name: fmt.Sprintf("lowest of %d probes", n)}, line{name: fmt.Sprintf("highest of %d probes", n)}
	for i, d := range c.Course.Days {
		if r, ok := d.Low(); ok {
			low.points = append(low.points, plotter.XY{X: float64(i) + 0.5, Y: c.shown(r.Celsius)})
			r, _ = d.High()
			high.points = append(high.points, plotter.XY{X: float64(i) + 0.5, Y: c.shown(r.Celsius)})
		}
	}
	return []line{high, low}
}

// add draws a line with markers on some of its points.
func add(p *plot.Plot, points plotter.XYs, style sample) {
	curve, err := plotter.NewLine(points)
	if err != nil {
		return // no points
	}
	curve.LineStyle = style.line
	p.Add(curve)
	if style.glyph.Shape == nil {
		return
	}
	step := (len(points) + mostMarkers - 1) / mostMarkers
	var some plotter.XYs
	for i := 0; i < len(points); i += step {
		some = append(some, points[i])
	}
	if dots, err := plotter.NewScatter(some); err == nil {
		dots.GlyphStyle = style.glyph
		p.Add(dots)
	}
}

// sample is how a line looks.
type sample struct {
	line  draw.LineStyle
	glyph draw.GlyphStyle
	patch color.Color // an area that the line encloses; nil for none
}

// probeStyle gives each probe a dash and a marker of its own.
func probeStyle(i int) sample {
	pt := func(v ...float64) []vg.Length {
		var out []vg.Length
		for _, x := range v {
			out = append(out, vg.Points(x))
		}
		return out
	}
	shapes := []draw.GlyphDrawer{draw.CircleGlyph{}, draw.BoxGlyph{}, draw.RingGlyph{}, draw.PyramidGlyph{}, draw.CrossGlyph{}, draw.SquareGlyph{}}
	dashes := [][]vg.Length{nil, pt(7, 3), pt(2, 2), pt(7, 2, 2, 2), pt(10, 2), pt(4, 4)}
	inks := []color.Color{color.Black, color.RGBA{0x1f, 0x4e, 0x8c, 0xff}, color.RGBA{0x8c, 0x3b, 0x14, 0xff}, color.RGBA{0x2c, 0x6b, 0x2f, 0xff}, color.Gray{60}, color.Gray{30}}
	return sample{
		line:  draw.LineStyle{Color: inks[i], Width: vg.Points(1.3), Dashes: dashes[i]},
		glyph: draw.GlyphStyle{Color: inks[i], Radius: vg.Points(2.4), Shape: shapes[i]},
	}
}

func thresholdStyle() draw.LineStyle {
	return draw.LineStyle{Color: color.Gray{70}, Width: vg.Points(0.9), Dashes: []vg.Length{vg.Points(12), vg.Points(3), vg.Points(2), vg.Points(3)}}
}
