package picture

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"pgregory.net/rapid"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// planned is the picture of a plan.
func planned(t testing.TB, text string) *Mix {
	t.Helper()
	plan, err := blend.ReadPlan(strings.NewReader(text), "test.toml")
	require.NoError(t, err)
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	p, err := plan.Problem(lib)
	require.NoError(t, err)
	r, err := blend.Formulate(t.Context(), p)
	require.NoError(t, err)
	m, err := NewMix(t.Context(), r, plan.Title(), 1)
	require.NoError(t, err)
	return m
}

func example(t testing.TB, name string) *Mix {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../../../testdata/plans", name))
	require.NoError(t, err)
	return planned(t, string(text))
}

// many is a plan of n materials spread over the plane.
func many(n int) string {
	var b strings.Builder
	b.WriteString("title = \"Many heaps\"\n[on_hand]\n")
	for i := range n {
		fmt.Fprintf(&b, "\"heap number %d\" = \"%d kg\"\n", i+1, 100+i)
	}
	for i := range n {
		fmt.Fprintf(&b, "[feedstock.\"heap number %d\"]\ncarbon = 45\nmoisture = %d\ncarbon_to_nitrogen = %.4g\n",
			i+1, 5+(i*53)%85, 5*math.Pow(100, float64((i*37)%n)/float64(n)))
	}
	return b.String()
}

// svgText is a text of an SVG picture where it stands, y upwards.
type svgText struct {
	words string
	box   vg.Rectangle
	size  float64
}

// svgTexts reads the texts of a picture, and its size; it must be sound XML.
func svgTexts(t *testing.T, svg []byte) (out []svgText, wide, high vg.Length) {
	var open *svgText
	var turned []bool
	number := func(s string) vg.Length {
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return vg.Length(v)
	}
	for d := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return out, wide, high
		}
		require.NoError(t, err)
		switch x := token.(type) {
		case xml.StartElement:
			a := map[string]string{}
			for _, attr := range x.Attr {
				a[attr.Name.Local] = attr.Value
			}
			assert.NotContains(t, a, "id", "ids may clash in a page")
			switch x.Name.Local {
			case "svg":
				box := strings.Fields(a["viewBox"])
				wide, high = number(box[2]), number(box[3])
			case "g":
				turned = append(turned, strings.Contains(a["transform"], "rotate(90)"))
			case "text":
				size := regexp.MustCompile(`font-size:([0-9.]+)px`).FindStringSubmatch(a["style"])
				open = &svgText{size: float64(number(size[1]))}
				p := vg.Point{X: number(a["x"]), Y: -number(a["y"])}
				if slices.Contains(turned, true) {
					p = vg.Point{X: -p.Y, Y: p.X}
				}
				open.box = vg.Rectangle{Min: p, Max: p}
			}
		case xml.EndElement:
			switch x.Name.Local {
			case "g":
				turned = turned[:len(turned)-1]
			case "text":
				wide := words(vg.Length(open.size), draw.XLeft, draw.YBottom).Width(open.words)
				up, down := vg.Length(0.7*open.size), vg.Length(0.2*open.size) // of letters, from memory
				b := &open.box
				if slices.Contains(turned, true) {
					b.Min.X, b.Max.X, b.Max.Y = b.Min.X-up, b.Max.X+down, b.Max.Y+wide
				} else {
					b.Min.Y, b.Max.X, b.Max.Y = b.Min.Y-down, b.Max.X+wide, b.Max.Y+up
				}
				out, open = append(out, *open), nil
			}
		case xml.CharData:
			if open != nil {
				open.words += string(x)
			}
		}
	}
}

// legible checks that all texts lie on the picture and none on another, and
// returns them.
func legible(t *testing.T, svg []byte) []string {
	t.Helper()
	texts, wide, high := svgTexts(t, svg)
	var out []string
	for i, a := range texts {
		out = append(out, a.words)
		assert.True(t, a.box.Min.X >= 0 && a.box.Max.X <= wide && a.box.Min.Y >= 0 && a.box.Max.Y <= high, "%q runs off at %v", a.words, a.box)
		assert.GreaterOrEqual(t, a.size, 7.5, a.words)
		for _, b := range texts[:i] {
			assert.False(t, overlap(a.box, b.box, 0), "%q lies on %q", a.words, b.words)
		}
	}
	return out
}

func svgOf(t testing.TB, m *Mix) []byte {
	var b bytes.Buffer
	require.NoError(t, m.Write(&b, SVG))
	return b.Bytes()
}

// count counts the paths whose outline and style match.
func count(svg []byte, path, style string) int {
	return len(regexp.MustCompile(`<path d="`+path+`" style="[^"]*`+style).FindAll(svg, -1))
}

// A material is a circle on a white one; rings and diamonds go by their ink.
const (
	circle = `[^"]*A[^"]*`
	white  = "fill:#FFFFFF"
	stroke = `M[0-9.]+,[0-9.]+L[0-9.]+,[0-9.]+`
)

func TestMixPictureShowsAll(t *testing.T) {
	for _, c := range []struct {
		name      string
		mix       *Mix
		materials []string
		says      []string
	}{
		{"on target", example(t, "first-pile.toml"), []string{"leaves", "grass clippings", "hen litter"},
			[]string{"Hedge-end bay, second week of November", "On target: C:N 30.0, moisture 55.0 %.", "recipe: C:N 30.0, moisture 55.0 %", "all that can be mixed, with water as needed"}},
		{"out of reach", example(t, "twelve.toml"), []string{"hen manure", "broiler litter", "horse manure", "cull vegetables", "food scraps", "apple pomace", "grass clippings", "dairy manure", "mushroom compost", "tree trimmings", "pig separated solids", "water hyacinth"},
			[]string{"Outside of the good range: C:N 21.3, moisture 63.7 %.", "on hand, not in it", "all that can be mixed, with up to 1500 L of water"}},
		{"over 400", example(t, "too-poor.toml"), []string{"sawdust", "cardboard", "wheat straw"}, []string{"500"}},
		{"one", planned(t, "[on_hand]\nleaves = \"14 sacks\""), []string{"leaves"}, []string{"What can be mixed", "recipe"}},
		{"one, dry", planned(t, "[on_hand]\nleaves = \"14 sacks\"\n[pile]\nwater = \"0 L\""), []string{"leaves"}, []string{"all that can be mixed, without water"}},
		{"no density", planned(t, "[on_hand]\nx = \"14 kg\"\n[feedstock.x]\ncarbon = 40\nnitrogen = 1\nmoisture = 40\n"), []string{"x"}, []string{"recipe"}},
		{"off the scale", planned(t, "[on_hand]\nurea = \"1 kg\"\ncharcoal = \"1 kg\"\nleaves = \"50 kg\"\ngrit = \"4 kg\"\n"+
			"[feedstock.urea]\ncarbon = 0\nnitrogen = 46\nmoisture = 1\n[feedstock.charcoal]\ncarbon = 80\nnitrogen = 0\nmoisture = 5\n[feedstock.grit]\ncarbon = 0\nnitrogen = 0\nmoisture = 5\n"),
			[]string{"urea (C:N 0)", "charcoal (no nitrogen)", "leaves"}, []string{"not shown: grit, which has no carbon and no nitrogen"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			svg := svgOf(t, c.mix)
			said := legible(t, svg)
			for _, want := range slices.Concat(c.materials, c.says, []string{"aim", "good range", "moisture, per cent of the whole", "C:N, to one"}) {
				assert.Contains(t, said, want)
			}
			assert.NotContains(t, string(svg), "NaN")
			assert.NotContains(t, string(svg), "Inf")
			assert.True(t, bytes.HasPrefix(svg, []byte("<svg")), "it can stand in a page")
			assert.Equal(t, len(c.materials), count(svg, circle, white), "a marker for each material")
			assert.Equal(t, 4, count(svg, stroke, "stroke-width:1.4"), "the aim is two strokes, and again in the key")
			assert.GreaterOrEqual(t, count(svg, `[^"]*`, "stroke-dasharray:5,2.5"), 2, "the box, and in the key")
		})
	}
}

func TestMixPictureOfAConflict(t *testing.T) {
	m := example(t, "share-and-least.toml")
	require.True(t, m.Recipe.Conflict)
	svg := svgOf(t, m)
	said := legible(t, svg)
	assert.Contains(t, said, "No mix of what is on hand obeys the limits of the plan.")
	assert.Contains(t, said, "turkey litter")
	assert.NotContains(t, said, "recipe")
	assert.Equal(t, 2, count(svg, circle, white))
	assert.Equal(t, 4, count(svg, stroke, "stroke-width:1.4"))
	assert.NotContains(t, m.Text(78), "#")
}

// TestMixPictureOfMany: of sixty heaps most have their names, and none is lost
// sight of.
func TestMixPictureOfMany(t *testing.T) {
	m := planned(t, many(60))
	svg := svgOf(t, m)
	said := legible(t, svg)
	named := 0
	for _, s := range said {
		if strings.HasPrefix(s, "heap number") {
			named++
		}
	}
	assert.Greater(t, named, 45)
	assert.Equal(t, 60, count(svg, circle, white))
	if named < 60 {
		assert.Contains(t, said, fmt.Sprintf("%d materials without a name, for want of room", 60-named))
	}
	for i := range 60 {
		assert.Contains(t, m.Text(78), fmt.Sprintf("heap number %d:", i+1))
	}
}

// TestMixPictureIsTold: a screen reader is given the title and the numbers.
func TestMixPictureIsTold(t *testing.T) {
	m := example(t, "first-pile.toml")
	m.Title = `Bay <1> & "2"`
	svg := string(svgOf(t, m))
	assert.Contains(t, svg, `role="img"`)
	assert.Contains(t, svg, "<title>Bay &lt;1&gt; &amp; ")
	assert.Contains(t, svg, "<desc>On target: C:N 30.0, moisture 55.0 %.")
	assert.Contains(t, svg, "grass clippings (C:N 17, moisture 78 %)")
	m.Title = strings.Repeat("a very long title ", 40)
	legible(t, svgOf(t, m))
}

func TestMixPictureFormats(t *testing.T) {
	m := example(t, "first-pile.toml")
	var b bytes.Buffer
	require.NoError(t, m.Write(&b, PNG))
	image, err := png.Decode(&b)
	require.NoError(t, err)
	assert.InDelta(t, 26/2.54*dotsPerInch, image.Bounds().Dx(), 2)
	b.Reset()
	require.NoError(t, m.Write(&b, PDF))
	assert.True(t, bytes.HasPrefix(b.Bytes(), []byte("%PDF-")))
	assert.Contains(t, b.String(), "%%EOF")
	for name, want := range map[string]Format{"a.svg": SVG, "b.PNG": PNG, "c.d.pdf": PDF} {
		f, ok := FormatOf(name)
		assert.True(t, ok && f == want, name)
	}
	_, ok := FormatOf("svg")
	assert.False(t, ok)
}

// TestMixText: the mark of the recipe stands in the box, and that of each
// material where its figures say, to half a step of the field.
func TestMixText(t *testing.T) {
	m := example(t, "first-pile.toml")
	lines := strings.Split(m.Text(78), "\n")
	var at, top, bottom, leaves int
	for i, l := range lines[:mixRows+2] {
		switch {
		case strings.Contains(l, "#"):
			at = i
			assert.Regexp(t, `\|[ .:]*#[ .:]*\|`, l[mixGutter+4:], "between the sides of the box")
		case strings.Contains(l, "+--") && top == 0:
			top = i
		case strings.Contains(l, "+--"):
			bottom = i
		case strings.Contains(l, "A"):
			leaves = i
		}
	}
	assert.True(t, top < at && at < bottom, "%d %d %d", top, at, bottom)
	assert.Less(t, leaves, top, "leaves have the higher C:N")
	assert.Contains(t, m.Text(78), "A leaves: C:N 48, 38 %")
	assert.Contains(t, m.Text(78), "# recipe, on the aim")
	assert.Contains(t, example(t, "too-wet.toml").Text(78), "(under #)")
}

// TestAnyMix: there is a picture of whatever can be formulated, the aim is in
// view, all texts can be read, and no line of characters is too long.
func TestAnyMix(t *testing.T) {
	whole := t
	rapid.Check(t, func(t *rapid.T) {
		unit := func(name string) float64 { return float64(rapid.IntRange(0, 1000).Draw(t, name)) / 1000 }
		p := &blend.Problem{Target: blend.DefaultTarget(), Pile: blend.Pile{WaterKg: math.Inf(1), Shrink: 0.2}}
		if rapid.Bool().Draw(t, "far aim") {
			aim := 3 * math.Pow(200, unit("aim"))
			p.Target.CarbonToNitrogen = blend.Aim{Low: 0.8 * aim, Aim: aim, High: 1.3 * aim}
		}
		if rapid.Bool().Draw(t, "dry") {
			p.Pile.WaterKg = 100 * unit("water")
		}
		for i := range rapid.IntRange(1, 20).Draw(t, "materials") {
			nitrogen := 0.46 * math.Pow(1e-4, unit("nitrogen"))
			if rapid.IntRange(0, 9).Draw(t, "none") == 0 {
				nitrogen = 0
			}
			c := feedstocks.Composition{
				Moisture: 0.98 * unit("moisture"), Carbon: 0.56 * unit("carbon"), Nitrogen: nitrogen,
				DensityKgM3: math.NaN(), VolatileSolids: 0.9, Lignin: math.NaN(), Phosphate: math.NaN(), Potash: math.NaN(),
			}
			name := strings.Repeat("heap ", 1+i%7) + strconv.Itoa(i)
			p.Materials = append(p.Materials, blend.Material{Name: name, Composition: c, OnHandKg: 1 + 500*unit("stock")})
		}
		r, err := blend.Formulate(whole.Context(), p)
		if _, wrong := err.(*blend.ProblemError); wrong {
			t.Skip("the materials drawn make no plan")
		}
		require.NoError(t, err)
		m, err := NewMix(whole.Context(), r, "Any", 1)
		require.NoError(t, err)
		f := m.frame()
		aim := p.Target.CarbonToNitrogen.Aim
		require.True(t, f.low < aim && aim < f.high && f.dry < 55 && f.wet > 55, "%+v", f)
		var b bytes.Buffer
		require.NoError(t, m.Write(&b, SVG))
		require.NotContains(t, b.String(), "NaN")
		require.NotContains(t, b.String(), "Inf")
		if !whole.Run("legible", func(t *testing.T) { legible(t, b.Bytes()) }) {
			t.Fatalf("not legible: %+v", p)
		}
		for l := range strings.SplitSeq(m.Text(78), "\n") {
			require.LessOrEqual(t, utf8.RuneCountInString(l), 78, l)
		}
	})
}

func BenchmarkMixPicture12(b *testing.B) {
	r := example(b, "twelve.toml").Recipe
	for b.Loop() {
		m, err := NewMix(b.Context(), r, "twelve", 1)
		require.NoError(b, err)
		require.NoError(b, m.Write(io.Discard, SVG))
	}
}
