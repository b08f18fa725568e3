package picture

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// crossHair is an upright cross.
type crossHair struct{}

// DrawGlyph implements draw.GlyphDrawer.
func (crossHair) DrawGlyph(c *draw.Canvas, g draw.GlyphStyle, p vg.Point) {
	line := draw.LineStyle{Color: g.Color, Width: vg.Points(1.4)}
	c.StrokeLine2(line, p.X-g.Radius, p.Y, p.X+g.Radius, p.Y)
	c.StrokeLine2(line, p.X, p.Y-g.Radius, p.X, p.Y+g.Radius)
}

// diamond stands on its point.
type diamond struct{}

// DrawGlyph implements draw.GlyphDrawer.
func (diamond) DrawGlyph(c *draw.Canvas, g draw.GlyphStyle, p vg.Point) {
	c.FillPolygon(g.Color, []vg.Point{{X: p.X, Y: p.Y - g.Radius}, {X: p.X + g.Radius, Y: p.Y}, {X: p.X, Y: p.Y + g.Radius}, {X: p.X - g.Radius, Y: p.Y}})
}

// pointer is a triangle that points up (1) or down (-1), off the scale.
type pointer int

// DrawGlyph implements draw.GlyphDrawer.
func (up pointer) DrawGlyph(c *draw.Canvas, g draw.GlyphStyle, p vg.Point) {
	tip := vg.Length(up) * g.Radius
	c.FillPolygon(g.Color, []vg.Point{{X: p.X - g.Radius, Y: p.Y}, {X: p.X + g.Radius, Y: p.Y}, {X: p.X, Y: p.Y + tip}})
}

// scatterGlyph is a few dots, for the key.
type scatterGlyph struct{}

// DrawGlyph implements draw.GlyphDrawer.
func (scatterGlyph) DrawGlyph(c *draw.Canvas, g draw.GlyphStyle, p vg.Point) {
	var dots vg.Path
	for _, at := range [][2]vg.Length{{-1.6, 0.2}, {-0.7, -0.7}, {-0.5, 0.7}, {0.3, -0.1}, {0.9, 0.8}, {1.1, -0.7}, {1.9, 0.1}} {
		addDot(&dots, vg.Point{X: p.X + at[0]*g.Radius, Y: p.Y + at[1]*g.Radius})
	}
	c.SetColor(g.Color)
	c.Fill(dots)
}
