package picture

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"heapwright/blend"
)

// frame is the part of the plane that a mixing picture shows. C:N is on a
// logarithmic scale: that of materials runs from 3 to 500, so that on an even
// one the good range would be a sliver, with all the green stuff in it.
type frame struct {
	dry, wet  float64 // moisture, per cent
	low, high float64 // C:N
}

const (
	// leastRatio and mostRatio bound the scale: what lies beyond is shown at its
	// edge, by an arrow.
	leastRatio, mostRatio = 2, 2000
	leastWide             = 20   // per cent of moisture
	leastTall             = 2.5  // times
	padWide               = 4    // per cent of moisture, for markers at the edge
	padTall               = 1.18 // times
	grain                 = 5    // to which the moistures are rounded
)

// frame fits the picture to materials, target and recipe. What can be mixed
// lies among the materials, or is ever more water.
func (m *Mix) frame() frame {
	dry, wet, low, high := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	see := func(moisture, ratio float64) {
		if math.IsNaN(moisture) || math.IsNaN(ratio) {
			return
		}
		dry, wet = min(dry, 100*moisture), max(wet, 100*moisture)
		ratio = min(max(ratio, leastRatio), mostRatio)
		low, high = min(low, ratio), max(high, ratio)
	}
	for _, s := range m.spots() {
		see(s.Moisture, s.CarbonToNitrogen)
	}
	t := m.Recipe.Problem.Target
	see(t.Moisture.Low, t.CarbonToNitrogen.Low)
	see(t.Moisture.High, t.CarbonToNitrogen.High)
	see(m.Recipe.Figures.Moisture, m.Recipe.Figures.CarbonToNitrogen)
	if n := len(m.Cloud); n > 0 { // all but a few strays
		var moistures, ratios []float64
		for _, p := range m.Cloud {
			moistures, ratios = append(moistures, p.Moisture), append(ratios, p.CarbonToNitrogen)
		}
		slices.Sort(moistures)
		slices.Sort(ratios)
		see(moistures[n/25], ratios[n/25])
		see(moistures[n-1-n/25], ratios[n-1-n/25])
	}
	dry, wet = min(dry-padWide, (dry+wet-leastWide)/2), max(wet+padWide, (dry+wet+leastWide)/2)
	if tall := high / low; tall < leastTall {
		low, high = low/math.Sqrt(leastTall/tall), high*math.Sqrt(leastTall/tall)
	}
	return frame{
		dry: max(0, grain*math.Floor(dry/grain)), wet: min(100, grain*math.Ceil(wet/grain)),
		low: low / padTall, high: high * padTall,
	}
}

// spot is a material on hand in the plane.
type spot struct {
	name string
	Point
	massKg float64 // in the recipe
	stock  float64 // kg on hand
}

// spots are the materials on hand, those of which the recipe has most first.
// One without carbon and nitrogen has no C:N, and no place.
func (m *Mix) spots() []spot {
	var out []spot
	for j, material := range m.Recipe.Problem.Materials {
		if material.OnHandKg == 0 {
			continue
		}
		c := material.Composition
		s := spot{name: material.Name, Point: Point{c.Moisture, c.Carbon / c.Nitrogen}, stock: material.OnHandKg}
		if j < len(m.Recipe.Mixture.Parts) {
			s.massKg = m.Recipe.Mixture.Parts[j].MassKg
		}
		out = append(out, s)
	}
	slices.SortStableFunc(out, func(a, b spot) int {
		switch {
		case a.massKg != b.massKg:
			return int(math.Copysign(1, b.massKg-a.massKg))
		case a.stock != b.stock:
			return int(math.Copysign(1, b.stock-a.stock))
		}
		return 0
	})
	return out
}

// within holds a C:N to the scale, and tells whether it had to: 1 for one above
// it, -1 for one below.
func (f frame) within(ratio float64) (shown float64, beyond int) {
	switch {
	case ratio > f.high:
		return f.high, 1
	case ratio < f.low:
		return f.low, -1
	}
	return ratio, 0
}

// figure is a C:N in words, for a material whose place does not tell it.
func figure(ratio float64) string {
	switch {
	case math.IsInf(ratio, 1):
		return "no nitrogen"
	case math.IsNaN(ratio):
		return "no carbon, no nitrogen"
	}
	return "C:N " + ratioWords(ratio)
}

// ratioWords is a C:N with the digits that matter.
func ratioWords(v float64) string {
	switch {
	case v == 0:
		return "0"
	case v > 1e5:
		return "over 100000"
	case v < 10:
		return strconv.FormatFloat(v, 'f', 1, 64)
	}
	return strconv.FormatFloat(v, 'f', 0, 64)
}

// ratioTicks are round figures of C:N, least apart by the factor gap; the
// roundest come first.
func (f frame) ratioTicks(gap float64) []float64 {
	var out []float64
	for _, leading := range [][]float64{{1}, {3}, {2, 5}, {1.5, 7}, {4, 2.5}, {6, 8, 3.5}, {1.2, 4.5, 9}} {
		for decade := 1.0; decade <= mostRatio; decade *= 10 {
			for _, v := range leading {
				v *= decade
				far := func(u float64) bool { return max(u/v, v/u) < gap }
				if v >= f.low && v <= f.high && !slices.ContainsFunc(out, far) {
					out = append(out, v)
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

// moistureTicks are the even tens, or fives where few tens are shown.
func (f frame) moistureTicks() []float64 {
	step := 10.0
	if f.wet-f.dry <= 50 {
		step = grain
	}
	var out []float64
	for v := step * math.Ceil(f.dry/step); v <= f.wet; v += step {
		out = append(out, v)
	}
	return out
}

// standing is the answer in a line.
func (m *Mix) standing() string {
	switch r := m.Recipe; {
	case r.Conflict:
		return "No mix of what is on hand obeys the limits of the plan."
	case r.Status == blend.OutOfReach:
		return "Outside of the good range: " + m.numbers() + "."
	case r.Status == blend.InRange:
		return "In range: " + m.numbers() + "."
	}
	return "On target: " + m.numbers() + "."
}

// numbers are those of the recipe.
func (m *Mix) numbers() string {
	f := m.Recipe.Figures
	return fmt.Sprintf("C:N %.1f, moisture %.1f %%", f.CarbonToNitrogen, 100*f.Moisture)
}

// water tells with what water the region is.
func (m *Mix) water() string {
	switch kg := m.Recipe.Problem.Pile.WaterKg; {
	case math.IsInf(kg, 1):
		return "with water as needed"
	case kg == 0:
		return "without water"
	default:
		return fmt.Sprintf("with up to %.4g L of water", kg)
	}
}
