package chance

import (
	"math"
	"slices"
	"sort"

	"heapwright/feedstocks"
)

// Shape is the form of a distribution.
type Shape uint8

const (
	Fixed     Shape = iota // no spread
	PERT                   // between Low and High, most likely at Typical
	LogNormal              // median Typical, 5 and 95 % at Low and High, cut at three deviations
	Normal                 // as LogNormal, without the logarithm
)

// String gives the word used in plans, as listed by feedstocks.Shapes.
func (s Shape) String() string { return feedstocks.Shapes()[s] }

// ParseShape reads the word of a shape.
func ParseShape(word string) (Shape, bool) {
	i := slices.Index(feedstocks.Shapes(), word)
	return Shape(max(i, 0)), i >= 0
}

// Spread is the distribution of one unknown.
type Spread struct {
	Shape              Shape
	Low, Typical, High float64
	Assumed            bool // the range is not published or measured but assumed
}

// z95 is the 95 % point of the normal distribution.
const z95 = 1.6448536269514722

// quantiles is a distribution as its values at even steps of probability,
// between which it is read off in a straight line.
type quantiles []float64

// quantileSteps is the number of steps: moments come out within 1 in 1,000.
const quantileSteps = 1024

// at is the value below which the share u of the distribution lies.
func (q quantiles) at(u float64) float64 {
	if len(q) == 1 {
		return q[0]
	}
	x := u * float64(len(q)-1)
	i := min(int(x), len(q)-2)
	return q[i] + (x-float64(i))*(q[i+1]-q[i])
}

// table lays the distribution out.
func (s Spread) table() quantiles {
	switch {
	case s.Shape == Fixed || !(s.Low < s.High):
		return quantiles{s.Typical}
	case s.Shape == PERT:
		return pert(s.Low, s.Typical, s.High)
	}
	out := make(quantiles, quantileSteps+1)
	for i := range out {
		// the outermost steps stand for the tails beyond them, cut at three
		// deviations
		u := min(max(float64(i)/quantileSteps, tail), 1-tail)
		z := math.Sqrt2 * math.Erfinv(2*u-1)
		side := s.High
		if z < 0 {
			side = s.Low
		}
		if s.Shape == LogNormal {
			side = max(side, leastPart*s.Typical)
			out[i] = s.Typical * math.Exp(math.Abs(z)/z95*math.Log(side/s.Typical))
		} else {
			out[i] = max(s.Typical+math.Abs(z)/z95*(side-s.Typical), leastPart*s.Typical)
		}
	}
	return out
}

// leastPart of the typical value keeps the tail of a wide range, which would
// reach to nothing and below, to what can be divided by.
const leastPart = 0.05

// tail is the probability beyond three deviations of a normal distribution.
const tail = 0.00135

// pertPeak is the weight of the most likely value in a PERT distribution: its
// mean is (low + 4 typical + high) / 6.
const pertPeak = 4

// pert is the beta distribution with shape 1 + 4(m-a)/(b-a) and
// 1 + 4(b-m)/(b-a) over a to b, integrated on a fine grid.
func pert(a, m, b float64) quantiles {
	const cells = quantileSteps
	alpha := 1 + pertPeak*(m-a)/(b-a)
	beta := 1 + pertPeak*(b-m)/(b-a)
	sum := make([]float64, cells+1) // probability up to the right edge of each cell
	for i := range cells {
		t := (float64(i) + 0.5) / cells
		sum[i+1] = sum[i] + math.Exp((alpha-1)*math.Log(t)+(beta-1)*math.Log1p(-t))
	}
	out := make(quantiles, quantileSteps+1)
	for i := range out {
		want := sum[cells] * float64(i) / quantileSteps
		k := min(sort.SearchFloat64s(sum, want), cells)
		t := 0.0
		if k > 0 {
			t = (float64(k-1) + (want-sum[k-1])/(sum[k]-sum[k-1])) / cells
		}
		out[i] = a + t*(b-a)
	}
	return out
}
