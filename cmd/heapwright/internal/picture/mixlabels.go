package picture

import (
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// label is the name of a point, where there was room for it.
type label struct {
	text  string
	style draw.TextStyle
	at    vg.Point     // of the point
	box   vg.Rectangle // of the text
	led   bool         // a line leads from the point to the text
	over  bool         // it covers dots or lines
}

// labelPlacer puts labels where they hide nothing and stay within bounds. It
// tries, for one label after the other, places around its point, the near ones
// first.
type labelPlacer struct {
	bounds vg.Rectangle
	taken  []vg.Rectangle // labels and markers
	marks  []vg.Point     // middles of markers: a label is nearer to its own
	lines  [][2]vg.Point  // leaders
	soft   []vg.Rectangle // dots and edges: better not to cover
	placed []label
}

const (
	labelGap = 4   // points from a marker to its label
	labelAir = 1.2 // points between labels
	otherAir = 8   // points from the middle of another marker to a label with a leader
	softCost = 10  // points further away that a label goes to spare a dot
)

// wanted is a label to be placed.
type wanted struct {
	text  string
	style draw.TextStyle
	at    vg.Point
	gap   vg.Length // from the point to the label
}

// placeAll places labels in their order, and returns how many found no place. If
// there are any, it begins anew with those first, a few times, and keeps the
// best.
func (l *labelPlacer) placeAll(all []wanted) (without int) {
	const tries = 4
	start, best := *l, *l
	without = len(all) + 1
	for range tries {
		try := start
		try.taken, try.lines, try.placed = slices.Clip(try.taken), slices.Clip(try.lines), slices.Clip(try.placed)
		var found, lost []wanted
		for _, w := range all {
			if try.place(w.text, w.style, w.at, w.gap) {
				found = append(found, w)
			} else {
				lost = append(lost, w)
			}
		}
		if len(lost) < without {
			best, without = try, len(lost)
		}
		if len(lost) == 0 {
			break
		}
		all = append(lost, found...)
	}
	*l = best
	return without
}

// place finds a place for a label; false when there is none.
func (l *labelPlacer) place(text string, style draw.TextStyle, at vg.Point, gap vg.Length) bool {
	style.XAlign, style.YAlign = draw.XLeft, draw.YBottom
	size := style.Rectangle(text).Size()
	best, cost := label{}, math.Inf(1)
	for _, ring := range []vg.Length{0, 8, 16, 26, 38, 52, 68, 90, 120, 160} {
		if float64(ring) > cost {
			break
		}
		const directions = 16
		for k := range directions {
			// right first, then above and below, left last
			turn := float64((k+1)/2) * 2 * math.Pi / directions
			if k%2 == 0 {
				turn = -turn
			}
			far := gap + ring
			sin, cos := math.Sincos(turn)
			middle := vg.Point{
				X: at.X + vg.Length(cos)*(far+size.X/2),
				Y: at.Y + vg.Length(sin)*(far+size.Y/2),
			}
			// Beside the point rather than across it.
			box := vg.Rectangle{Min: vg.Point{X: middle.X - size.X/2, Y: middle.Y - size.Y/2}, Max: vg.Point{X: middle.X + size.X/2, Y: middle.Y + size.Y/2}}
			try := label{text: text, style: style, at: at, box: box, led: ring > 0}
			if !l.free(try) {
				continue
			}
			over := l.covered(box)
			try.over = over > 0
			if c := float64(ring) + 0.3*float64(k) + softCost*math.Sqrt(float64(over)); c < cost {
				best, cost = try, c
			}
		}
	}
	if math.IsInf(cost, 1) {
		return false
	}
	l.placed = append(l.placed, best)
	l.taken = append(l.taken, best.box)
	if best.led {
		l.lines = append(l.lines, [2]vg.Point{best.at, best.foot()})
	}
	return true
}

// free reports whether a label hides nothing and is hidden by nothing.
func (l *labelPlacer) free(t label) bool {
	if t.box.Min.X < l.bounds.Min.X || t.box.Max.X > l.bounds.Max.X || t.box.Min.Y < l.bounds.Min.Y || t.box.Max.Y > l.bounds.Max.Y {
		return false
	}
	for _, other := range l.taken {
		if overlap(t.box, other, labelAir) {
			return false
		}
		if t.led && apart(t.at, other) > markRadius && crosses(t.at, t.foot(), other) {
			return false
		}
	}
	own := vg.Length(otherAir)
	if !t.led {
		own = min(own, 1.3*apart(t.at, t.box))
	}
	for _, m := range l.marks {
		if !touch(m, t.at) && apart(m, t.box) < own {
			return false
		}
	}
	for _, line := range l.lines {
		if crosses(line[0], line[1], t.box) || t.led && !touch(t.at, line[0]) && meet(t.at, t.foot(), line[0], line[1]) {
			return false
		}
	}
	return true
}

func (l *labelPlacer) covered(box vg.Rectangle) int {
	n := 0
	for _, s := range l.soft {
		if overlap(box, s, 0) {
			n++
		}
	}
	return n
}

// foot is where a leader meets its label: the nearest point of its edge.
func (t label) foot() vg.Point {
	return vg.Point{
		X: min(max(t.at.X, t.box.Min.X), t.box.Max.X),
		Y: min(max(t.at.Y, t.box.Min.Y), t.box.Max.Y),
	}
}

// touch reports whether the markers of two points do; such points are as good
// as one, and a leader from the one may pass the other.
func touch(a, b vg.Point) bool {
	return math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y)) < 2*markRadius
}

// apart is the way from a point to a rectangle.
func apart(p vg.Point, r vg.Rectangle) vg.Length {
	foot := label{at: p, box: r}.foot()
	return vg.Length(math.Hypot(float64(p.X-foot.X), float64(p.Y-foot.Y)))
}

func overlap(a, b vg.Rectangle, air vg.Length) bool {
	return a.Min.X < b.Max.X+air && b.Min.X < a.Max.X+air && a.Min.Y < b.Max.Y+air && b.Min.Y < a.Max.Y+air
}

func inside(p vg.Point, r vg.Rectangle) bool {
	return p.X >= r.Min.X && p.X <= r.Max.X && p.Y >= r.Min.Y && p.Y <= r.Max.Y
}

// around is a square about a point.
func around(p vg.Point, radius vg.Length) vg.Rectangle {
	return vg.Rectangle{Min: vg.Point{X: p.X - radius, Y: p.Y - radius}, Max: vg.Point{X: p.X + radius, Y: p.Y + radius}}
}

// crosses reports whether a line passes through a rectangle.
func crosses(a, b vg.Point, r vg.Rectangle) bool {
	corners := []vg.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}}
	for i, c := range corners {
		if meet(a, b, c, corners[(i+1)%4]) {
			return true
		}
	}
	return inside(a, r) || inside(b, r)
}

// meet reports whether two lines cross.
func meet(a, b, c, d vg.Point) bool {
	side := func(p, q, r vg.Point) bool { return (q.X-p.X)*(r.Y-p.Y) > (q.Y-p.Y)*(r.X-p.X) }
	return side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b)
}
