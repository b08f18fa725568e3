package chance

import (
	"fmt"
	"math"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// Spreads that are assumed where a figure has no range. The first of each
// pair is for a published figure, the second for a user's own single number.
const (
	// Nitrogen and C:N, as a relative standard deviation: 0.25, the spread
	// within one farm (Davis et al. 2002, about 25 samples for 10 % error,
	// derived); 0.07 for a measurement (nominally identical piles differ by
	// 4 % in N and 7 % in C:N: Liang 2006, Jiang 2015, read in a compilation).
	bookRatio, ownRatio = 0.25, 0.07
	// Moisture, as a standard deviation in points: 0.05, a judgement; 0.02
	// for a measurement (microwave on straw repeats to about 3 points).
	bookMoisture, ownMoisture = 0.05, 0.02
	// Bulk density, as a relative standard deviation: 0.35, worst known of
	// all (30 to 50 %, a judgement from published ranges); 0.10 for a bucket
	// of one's own (a judgement).
	bookDensity, ownDensity = 0.35, 0.10
	// leastDensity is the least relative standard deviation of a published
	// bulk density, whatever its range: lists differ from one another by more
	// than the range that each of them gives (a judgement; the library's notes
	// on clippings, clean straw and leaves have examples).
	leastDensity = 0.20
	// Carbon lies between 45 and 60 % of volatile solids (Adams et al. 1951
	// by way of Cornell), most often 55.6 %; a laboratory's is good to 3 %.
	carbonLow, carbonHigh = 0.45 * 1.8, 0.60 * 1.8
	ownCarbon             = 0.03
	// wettest bounds drawn moisture.
	wettest = 0.95
)

// Unknown is one thing about a material that is not known exactly.
type Unknown struct {
	Material string
	Kind     feedstocks.Kind // Carbon, Nitrogen, CarbonToNitrogen, Moisture or BulkDensity
	Spread   Spread

	material int
}

// Words names the unknown: "moisture of horse manure".
func (u Unknown) Words() string { return fmt.Sprintf("%s of %s", u.Kind.Label(), u.Material) }

// table lays the distribution out, moisture within what can be had.
func (u Unknown) table() quantiles {
	t := u.Spread.table()
	if u.Kind == feedstocks.Moisture {
		for i := range t {
			t[i] = min(t[i], max(wettest, u.Spread.Typical))
		}
	}
	return t
}

// unknowns lists those of the materials of a problem, used or not, four for
// each at most.
func unknowns(p *blend.Problem) []Unknown {
	var out []Unknown
	for j, m := range p.Materials {
		add := func(k feedstocks.Kind, s Spread) {
			if s.Shape != Fixed && s.Low < s.High {
				out = append(out, Unknown{Material: m.Name, Kind: k, Spread: s, material: j})
			}
		}
		c := m.Composition
		add(feedstocks.Carbon, spreadOf(m, feedstocks.Carbon, c.Carbon))
		k, s := richness(m)
		add(k, s)
		add(feedstocks.Moisture, spreadOf(m, feedstocks.Moisture, c.Moisture))
		if !math.IsNaN(c.DensityKgM3) {
			add(feedstocks.BulkDensity, spreadOf(m, feedstocks.BulkDensity, c.DensityKgM3))
		}
	}
	return out
}

// property looks a figure of a material up.
func property(m blend.Material, k feedstocks.Kind) (feedstocks.Property, bool) {
	if m.Feedstock == nil {
		return feedstocks.Property{}, false
	}
	p, ok := m.Feedstock.Properties[k]
	return p, ok
}

// richness picks what is drawn of a material's nitrogen: its C:N where that
// has a range, where the user gave it, or where nitrogen was worked out from
// it, and then nitrogen is the drawn carbon over the drawn C:N; else, or where
// the user measured nitrogen alone, the nitrogen.
func richness(m blend.Material) (feedstocks.Kind, Spread) {
	c := m.Composition
	n, hasN := property(m, feedstocks.Nitrogen)
	r, hasR := property(m, feedstocks.CarbonToNitrogen)
	derived := c.CarbonFrom == feedstocks.FromAsh || c.CarbonFrom == feedstocks.FromLimit
	ownN, ownR := n.Standing == feedstocks.Yours, r.Standing == feedstocks.Yours
	byRatio := hasR && c.Nitrogen > 0 && c.Carbon > 0 && (ownR || !ownN && (!hasN || derived || r.HasRange()))
	if byRatio {
		return feedstocks.CarbonToNitrogen, spreadOf(m, feedstocks.CarbonToNitrogen, c.Carbon/c.Nitrogen)
	}
	return feedstocks.Nitrogen, spreadOf(m, feedstocks.Nitrogen, c.Nitrogen)
}

// spreadOf is the distribution of a figure about the value that the recipe
// uses. Where the figure has a range, that range is moved along with the value.
func spreadOf(m blend.Material, k feedstocks.Kind, value float64) Spread {
	if value <= 0 {
		return Spread{Shape: Fixed, Low: value, Typical: value, High: value}
	}
	p, known := property(m, k)
	own := known && p.Standing == feedstocks.Yours
	s := Spread{Shape: usualShape(k), Typical: value}
	switch {
	case known && p.HasRange():
		s.Low, s.High = value*p.Low/p.Typical, value*p.High/p.Typical
		if k == feedstocks.Moisture {
			s.Low, s.High = value+p.Low-p.Typical, value+p.High-p.Typical
		}
	default:
		s.Assumed = true
		s.Shape, s.Low, s.High = assumed(k, value, own)
	}
	if k == feedstocks.BulkDensity && known && !own {
		if low, high := factors(value, leastDensity); high/low > s.High/s.Low {
			s.Assumed, s.Low, s.High = true, low, high
		}
	}
	if shape, ok := ParseShape(p.Shape); known && ok {
		s.Shape = shape
	}
	if k == feedstocks.Moisture {
		s.Low, s.High = max(s.Low, 0), min(s.High, max(wettest, value))
	}
	return s
}

// usualShape is the shape of a figure that has a range: density spreads over
// factors, the others between bounds.
func usualShape(k feedstocks.Kind) Shape {
	if k == feedstocks.BulkDensity {
		return LogNormal
	}
	return PERT
}

// assumed is the spread of a figure without a range.
func assumed(k feedstocks.Kind, value float64, own bool) (shape Shape, low, high float64) {
	pick := func(book, measured float64) float64 {
		if own {
			return measured
		}
		return book
	}
	switch {
	case k == feedstocks.Moisture:
		sd := pick(bookMoisture, ownMoisture)
		return Normal, value - z95*sd, value + z95*sd
	case k == feedstocks.Carbon && own:
		return Normal, value * (1 - z95*ownCarbon), value * (1 + z95*ownCarbon)
	case k == feedstocks.Carbon:
		return PERT, max(value*carbonLow, min(value, leastCarbon)), max(value, min(value*carbonHigh, mostCarbon))
	}
	cv := pick(bookRatio, ownRatio)
	if k == feedstocks.BulkDensity {
		cv = pick(bookDensity, ownDensity)
	}
	low, high = factors(value, cv)
	return LogNormal, low, high
}

// factors gives the 5 and 95 % points of a lognormal distribution about a
// median, from its relative standard deviation.
func factors(median, cv float64) (low, high float64) {
	sigma := math.Sqrt(math.Log1p(cv * cv))
	return median * math.Exp(-z95*sigma), median * math.Exp(z95*sigma)
}

// Carbon beyond these shares of dry matter is not drawn, unless a figure lies
// there itself: below the least of organic materials that are not mostly ash
// (as in the carbon rule of feedstocks), above the most that it can hold.
const leastCarbon, mostCarbon = 0.25, 0.60
