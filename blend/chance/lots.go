package chance

import (
	"context"
	"fmt"
	"math"

	"heapwright/blend"
)

// lots are draws of each material of a problem by itself. What a mix comes to
// is a sum over its lots, so many mixes can be tried on the same draws, and
// compared without the noise between two sets of them.
type lots struct {
	problem          *blend.Problem
	draws, materials int
	drawn            []lot // of draw i and material j at i*materials + j
	edges            []quotient
}

// quotient is a figure of a mix that is one sum over its lots divided by
// another, with the range that it must keep to.
type quotient struct {
	over, under int     // figures of a lot
	low, high   float64 // infinite where there is no limit
	width       float64 // half the range, or a like measure
}

// newLots draws for all materials of a recipe's problem, used or not.
func newLots(ctx context.Context, r *blend.Recipe, draws int, seed uint64) (*lots, error) {
	d := newDrawer(r)
	p := r.Problem
	l := &lots{problem: p, draws: draws, materials: len(d.parts)}
	l.drawn = make([]lot, draws*l.materials)
	err := d.each(ctx, draws, seed, func(i int, u []float64) {
		for j := range d.parts {
			l.drawn[i*l.materials+j] = d.lot(j, u)
		}
	})
	if err != nil {
		return nil, fmt.Errorf("chance: stopped: %w", err)
	}
	ranged := func(a blend.Aim, over, under int) {
		l.edges = append(l.edges, quotient{over, under, a.Low, a.High, (a.High - a.Low) / 2})
	}
	limited := func(most float64, over int) { // to so much in the built volume
		most *= 1 - p.Pile.Shrink
		l.edges = append(l.edges, quotient{over, volume, math.Inf(-1), most, limitWidth * most})
	}
	ranged(p.Target.CarbonToNitrogen, carbon, nitrogen)
	ranged(p.Target.Moisture, water, mass)
	if d := p.Pile.DensestKgM3; d > 0 {
		limited(d, mass)
	}
	if air := p.Pile.AirAtLeast; air > 0 {
		limited(1-air, particles)
	}
	return l, nil
}

// limitWidth is the width of a limit that has one side, over the limit.
const limitWidth = 0.1

// amountsOf lists the kg of a recipe, with the added water last.
func amountsOf(r *blend.Recipe) []float64 {
	var amounts []float64
	for _, part := range r.Mixture.Parts {
		amounts = append(amounts, part.MassKg)
	}
	return append(amounts, r.Mixture.AddedWaterKg)
}

// sum is what the amounts (kg, the added water last) come to in draw i.
func (l *lots) sum(i int, amounts []float64) lot {
	var s lot
	drawn := l.drawn[i*l.materials : (i+1)*l.materials]
	for j := range drawn {
		if amounts[j] > 0 {
			s.add(&drawn[j], amounts[j])
		}
	}
	s.add(pureWater(), amounts[l.materials])
	return s
}

// away is how far a sum lies outside the quotient's range, in widths
// (negative inside), and the edge that it is nearest to: -1 low, 1 high.
func (q *quotient) away(s *lot) (distance, side float64) {
	v := s[q.over] / s[q.under]
	if below, above := (q.low-v)/q.width, (v-q.high)/q.width; below > above {
		return below, -1
	} else {
		return above, 1
	}
}

// chance is the share of the draws in which the amounts land in all ranges.
func (l *lots) chance(amounts []float64) float64 {
	in := 0
draws:
	for i := range l.draws {
		s := l.sum(i, amounts)
		for k := range l.edges {
			if away, _ := l.edges[k].away(&s); !(away <= 0) {
				continue draws
			}
		}
		in++
	}
	return float64(in) / float64(l.draws)
}

// softChance is the mean, over the first so many draws, of a step that falls
// smoothly from 1 to 0 over a stretch about the edges, softness wide. Where
// slope is not nil it gets the derivative by each amount.
func (l *lots) softChance(amounts []float64, draws int, softness float64, slope []float64) float64 {
	clear(slope)
	total, added := 0.0, pureWater()
	for i := range draws {
		s := l.sum(i, amounts)
		worst, distance, side := &l.edges[0], math.Inf(-1), 0.0
		for k := range l.edges {
			if d, at := l.edges[k].away(&s); d > distance {
				worst, distance, side = &l.edges[k], d, at
			}
		}
		step := 1 / (1 + math.Exp(distance/softness))
		total += step
		if slope == nil || step == 0 {
			continue
		}
		under := s[worst.under]
		v := s[worst.over] / under
		fall := -step * (1 - step) / softness * side / worst.width / under / float64(draws)
		drawn := l.drawn[i*l.materials : (i+1)*l.materials]
		for j := range drawn {
			slope[j] += fall * (drawn[j][worst.over] - v*drawn[j][worst.under])
		}
		slope[l.materials] += fall * (added[worst.over] - v*added[worst.under])
	}
	return total / float64(draws)
}
