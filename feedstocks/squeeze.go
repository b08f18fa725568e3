package feedstocks

import (
	"fmt"
	"strings"
)

// SqueezeBand is what a hard squeeze of a handful can show, and the moisture
// that goes with it.
type SqueezeBand struct {
	Name string // one word
	What string // what is seen
	// Low, Typical and High are moisture, wet basis, as fractions.
	Low, Typical, High float64
	// Fresh marks the scale for fresh grass and silage, whose water is held
	// inside the cells.
	Fresh bool
}

// SqueezeBands lists the bands of both scales, the drier first; those for mixed
// or weathered material before those for fresh grass.
//
// The edges for mixed material are common extension teaching, from memory. An
// optimum of 50 to 60 % felt as a wrung sponge with a drop or two, no ball as
// too dry and dripping as too wet are read anchors (Blickle). The outer edges
// (20 and 80 %) are a choice. The scale for fresh material is that of forage
// (Saskatchewan); its upper edge of 90 %, the figure between 70 and 75 %, and
// all typical figures in it are a choice.
func SqueezeBands() []SqueezeBand {
	return []SqueezeBand{
		{"dusty", "dusty, will not hold a ball", 0.20, 0.35, 0.40, false},
		{"crumbles", "a ball forms and falls apart when tapped; no wetness", 0.40, 0.45, 0.50, false},
		{"holds", "the ball holds, the hand glistens, a drop or two", 0.50, 0.55, 0.60, false},
		{"drips", "drops run between the fingers", 0.60, 0.62, 0.65, false},
		{"streams", "water streams out", 0.65, 0.70, 0.80, false},
		{"loosens", "no water; the ball falls apart slowly", 0.60, 0.65, 0.70, true},
		{"yields", "a little water can just be squeezed out", 0.75, 0.775, 0.80, true},
		{"runs", "water comes easily", 0.80, 0.84, 0.90, true},
	}
}

// SqueezeNames lists the words of one scale.
func SqueezeNames(fresh bool) []string {
	var names []string
	for _, b := range SqueezeBands() {
		if b.Fresh == fresh {
			names = append(names, b.Name)
		}
	}
	return names
}

// Squeeze turns the hand test into a range of moisture. fresh says that the
// material is fresh grass or the like, which squeezes dry at 75 to 80 % and has
// words of its own; those of one scale are refused for the other. The error is
// a [*TestError].
func Squeeze(name string, fresh bool) (*Finding, error) {
	words := SqueezeNames(fresh)
	for _, b := range SqueezeBands() {
		if !strings.EqualFold(strings.TrimSpace(name), b.Name) {
			continue
		}
		switch {
		case fresh && !b.Fresh:
			return nil, &TestError{"squeeze", fmt.Sprintf("%q is not for fresh grass: it holds its water inside the cells and squeezes dry at 75 to 80 %%", b.Name),
				"dry a sample, or use the words for fresh material: " + strings.Join(words, ", ")}
		case !fresh && b.Fresh:
			return nil, &TestError{"squeeze", fmt.Sprintf("%q is for fresh grass and silage only", b.Name),
				"say that it is fresh, or use " + strings.Join(words, ", ")}
		}
		return b.finding(), nil
	}
	return nil, &TestError{"squeeze", fmt.Sprintf("%q is not something a squeeze shows here", shorten(name)),
		orElse(didYouMean(Nearest(name, words)), "it is one of "+strings.Join(words, ", "))}
}

func (b SqueezeBand) finding() *Finding {
	f := &Finding{Test: "hand squeeze, " + b.Name}
	f.step("%s: %s", b.Name, b.What)
	f.step("that goes with %s to %s %%, and about %s", points(b.Low), points(b.High), points(b.Typical))
	spread := "the band of the hand test; its edges are from memory, common teaching"
	if b.Fresh {
		spread = "the band of the forage scale; its outer edge and middle are a choice"
	}
	f.figure(Moisture, b.Low, b.Typical, b.High, spread)
	f.warn("hand-test", "A squeeze tells a range, never a number: hands differ by 5 to 7 points. Dry a sample where it matters.")
	if !b.Fresh {
		f.warn("not-fresh-grass", "Not for fresh grass or leaves just cut: they hold water inside their cells and squeeze dry at 75 to 80 %%.")
	}
	return f
}
