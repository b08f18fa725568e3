package chance

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// Gain is what measuring one thing about one material is expected to bring.
type Gain struct {
	Unknown Unknown
	How     string  // in words: "dry a sample of the horse manure"
	Before  float64 // chance of landing in all ranges without it: of the recipe, or of the plan mixed anew where that is more
	After   float64 // expected chance after the measurement and mixing anew
}

const (
	// gainPoints are the results of a measurement that are tried, at even
	// steps of probability.
	gainPoints = 12
	// gainDraws are the draws for each of them.
	gainDraws = 4_000
	// gainCandidates are the unknowns tried, those with the largest shares.
	gainCandidates = 6
	// worthMeasuring is the least gain that is told: less is noise.
	worthMeasuring = 0.01
)

// Gains tells, for the unknowns that bring most variance, what measuring each
// is expected to bring: for every likely result of the measurement the plan is
// formulated anew with it, and the chances are averaged over the results. The
// largest gain comes first; those of a hundredth and less are left out.
func Gains(ctx context.Context, r *blend.Recipe, seed uint64) ([]Gain, error) {
	shares, err := Shares(ctx, r, seed)
	if err != nil {
		return nil, err
	}
	before, err := unmeasured(ctx, r, seed)
	if err != nil {
		return nil, err
	}
	var out []Gain
	if before+worthMeasuring >= 1 {
		return nil, nil // there is nothing left to gain
	}
	for _, s := range shares[:min(len(shares), gainCandidates)] {
		if s.Unknown.Kind == feedstocks.Carbon {
			continue // comes with the nitrogen on a laboratory's sheet
		}
		table, after := s.Unknown.table(), 0.0
		for i := range gainPoints {
			value := table.at((float64(i) + 0.5) / gainPoints)
			again, err := blend.Formulate(ctx, measured(r.Problem, s.Unknown, value))
			if err != nil {
				return nil, err
			}
			if again.Conflict {
				continue // no chance at all
			}
			c, err := Of(ctx, again, Settings{Draws: gainDraws, Seed: seed + uint64(i)})
			if err != nil {
				return nil, err
			}
			after += c.InAll / gainPoints
		}
		if after > before+worthMeasuring {
			out = append(out, Gain{Unknown: s.Unknown, How: howToMeasure(s.Unknown), Before: before, After: after})
		}
	}
	slices.SortStableFunc(out, func(a, b Gain) int { return -cmp.Compare(a.After, b.After) })
	return out, nil
}

// unmeasured is the chance to be had without measuring. A recipe that is not
// the plan's best, such as one that is only judged, gains by mixing anew, and
// that is no merit of the measurement.
func unmeasured(ctx context.Context, r *blend.Recipe, seed uint64) (float64, error) {
	before, err := Of(ctx, r, Settings{Seed: seed})
	if err != nil {
		return 0, err
	}
	again, err := blend.Formulate(ctx, r.Problem)
	if err != nil {
		return 0, err
	}
	if again.Conflict {
		return before.InAll, nil
	}
	anew, err := Of(ctx, again, Settings{Seed: seed})
	if err != nil {
		return 0, err
	}
	return max(before.InAll, anew.InAll), nil
}

func howToMeasure(u Unknown) string {
	switch u.Kind {
	case feedstocks.Moisture:
		return "Dry a sample of the " + u.Material
	case feedstocks.BulkDensity:
		return "Weigh a full bucket of the " + u.Material
	}
	return fmt.Sprintf("Have a laboratory test the %s for carbon and nitrogen", u.Material)
}

// measured is the problem with one unknown measured: the material's own figure
// from then on, with the spread of a measurement. What is on hand in sacks
// weighs more or less with it.
func measured(p *blend.Problem, u Unknown, value float64) *blend.Problem {
	q := *p
	q.Materials = slices.Clone(p.Materials)
	m := &q.Materials[u.material]
	was := m.Composition
	base := m.Feedstock
	if base == nil {
		base = &feedstocks.Feedstock{Name: m.Name}
	}
	given := base.With(u.Kind, feedstocks.Measured(value))
	c := was
	switch u.Kind {
	case feedstocks.Nitrogen:
		c.Nitrogen = value
	case feedstocks.CarbonToNitrogen:
		c.Nitrogen = was.Carbon / value
	case feedstocks.Moisture:
		c.Moisture = value
		c.DensityKgM3 *= (1 - was.Moisture) / (1 - value) // the dry density stays
	case feedstocks.BulkDensity:
		c.DensityKgM3 = value
	}
	m.Feedstock, m.Composition = given, c
	if heavier := c.DensityKgM3 / was.DensityKgM3; byVolume(*m) && heavier > 0 {
		m.OnHandKg *= heavier
		m.AtLeastKg *= heavier
	}
	return &q
}
