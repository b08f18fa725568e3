package blend

import (
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/solver"
)

// Region is the set of all pairs of moisture and C:N that some mix of a plan
// has, as slices in order of moisture. It is empty when no mix is allowed, and
// has one slice where all mixes are equally moist.
type Region struct {
	Slices []Slice
	// Open tells that mixes may be wetter than the last slice, as where ever more
	// water may be added: it goes on towards all water, and is not the end.
	Open bool
}

// Slice is the part of a region at one moisture: at that moisture some mix has
// any C:N between the two, and none has another.
type Slice struct {
	Moisture         float64 // fraction, wet basis
	CarbonToNitrogen Extent  // to one; High is +Inf where nitrogen is lost in the digits
}

// At is the slice at a moisture, between two slices by interpolation in the
// logarithm of C:N (linear where that is zero). ok is false outside.
func (r Region) At(moisture float64) (s Slice, ok bool) {
	i, found := slices.BinarySearchFunc(r.Slices, moisture, func(s Slice, m float64) int {
		switch {
		case s.Moisture < m:
			return -1
		case s.Moisture > m:
			return 1
		}
		return 0
	})
	switch {
	case found:
		return r.Slices[i], true
	case i == 0 || i == len(r.Slices):
		return Slice{}, false
	}
	a, b := r.Slices[i-1], r.Slices[i]
	t := (moisture - a.Moisture) / (b.Moisture - a.Moisture)
	between := func(u, v float64) float64 {
		switch {
		case math.IsInf(u, 1) || math.IsInf(v, 1):
			return math.Inf(1)
		case u <= 0 || v <= 0:
			return u + t*(v-u)
		}
		return u * math.Pow(v/u, t)
	}
	return Slice{moisture, Extent{
		between(a.CarbonToNitrogen.Low, b.CarbonToNitrogen.Low),
		between(a.CarbonToNitrogen.High, b.CarbonToNitrogen.High),
	}}, true
}

const (
	// wettestSlice is the most moisture of a slice where water is unlimited;
	// at all water there is no mix left to have a C:N.
	wettestSlice = 0.98
	// sliceWidth is the moisture by which a mix may miss the first or the last
	// slice: what one mix alone may have must be met in spite of rounding.
	sliceWidth = 1e-7
)

// Region finds what the mixes can come to that obey the limits of the plan,
// its target apart: n slices (2 at the least) from the driest mix to the
// wettest, or to 98 % where ever more water may be added, evenly spaced, and one
// more at the moisture of each material, where a region has its corners. With moisture held, C:N is a ratio of two linear sums and each
// end of a slice is a linear program (Charnes and Cooper 1962, "Programming
// with linear fractional functionals", Nav. Res. Logist. Q. 9:181-186, from
// memory). C:N may be off by what sliceWidth of moisture makes of it.
//
// The error is that of [Problem.Validate], the context's, or an internal one.
func (p *Problem) Region(ctx context.Context, n int) (Region, error) {
	if err := p.Validate(); err != nil {
		return Region{}, err
	}
	mixes := p.allowed()
	reach, ok, err := p.reach(ctx, mixes)
	if err != nil || !ok {
		return Region{}, err
	}
	var out Region
	moistures, open := p.slices(reach.Moisture, max(n, 2))
	out.Open = open
	for i, m := range moistures {
		miss := 0.0
		if i == 0 || i == len(moistures)-1 {
			miss = sliceWidth
		}
		s, ok, err := p.slice(ctx, mixes, m, miss)
		if err != nil {
			return Region{}, err
		}
		switch {
		case ok:
			out.Slices = append(out.Slices, s)
		case miss == 0: // mixes on either side can be put together
			return Region{}, fmt.Errorf("blend: internal: no mix of moisture %g between %g and %g", m, reach.Moisture.Low, reach.Moisture.High)
		}
	}
	if len(out.Slices) == 0 {
		return Region{}, fmt.Errorf("blend: internal: nothing is met between moistures of %g and %g", reach.Moisture.Low, reach.Moisture.High)
	}
	return out, nil
}

// slices are the moistures at which to look; open tells that they end before
// the wettest mix.
func (p *Problem) slices(reach Extent, n int) (out []float64, open bool) {
	wettest := wettestSlice
	for _, m := range p.Materials {
		if m.OnHandKg > 0 {
			wettest = max(wettest, m.Composition.Moisture)
		}
	}
	low, high := reach.Low, min(reach.High, wettest)
	open = reach.High > high
	if high-low < 2*sliceWidth {
		return []float64{(low + high) / 2}, open
	}
	for _, m := range p.Materials {
		if at := m.Composition.Moisture; m.OnHandKg > 0 && at > low+sliceWidth && at < high-sliceWidth {
			out = append(out, at)
		}
	}
	corners := len(out)
	out = append(out, low)
	for i := 1; i < n-1; i++ {
		at := low + (high-low)*float64(i)/float64(n-1)
		// A corner that near stands for it.
		if !slices.ContainsFunc(out[:corners], func(v float64) bool { return math.Abs(v-at) < sliceWidth }) {
			out = append(out, at)
		}
	}
	out = append(out, high)
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b float64) bool { return math.Abs(b-a) < sliceWidth/10 }), open
}

// slice finds the lowest and highest C:N at a moisture, which mixes may miss by
// so much; ok is false when no mix has it.
func (p *Problem) slice(ctx context.Context, mixes *face, moisture, miss float64) (s Slice, ok bool, err error) {
	criteria := p.criteria()
	c, m := criteria[0], criteria[1]
	rows := slices.Clone(mixes.rows)
	if miss == 0 {
		rows = append(rows, m.versus(moisture, 0, 0).times(1/m.stock))
	} else {
		rows = append(rows,
			m.versus(moisture-miss, 0, math.Inf(1)).times(1/m.stock),
			m.versus(moisture+miss, math.Inf(-1), 0).times(1/m.stock))
	}
	s.Moisture = moisture
	for _, end := range []struct {
		sign  float64
		value *float64
	}{{1, &s.CarbonToNitrogen.Low}, {-1, &s.CarbonToNitrogen.High}} {
		// With the nitrogen held, the ratio is linear.
		model := p.proportions(mixes, rows, c.under, c.stock)
		for _, t := range c.top.times(end.sign / c.stock).terms() {
			model.SetCost(t.Column, t.Coefficient)
		}
		answer, err := solve(ctx, model)
		switch {
		case err != nil:
			return s, false, err
		case answer.Status == solver.Infeasible:
			return s, false, nil
		case answer.Status == solver.Unbounded && end.sign < 0:
			*end.value = math.Inf(1)
			continue
		case answer.Status != solver.Optimal:
			return s, false, fmt.Errorf("blend: internal: C:N at a moisture of %g came back %v", moisture, answer.Status)
		}
		*end.value = max(0, end.sign*answer.Objective)
	}
	// Each end is good to the tolerance of its own solve.
	s.CarbonToNitrogen.High = max(s.CarbonToNitrogen.Low, s.CarbonToNitrogen.High)
	return s, true, nil
}
