package picture

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/plotter"
	"pgregory.net/rapid"

	"heapwright/blend/pile"
)

// course reads a log in C.
func course(t require.TestingT, csv string) *pile.Course {
	l, err := pile.Read(strings.NewReader(csv), "test.csv", pile.Options{Unit: "C"})
	require.NoError(t, err)
	return pile.Follow(l)
}

const bayLog = `date,core,edge,air,event
2026-05-01,20,18,12,
2026-05-02,50,40,13,
2026-05-03,62,54,13,turned
2026-05-04,52,46,12,"watered 20 L"
2026-05-05,60,56,11,rain
2026-05-06,48,44,10,
2026-05-07,40,38,9,
`

func usual() []pile.Rule { return pile.FindRules("us-organic-turned") }

// texts gathers the words of an SVG picture, which must be sound XML.
func texts(t *testing.T, svg []byte) []string {
	var out []string
	inText := false
	for d := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		switch x := token.(type) {
		case xml.StartElement:
			inText = x.Name.Local == "text"
		case xml.EndElement:
			inText = false
		case xml.CharData:
			if inText {
				out = append(out, string(x))
			}
		}
	}
}

func TestSVGSaysWhatItShows(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Write(&b, &Curve{Course: course(t, bayLog), Rules: usual(), Title: "Bay <1> & 2"}, SVG))
	words := texts(t, b.Bytes())
	for _, want := range []string{
		"Bay <1> & 2", "core", "edge", "air", "hot", "cooling", "curing", "turned", "W watered, R rain", "W", "R",
		"55 C", "threshold of us-organic-turned", "temperature, C", "date, 2026", "1 May", "60",
	} {
		assert.Contains(t, words, want)
	}
	assert.NotContains(t, words, "76.7 C", "the ceiling lies above the picture")
	assert.NotContains(t, b.String(), "NaN")
	assert.Contains(t, b.String(), "sans-serif")
}

func TestPNG(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Write(&b, &Curve{Course: course(t, bayLog), Rules: usual(), Title: "Bay"}, PNG))
	m, err := png.Decode(&b)
	require.NoError(t, err)
	assert.InDelta(t, 26/2.54*dotsPerInch, m.Bounds().Dx(), 2)
	assert.InDelta(t, 15/2.54*dotsPerInch, m.Bounds().Dy(), 2)
	dark := 0
	for x := range m.Bounds().Dx() {
		for y := range m.Bounds().Dy() {
			if r, _, _, _ := m.At(x, y).RGBA(); r < 0x4000 {
				dark++
			}
		}
	}
	assert.Greater(t, dark, 3000, "there are lines and words on it")
}

// TestToldApartWithoutColour: no two probes share both dash and marker.
func TestToldApartWithoutColour(t *testing.T) {
	seen := map[string]bool{}
	for i := range mostProbes {
		s := probeStyle(i)
		key := fmt.Sprintf("%v %T", s.line.Dashes, s.glyph.Shape)
		assert.False(t, seen[key], key)
		seen[key] = true
		assert.False(t, seen[fmt.Sprintf("%T", s.glyph.Shape)], "each has a marker of its own")
		seen[fmt.Sprintf("%T", s.glyph.Shape)] = true
	}
}

// TestOddLogs: a picture of anything that can be read.
func TestOddLogs(t *testing.T) {
	rows := []string{"day,a,b,c,d,e,f,g,h"}
	for day := range 9 {
		rows = append(rows, fmt.Sprintf("%d,20,21,22,23,24,25,26,%d", day, 30+day))
	}
	many := strings.Join(rows, "\n")
	for name, csv := range map[string]string{
		"one reading":    "date,core\n2026-05-01,60\n",
		"many probes":    many,
		"below freezing": "day,core\n1,-5\n2,-7\n",
		"years":          "date,core\n2020-05-01,60\n2026-05-01,50\n",
	} {
		var b bytes.Buffer
		require.NoError(t, Write(&b, &Curve{Course: course(t, csv), Rules: usual(), Title: name}, SVG), name)
		assert.NotContains(t, b.String(), "NaN", name)
		assert.NotEmpty(t, texts(t, b.Bytes()), name)
	}
	var b bytes.Buffer
	require.NoError(t, Write(&b, &Curve{Course: course(t, many)}, SVG))
	assert.Contains(t, b.String(), "highest of 8 probes")
}

// TestThin: a long line keeps its lowest and highest point, and its order.
func TestThin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 3*mostPoints).Draw(t, "points")
		high, low := rapid.IntRange(0, n-1).Draw(t, "high"), rapid.IntRange(0, n-1).Draw(t, "low")
		points := make(plotter.XYs, n)
		for i := range points {
			points[i] = plotter.XY{X: 30 * float64(i) / float64(n), Y: math.Mod(float64(i)*7.3, 10)}
		}
		points[low].Y, points[high].Y = -100, 100
		out := thin(points, 30)
		require.LessOrEqual(t, len(out), mostPoints+2)
		lows, highs := math.Inf(1), math.Inf(-1)
		for i, p := range out {
			lows, highs = min(lows, p.Y), max(highs, p.Y)
			require.True(t, i == 0 || p.X >= out[i-1].X)
		}
		require.Equal(t, 100.0, highs)
		if low != high {
			require.Equal(t, -100.0, lows)
		}
	})
}

func TestTerminal(t *testing.T) {
	lines := Terminal(&Curve{Course: course(t, bayLog), Rules: usual()})
	text := strings.Join(lines, "\n")
	for _, want := range []string{"o hottest", "a air", "W watered", "turned", "1 May", "|hot", " 55"} {
		assert.Contains(t, text, want)
	}
}

// TestTerminalIsNarrow: of any log, no line is over 80 characters; and a
// reading stands on or above the line of 55 C just when it has reached it.
func TestTerminalIsNarrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := &pile.Log{Dated: rapid.Bool().Draw(t, "dated"), Unit: "C", Start: pile.DayZero()}
		for day := range rapid.IntRange(1, 400).Draw(t, "days") {
			if rapid.IntRange(0, 5).Draw(t, "read") == 0 && day > 0 {
				continue
			}
			c := float64(rapid.IntRange(-100, 549).Draw(t, "tenths")) / 10
			at := l.Start.Add(time.Duration(day) * 24 * time.Hour)
			l.Readings = append(l.Readings, pile.Reading{Time: at, Celsius: c, Entered: c, Unit: "C"})
			if kind := rapid.IntRange(0, 9).Draw(t, "event"); kind >= int(pile.Turned) && kind <= int(pile.Rained) {
				l.Events = append(l.Events, pile.Event{Time: at, Kind: pile.EventKind(kind)})
				l.Ambient = append(l.Ambient, pile.Reading{Time: at, Celsius: 10, Entered: 10, Unit: "C"})
			}
		}
		for _, line := range Terminal(&Curve{Course: pile.Follow(l), Rules: usual()}) {
			require.LessOrEqual(t, utf8.RuneCountInString(line), 80, line)
			if strings.HasPrefix(strings.TrimSpace(line), "55 ") {
				require.NotContains(t, line, "o", "nothing has reached 55 C: %s", line)
			}
		}
	})
}
