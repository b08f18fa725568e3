package picture

import (
	"bytes"
	"fmt"
	"image/color"
	"io"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"heapwright/blend"
)

// Write draws the picture to w. SVG comes without a prologue and without ids,
// so that it can stand in a web page, and tells a screen reader what it shows.
func (m *Mix) Write(w io.Writer, format Format) error {
	drawing := &mixDrawing{Mix: m, frame: m.frame()}
	var b bytes.Buffer
	if err := paint(&b, format, drawing.on); err != nil {
		return err
	}
	out := b.Bytes()
	if format == SVG {
		if at := bytes.Index(out, []byte("<svg")); at > 0 {
			out = out[at:]
		}
		open := bytes.IndexByte(out, '>')
		told := fmt.Sprintf(" role=\"img\">\n<title>%s</title>\n<desc>%s</desc>", escaped(m.title()), escaped(m.told()))
		out = append(append(bytes.Clone(out[:open]), told...), out[open+1:]...)
	}
	_, err := w.Write(out)
	return err
}

func (m *Mix) title() string {
	if m.Title == "" {
		return "What can be mixed"
	}
	return m.Title
}

// mixDrawing is a mixing picture in the making.
type mixDrawing struct {
	*Mix
	frame
	recipe  vg.Point
	labels  labelPlacer
	unnamed int // materials for whose names there was no room
}

const (
	markRadius   = 3.2
	aimRadius    = 8
	recipeRadius = 5
	dotRadius    = 0.8
	fewMaterials = 24 // of which the names are written large
)

// on lays the picture out: title, plane, key.
func (d *mixDrawing) on(whole draw.Canvas) {
	p := plot.New()
	axisWords(p)
	p.Title.Padding = 0
	p.X.Label.Text = "moisture, per cent of the whole"
	p.Y.Label.Text = "C:N, to one"
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = d.dry, d.wet, d.low, d.high
	p.Y.Scale = plot.LogScale{}
	ticks := func(values []float64) plot.ConstantTicks {
		var out plot.ConstantTicks
		for _, v := range values {
			out = append(out, plot.Tick{Value: v, Label: fmt.Sprintf("%g", v)})
		}
		return out
	}
	// Ticks an eighteenth of the height apart leave room for their figures.
	p.X.Tick.Marker, p.Y.Tick.Marker = ticks(d.moistureTicks()), ticks(d.ratioTicks(math.Pow(d.high/d.low, 1./18)))
	p.Add(d)
	// The key depends on what found room, so the plane is drawn first, above the
	// most room that the key may take.
	const headings = 1.15 * vg.Centimeter
	middle := (whole.Min.X + whole.Max.X) / 2
	title := words(12, draw.XCenter, draw.YTop)
	whole.FillText(title, vg.Point{X: middle, Y: whole.Max.Y - margin}, fitted(title, d.title(), whole.Size().X-2*margin))
	whole.FillText(words(9.5, draw.XCenter, draw.YTop), vg.Point{X: middle, Y: whole.Max.Y - margin - 0.55*vg.Centimeter}, d.standing())
	key := d.key()
	below := vg.Length(len(key.rows(whole.Size().X-2*margin))+1)*legendLine + margin/2
	p.Draw(draw.Crop(whole, margin, -margin, below+margin/2, -headings-margin))
	if d.unnamed > 0 {
		key.add(fmt.Sprintf("%d materials without a name, for want of room", d.unnamed), sample{})
	}
	key.draw(draw.Crop(whole, margin, -margin, margin/2, -(whole.Size().Y - below)))
}

// fitted shortens a text to a width.
func fitted(style draw.TextStyle, s string, wide vg.Length) string {
	for n := len([]rune(s)); style.Width(s) > wide && n > 1; {
		n -= max(1, n/20)
		s = shortened(s, n)
	}
	return s
}

// Plot implements plot.Plotter: what is large and pale first, then the dots, then
// the markers, and the words over all.
func (d *mixDrawing) Plot(c draw.Canvas, p *plot.Plot) {
	tx, ty := p.Transforms(&c)
	at := func(moisture, ratio float64) vg.Point {
		// Far outside the frame is outside enough.
		return vg.Point{X: tx(100 * moisture), Y: ty(min(max(ratio, d.low/10), d.high*10))}
	}
	d.labels = labelPlacer{bounds: c.Rectangle}
	grid := draw.LineStyle{Color: color.Gray{225}, Width: vg.Points(0.4)}
	d.region(c, at)
	for _, v := range d.moistureTicks() {
		c.StrokeLine2(grid, tx(v), c.Min.Y, tx(v), c.Max.Y)
	}
	for _, t := range p.Y.Tick.Marker.Ticks(0, 0) {
		c.StrokeLine2(grid, c.Min.X, ty(t.Value), c.Max.X, ty(t.Value))
	}
	d.bounds(c, at)
	d.cloud(c, at)
	d.aim(c, at)
	d.materials(c, at)
	d.words(c)
}

// place turns moisture and C:N into a place on the canvas.
type place func(moisture, ratio float64) vg.Point

// region fills what can be mixed, and draws its edge; where it is but a line the
// edge is all there is.
func (d *mixDrawing) region(c draw.Canvas, at place) {
	all := d.Region.Slices
	if len(all) == 0 {
		return
	}
	if last := all[len(all)-1]; d.Region.Open {
		last.Moisture = 1.1 // beyond the frame
		all = append(slices.Clip(all), last)
	}
	edge := make([]vg.Point, 0, 2*len(all)+1)
	for _, s := range all {
		edge = append(edge, at(s.Moisture, s.CarbonToNitrogen.Low))
	}
	for _, s := range slices.Backward(all) {
		edge = append(edge, at(s.Moisture, s.CarbonToNitrogen.High))
	}
	edge = append(edge, edge[0])
	c.FillPolygon(regionFill(), c.ClipPolygonXY(edge))
	lines := c.ClipLinesXY(edge)
	c.StrokeLines(regionEdge(), lines...)
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			d.spare(line[i-1], line[i])
		}
	}
}

// spare has labels keep off a line where they can.
func (d *mixDrawing) spare(a, b vg.Point) {
	const every = 5 // points
	n := int(math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y)) / every)
	for i := range n + 1 {
		t := vg.Length(i) / vg.Length(max(n, 1))
		d.labels.soft = append(d.labels.soft, around(vg.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}, 0.5))
	}
}

// wide reports whether what can be mixed is more than a line.
func (m *Mix) wide() bool {
	const line = 1.001 // times
	return slices.ContainsFunc(m.Region.Slices, func(s blend.Slice) bool {
		return s.CarbonToNitrogen.High > line*s.CarbonToNitrogen.Low
	})
}

func regionFill() color.Color { return color.RGBA{0xe4, 0xe9, 0xdf, 0xff} }

func regionEdge() draw.LineStyle {
	return draw.LineStyle{Color: color.Gray{125}, Width: vg.Points(0.9)}
}

// bounds draws the good range as a box.
func (d *mixDrawing) bounds(c draw.Canvas, at place) {
	t := d.Recipe.Problem.Target
	low, high := at(t.Moisture.Low, t.CarbonToNitrogen.Low), at(t.Moisture.High, t.CarbonToNitrogen.High)
	corners := []vg.Point{low, {X: high.X, Y: low.Y}, high, {X: low.X, Y: high.Y}, low}
	c.StrokeLines(rangeStyle(), c.ClipLinesXY(corners)...)
	for i := range 4 {
		d.spare(corners[i], corners[i+1])
	}
}

func rangeStyle() draw.LineStyle {
	return draw.LineStyle{Color: color.Black, Width: vg.Points(1.1), Dashes: []vg.Length{vg.Points(5), vg.Points(2.5)}}
}

// cloud draws the outcomes as dots, in one path.
func (d *mixDrawing) cloud(c draw.Canvas, at place) {
	var dots vg.Path
	for _, o := range d.Cloud {
		p := at(o.Moisture, o.CarbonToNitrogen)
		if math.IsNaN(o.CarbonToNitrogen) || !c.Contains(p) {
			continue
		}
		addDot(&dots, p)
		d.labels.soft = append(d.labels.soft, around(p, dotRadius))
	}
	c.SetColor(dotColour())
	c.Fill(dots)
}

func dotColour() color.Color { return color.RGBA{0x5a, 0x6a, 0x7c, 0xff} }

func addDot(path *vg.Path, p vg.Point) {
	r := vg.Points(dotRadius)
	path.Move(vg.Point{X: p.X - r, Y: p.Y - r})
	path.Line(vg.Point{X: p.X + r, Y: p.Y - r})
	path.Line(vg.Point{X: p.X + r, Y: p.Y + r})
	path.Line(vg.Point{X: p.X - r, Y: p.Y + r})
	path.Close()
}

// aim draws the aim, and the recipe over it.
func (d *mixDrawing) aim(c draw.Canvas, at place) {
	t, r := d.Recipe.Problem.Target, d.Recipe
	aim := at(t.Moisture.Aim, t.CarbonToNitrogen.Aim)
	c.DrawGlyph(aimGlyph(), aim)
	d.labels.taken = append(d.labels.taken, around(aim, aimRadius))
	if r.Conflict {
		return
	}
	ratio, _ := d.within(r.Figures.CarbonToNitrogen)
	mix := at(r.Figures.Moisture, ratio)
	halo := recipeGlyph()
	halo.Color, halo.Radius = color.White, halo.Radius+vg.Points(1.5)
	c.DrawGlyph(halo, mix)
	c.DrawGlyph(recipeGlyph(), mix)
	d.labels.taken = append(d.labels.taken, around(mix, recipeRadius))
	d.labels.marks = append(d.labels.marks, mix)
	d.recipe = mix
}

func aimGlyph() draw.GlyphStyle {
	return draw.GlyphStyle{Color: color.Black, Radius: vg.Points(aimRadius), Shape: crossHair{}}
}

func recipeGlyph() draw.GlyphStyle {
	return draw.GlyphStyle{Color: color.Black, Radius: vg.Points(recipeRadius), Shape: diamond{}}
}

// materials draws a marker for each material on hand: full for those in the
// recipe, a ring for the others, an arrow for what lies beyond the scale; and
// then finds room for the words.
func (d *mixDrawing) materials(c draw.Canvas, at place) {
	var names []wanted
	for _, s := range d.spots() {
		if math.IsNaN(s.CarbonToNitrogen) {
			continue
		}
		ratio, beyond := d.within(s.CarbonToNitrogen)
		p, text := at(s.Moisture, ratio), shortened(s.name, 30)
		glyph := spotGlyph(s.massKg > 0)
		if beyond != 0 {
			p.Y -= vg.Length(beyond) * 2 * markRadius
			text += " (" + figure(s.CarbonToNitrogen) + ")"
			c.DrawGlyph(draw.GlyphStyle{Color: color.Black, Radius: vg.Points(markRadius + 1), Shape: pointer(beyond)}, vg.Point{X: p.X, Y: p.Y + vg.Length(beyond)*4})
		}
		under := glyph
		under.Color, under.Shape = color.White, draw.CircleGlyph{}
		c.DrawGlyph(under, p)
		c.DrawGlyph(glyph, p)
		d.labels.taken = append(d.labels.taken, around(p, markRadius))
		d.labels.marks = append(d.labels.marks, p)
		names = append(names, wanted{text: text, at: p, gap: markRadius + labelGap - 1})
	}
	if !d.Recipe.Conflict {
		d.labels.place("recipe: "+d.numbers(), words(9.5, draw.XLeft, draw.YBottom), d.recipe, aimRadius+labelGap)
	}
	size := vg.Length(9)
	if len(names) > fewMaterials {
		size = 7.5
	}
	for i := range names {
		names[i].style = words(size, draw.XLeft, draw.YBottom)
	}
	d.unnamed = d.labels.placeAll(names)
}

func spotGlyph(used bool) draw.GlyphStyle {
	g := draw.GlyphStyle{Color: color.Black, Radius: vg.Points(markRadius), Shape: draw.RingGlyph{}}
	if used {
		g.Shape = draw.CircleGlyph{}
	}
	return g
}

// words writes the labels, over a pale ground where they cover something (an
// opaque one: the canvas for PDF knows no other).
func (d *mixDrawing) words(c draw.Canvas) {
	for _, l := range d.labels.placed {
		if l.led {
			foot := l.foot()
			c.StrokeLine2(draw.LineStyle{Color: color.Gray{90}, Width: vg.Points(0.5)}, l.at.X, l.at.Y, foot.X, foot.Y)
		}
	}
	for _, l := range d.labels.placed {
		if l.over {
			b := l.box
			c.FillPolygon(color.RGBA{0xf6, 0xf8, 0xf4, 0xff}, []vg.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}})
		}
		c.FillText(l.style, l.box.Min.Add(vg.Point{Y: -l.style.Rectangle(l.text).Min.Y}), l.text)
	}
}

// key explains what is drawn.
func (d *mixDrawing) key() *legend {
	k := &legend{}
	used, unused, nowhere := false, false, ""
	for _, s := range d.spots() {
		used, unused = used || s.massKg > 0, unused || s.massKg == 0
		if math.IsNaN(s.CarbonToNitrogen) {
			nowhere = s.name
		}
	}
	if used {
		k.add("material in the recipe", sample{glyph: spotGlyph(true)})
	}
	if unused {
		k.add("on hand, not in it", sample{glyph: spotGlyph(false)})
	}
	if !d.Recipe.Conflict {
		k.add("recipe", sample{glyph: recipeGlyph()})
	}
	aim := aimGlyph()
	aim.Radius = vg.Points(5)
	k.add("aim", sample{glyph: aim})
	k.add("good range", sample{line: rangeStyle()})
	if len(d.Region.Slices) > 0 {
		all := sample{line: regionEdge()}
		if d.wide() {
			all.patch = regionFill()
		}
		k.add("all that can be mixed, "+d.water(), all)
	}
	if len(d.Cloud) > 0 {
		k.add(fmt.Sprintf("recipe as it may turn out, %d draws", len(d.Cloud)), sample{glyph: draw.GlyphStyle{Color: dotColour(), Radius: vg.Points(4), Shape: scatterGlyph{}}})
	}
	if nowhere != "" {
		k.add("not shown: "+shortened(nowhere, 30)+", which has no carbon and no nitrogen", sample{})
	}
	return k
}
