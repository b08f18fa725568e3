package pile

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// LengthUnit is the unit in which a shape is suggested, so that the sizes are
// round ones in it.
type LengthUnit uint8

// The units.
const (
	Metres LengthUnit = iota
	Feet
)

// metres is the length of one unit in m.
func (u LengthUnit) metres() float64 {
	if u == Feet {
		return metresPerFoot
	}
	return 1
}

// sides are the widths of square bays that people build (common practice, no
// source), from the smallest.
func (u LengthUnit) sides() []float64 {
	if u == Feet {
		return []float64{3, 4, 5, 6, 8}
	}
	return []float64{0.9, 1, 1.2, 1.5, 1.8, 2.4}
}

// words writes a length without its unit: tenths of a metre or half feet.
func (u LengthUnit) words(m float64) string {
	if u == Feet {
		return strconv.FormatFloat(math.Round(2*m/metresPerFoot)/2, 'f', -1, 64)
	}
	return strconv.FormatFloat(m, 'f', 1, 64)
}

func (u LengthUnit) name() string {
	if u == Feet {
		return "ft"
	}
	return "m"
}

// Suggestion is how a volume could be put up. Shapes that do not suit it are
// nil.
type Suggestion struct {
	Bay     *Bay
	Heap    *Heap
	Windrow *Windrow
	Unit    LengthUnit
}

// Suggest says how volumeM3 could be put up: in the smallest bay in which it
// stands no higher than the bay is wide, and no higher than air gets in by
// itself ([UnturnedHeightM]); as a heap while that is so; and as a windrow from
// where a bay or heap would be too large. Nothing is suggested for a volume
// that is not positive.
func Suggest(volumeM3 float64, unit LengthUnit) Suggestion {
	s := Suggestion{Unit: unit}
	if positive(size{"volume", volumeM3}) != nil {
		return s
	}
	for _, side := range unit.sides() {
		side *= unit.metres()
		bay, err := FillBay(volumeM3, side, side)
		if err == nil && bay.FillM <= min(side, UnturnedHeightM)*(1+roundOff) {
			s.Bay = &bay
			break
		}
	}
	// The steep end of the slopes keeps the most warmth in.
	heap, err := HeapOfSlope(volumeM3, Rounded, LeastBaseToHeight)
	if err == nil && heap.HeightM <= UnturnedHeightM {
		s.Heap = &heap
		return s
	}
	row := Windrow{Section: Parabola, HeightM: UnturnedHeightM, WidthM: LeastBaseToHeight * UnturnedHeightM, SlopedEnds: true}
	if row, err = row.OfVolume(volumeM3); err == nil {
		s.Windrow = &row
	}
	return s
}

// String puts the suggestion in words: "a bay 1.2 x 1.2 m filled to 1.1 m, or a
// heap 2.0 m across and 1.0 m high"; "" when there is none.
func (s Suggestion) String() string {
	u, name := s.Unit.words, s.Unit.name()
	var parts []string
	if b := s.Bay; b != nil {
		parts = append(parts, fmt.Sprintf("a bay %s x %s %s filled to %s %s", u(b.WidthM), u(b.DepthM), name, u(b.FillM), name))
	}
	if h := s.Heap; h != nil {
		parts = append(parts, fmt.Sprintf("a heap %s %s across and %s %s high", u(h.DiameterM), name, u(h.HeightM), name))
	}
	if w := s.Windrow; w != nil {
		parts = append(parts, fmt.Sprintf("a windrow %s %s wide, %s %s high and %s %s long", u(w.WidthM), name, u(w.HeightM), name, u(w.LengthM), name))
	}
	return strings.Join(parts, ", or ")
}
