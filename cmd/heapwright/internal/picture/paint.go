// Package picture draws: the curve of a temperature log, what can be mixed of
// what is on hand, and the weeks of a season. The first two come as SVG, PNG or
// PDF on paper size, or in characters for a terminal. Everything is told apart
// by line style, marker and words, so that it reads in black and white.
package picture

import (
	"bytes"
	"image/color"
	"io"
	"path/filepath"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgpdf"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Format is a kind of picture file.
type Format uint8

const (
	SVG Format = iota
	PNG
	PDF
)

// FormatOf tells the format by the end of a file name; ok is false for another
// end than .svg, .png and .pdf.
func FormatOf(file string) (f Format, ok bool) {
	f, ok = map[string]Format{".svg": SVG, ".png": PNG, ".pdf": PDF}[strings.ToLower(filepath.Ext(file))]
	return f, ok
}

const (
	width, height = 26 * vg.Centimeter, 15 * vg.Centimeter
	dotsPerInch   = 144
	margin        = 0.4 * vg.Centimeter
)

// paint makes a white canvas of the format, lets it be drawn on, and writes it.
func paint(w io.Writer, format Format, on func(draw.Canvas)) error {
	var canvas vg.CanvasSizer
	var out io.WriterTo
	switch format {
	case PNG:
		png := vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(dotsPerInch))}
		canvas, out = png, png
	case PDF:
		pdf := vgpdf.New(width, height)
		canvas, out = pdf, pdf
	default:
		svg := vgsvg.New(width, height)
		canvas, out = svg, svg
	}
	whole := draw.New(canvas)
	whole.SetColor(color.White)
	whole.Fill(whole.Rectangle.Path())
	on(whole)
	if format != SVG {
		_, err := out.WriteTo(w)
		return err
	}
	var b bytes.Buffer
	if _, err := out.WriteTo(&b); err != nil {
		return err
	}
	// Where the typeface is not at hand, one like it will do.
	_, err := w.Write(bytes.ReplaceAll(b.Bytes(), []byte("font-family:Liberation Sans;"), []byte("font-family:Liberation Sans,Arial,Helvetica,sans-serif;")))
	return err
}

// layOut puts a plot over its legend.
func layOut(whole draw.Canvas, p *plot.Plot, legend *legend) {
	legendHeight := vg.Length(len(legend.rows(whole.Size().X-2*margin)))*legendLine + margin
	legend.draw(draw.Crop(whole, margin, -margin, margin/2, -(whole.Size().Y - legendHeight)))
	p.Draw(draw.Crop(whole, margin, -margin, legendHeight+margin/2, -margin))
}

// sans is the typeface of all words.
func sans(size vg.Length) font.Font {
	return font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
}

func words(size vg.Length, x draw.XAlignment, y draw.YAlignment) draw.TextStyle {
	return draw.TextStyle{Color: color.Black, Font: sans(size), XAlign: x, YAlign: y, Handler: text.Plain{Fonts: font.DefaultCache}}
}

// axisWords gives both axes their typeface.
func axisWords(p *plot.Plot) {
	for _, axis := range []*plot.Axis{&p.X, &p.Y} {
		axis.Label.TextStyle.Font = sans(10)
		axis.Label.TextStyle.Handler = text.Plain{Fonts: font.DefaultCache}
		axis.Tick.Label.Font = sans(9)
		axis.Tick.Label.Handler = text.Plain{Fonts: font.DefaultCache}
	}
}
