package picture

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"pgregory.net/rapid"
)

// TestLabelsFindRoom: however points lie, labels stay within bounds, hide no
// label and no marker, and one without a leader has no other point nearer.
func TestLabelsFindRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := labelPlacer{bounds: vg.Rectangle{Max: vg.Point{X: 300, Y: 200}}}
		for range rapid.IntRange(1, 30).Draw(t, "points") {
			// As far from the edge as the frame of a picture keeps them.
			p := vg.Point{X: vg.Length(rapid.IntRange(27, 273).Draw(t, "x")), Y: vg.Length(rapid.IntRange(8, 192).Draw(t, "y"))}
			l.marks = append(l.marks, p)
			l.taken = append(l.taken, around(p, markRadius))
		}
		marks := len(l.taken)
		var all []wanted
		for _, p := range l.marks {
			all = append(all, wanted{"horse manure", words(9, draw.XLeft, draw.YBottom), p, markRadius + labelGap})
		}
		named := len(all) - l.placeAll(all)
		require.Len(t, l.placed, named)
		if len(l.marks) < 3 {
			require.Equal(t, len(l.marks), named, "there is room enough for two")
		}
		for i, a := range l.placed {
			require.True(t, a.box.Min.X >= 0 && a.box.Max.X <= 300 && a.box.Min.Y >= 0 && a.box.Max.Y <= 200)
			for _, b := range l.placed[:i] {
				require.False(t, overlap(a.box, b.box, 0))
			}
			for _, m := range l.taken[:marks] {
				require.False(t, overlap(a.box, m, 0))
			}
			for _, m := range l.marks {
				require.True(t, a.led || touch(m, a.at) || apart(m, a.box) > apart(a.at, a.box))
			}
		}
	})
}
