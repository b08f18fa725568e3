package season

import (
	"context"
	"fmt"
	"math"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// Problem is a batch as a plan of its own, with what is at hand for it in its
// week as the stock, so that it can be turned into whole measures with
// [blend.Whole] and judged with [blend.Problem.Recipe].
func (p *Plan) Problem(b Batch) *blend.Problem {
	s := p.Season
	problem := &blend.Problem{
		Target: s.target(b.Week),
		Pile:   blend.Pile{LargestM3: s.largest(s.Bays[b.Bay]), WaterKg: s.WaterKg, Shrink: s.Shrink},
	}
	if bucket, err := feedstocks.DefaultMeasures().ParseUnit("bucket"); err == nil {
		problem.Fine = bucket
	}
	for i, m := range s.Materials {
		level := p.Stocks[i]
		t := b.Week - 1
		// What is left after the week's batches and covers, and what this one
		// takes itself.
		m.OnHandKg = max(level.Left[t]+level.Spoiled[t], 0) + b.Kg[i]
		m.OnHand = s.measure(i)
		problem.Materials = append(problem.Materials, m)
	}
	return problem
}

// measure is the quantity in which a material is spoken of: that of its
// arrivals or offers.
func (s *Season) measure(material int) feedstocks.Quantity {
	for _, a := range s.Arrivals {
		if a.Material == material && a.Amount.Unit.Name != "" {
			return a.Amount
		}
	}
	for _, o := range s.Offers {
		if o.Material == material && o.Amount.Unit.Name != "" {
			return o.Amount
		}
	}
	return feedstocks.Quantity{Unit: feedstocks.Unit{Name: "kg", Plural: "kg", Dimension: feedstocks.Mass, Factor: 1}}
}

// Measured gives a weight of a material in the measure in which the season
// speaks of it.
func (s *Season) Measured(material int, kg float64) feedstocks.Quantity {
	m := s.Materials[material]
	m.OnHand = s.measure(material)
	return m.Measured(kg)
}

// Card is a batch in whole measures, as it is loaded.
type Card struct {
	Batch Batch
	Exact *blend.Recipe
	Whole *blend.Recipe // nil where no whole measures are in range
	Bay   Bay
}

// Card works out the card of a batch. progress, when not nil, is told about long
// searches for whole measures.
func (p *Plan) Card(ctx context.Context, b Batch, progress func(tried int)) (*Card, error) {
	problem := p.Problem(b)
	card := &Card{Batch: b, Exact: problem.Recipe(b.Kg, b.WaterKg), Bay: p.Season.Bays[b.Bay]}
	whole, err := blend.Whole(ctx, card.Exact, progress)
	switch {
	case ctx.Err() != nil:
		return nil, fmt.Errorf("season: stopped: %w", ctx.Err())
	case err == nil && whole.Status != blend.OutOfReach:
		card.Whole = whole
	}
	return card, nil
}

// Built are the batches of a week that are still to be built.
func (p *Plan) Built(week int) []Batch {
	var out []Batch
	for _, b := range p.Batches {
		if b.Week == week && !b.Done {
			out = append(out, b)
		}
	}
	return out
}

// ShortM3 is what beds and covers lack in all.
func (p *Plan) ShortM3() float64 {
	sum := 0.0
	for _, s := range p.Served {
		sum += s.ShortM3
	}
	for _, l := range p.Laid {
		sum += l.ShortM3
	}
	return sum
}

// SpoiledKg is what spoils from the first week to plan on.
func (p *Plan) SpoiledKg() float64 {
	sum := 0.0
	for _, v := range p.Stocks {
		for t := p.Season.from() - 1; t < p.Season.Weeks; t++ {
			sum += v.Spoiled[t]
		}
	}
	return sum
}

// negligible is the compost in m3 below which a bed lacks none: a litre.
const negligible = 1e-3

// Reasons say why beds go short, in words.
func (p *Plan) Reasons(ctx context.Context) ([]string, error) {
	if p.ShortM3() < negligible {
		return nil, nil
	}
	s := p.Season
	var out []string
	first := math.MaxInt
	for j := range s.Bays {
		first = min(first, s.busy(j)+s.Bays[j].Ready())
	}
	for _, d := range s.Done {
		if d.Bay >= 0 {
			first = min(first, d.Week+s.Bays[d.Bay].Ready())
		}
	}
	for i, b := range s.Beds.Beds {
		if p.Served[i].ShortM3 >= negligible && b.Week < first {
			out = append(out, fmt.Sprintf("%s wants compost by week %d, and no batch can be ready before week %d", b.Name, b.Week, first))
		}
	}
	for i, c := range s.Beds.Covers {
		if p.Laid[i].ShortM3 >= negligible {
			out = append(out, fmt.Sprintf("there is not enough %s for %s in week %d", c.Material.Name, c.Name, c.Week))
		}
	}
	if len(p.Batches) == 0 {
		why, err := p.unmixable(ctx)
		if err != nil {
			return nil, err
		}
		out = append(out, why...)
	}
	return out, nil
}

// unmixable says why not even all that comes in the season together makes a
// mix.
func (p *Plan) unmixable(ctx context.Context) ([]string, error) {
	s := p.Season
	problem := &blend.Problem{Target: s.target(s.from()), Pile: blend.Pile{WaterKg: s.WaterKg, Shrink: s.Shrink}}
	for i, m := range s.Materials {
		for t := range s.Weeks {
			m.OnHandKg += p.Stocks[i].Came[t]
		}
		for _, o := range s.Offers {
			if o.Material == i {
				m.OnHandKg += min(o.TotalKg, o.WeeklyKg*float64(s.Weeks))
			}
		}
		m.OnHand = s.measure(i)
		problem.Materials = append(problem.Materials, m)
	}
	if problem.Validate() != nil {
		return nil, nil
	}
	r, err := blend.Formulate(ctx, problem)
	if err != nil {
		return nil, err
	}
	if r.Status != blend.OutOfReach || r.Conflict {
		return nil, nil
	}
	f := r.Figures
	return []string{fmt.Sprintf("no mix of all that comes and can be bought is in range; the nearest has C:N %.1f and moisture %.0f %%", f.CarbonToNitrogen, 100*f.Moisture)}, nil
}
