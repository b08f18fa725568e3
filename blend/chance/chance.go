package chance

import (
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/blend"
)

// Settings steer the draws. The zero value works.
type Settings struct {
	Draws int    // how many, 100 to 10,000,000; 0 means 100,000
	Seed  uint64 // of the random numbers; 0 means 1
}

const (
	defaultDraws          = 100_000
	leastDraws, mostDraws = 100, 10_000_000
)

func (s Settings) filled() (Settings, error) {
	if s.Draws == 0 {
		s.Draws = defaultDraws
	}
	if s.Draws < leastDraws || s.Draws > mostDraws {
		return s, &blend.ProblemError{
			Problem: fmt.Sprintf("there cannot be %d draws, only %d to %d", s.Draws, leastDraws, mostDraws),
			Hint:    "leave the number out for the usual one",
		}
	}
	if s.Seed == 0 {
		s.Seed = 1
	}
	return s, nil
}

// Percentiles are the values below which 10, 50 and 90 % of the draws lie.
type Percentiles struct{ P10, P50, P90 float64 }

// Chance is how likely a recipe is to land in its ranges.
type Chance struct {
	Draws int
	Seed  uint64

	CarbonToNitrogen Percentiles
	Moisture         Percentiles
	VolumeM3         Percentiles
	BulkDensityKgM3  Percentiles
	FreeAirSpace     Percentiles

	InCarbonToNitrogen float64 // the chance of C:N within its range
	InMoisture         float64
	InLimits           float64 // of density and air space within the plan's limits
	InAll              float64 // of all at once
	Assumed            []Unknown
}

// Error is the standard error of a chance p that comes of so many draws
// alone: sqrt(p (1-p) / n).
func (c *Chance) Error(p float64) float64 { return math.Sqrt(p * (1 - p) / float64(c.Draws)) }

// Of draws from the unknowns of a recipe and tells how likely it is to land in
// its ranges. The error is the context's, or a *[blend.ProblemError] for the settings.
func Of(ctx context.Context, r *blend.Recipe, set Settings) (*Chance, error) {
	set, err := set.filled()
	if err != nil {
		return nil, err
	}
	if r.Conflict || len(r.Mixture.Parts) == 0 {
		return nil, fmt.Errorf("chance: there is no mix to draw for")
	}
	d := newDrawer(r)
	drawn := make([]Outcome, set.Draws)
	if err := d.each(ctx, set.Draws, set.Seed, func(i int, u []float64) { drawn[i] = d.at(u) }); err != nil {
		return nil, fmt.Errorf("chance: stopped: %w", err)
	}
	c := &Chance{Draws: set.Draws, Seed: set.Seed}
	judge := newRanges(r.Problem)
	for _, o := range drawn {
		in := judge.of(o)
		c.InCarbonToNitrogen += count(in.ratio)
		c.InMoisture += count(in.moisture)
		c.InLimits += count(in.limits)
		c.InAll += count(in.all())
	}
	for _, share := range []*float64{&c.InCarbonToNitrogen, &c.InMoisture, &c.InLimits, &c.InAll} {
		*share /= float64(set.Draws)
	}
	values := make([]float64, set.Draws)
	for _, f := range []struct {
		into *Percentiles
		of   func(Outcome) float64
	}{
		{&c.CarbonToNitrogen, func(o Outcome) float64 { return o.CarbonToNitrogen }},
		{&c.Moisture, func(o Outcome) float64 { return o.Moisture }},
		{&c.VolumeM3, func(o Outcome) float64 { return o.VolumeM3 }},
		{&c.BulkDensityKgM3, func(o Outcome) float64 { return o.BulkDensityKgM3 }},
		{&c.FreeAirSpace, func(o Outcome) float64 { return o.FreeAirSpace }},
	} {
		for i, o := range drawn {
			values[i] = f.of(o)
		}
		*f.into = percentiles(values)
	}
	for _, u := range d.unknowns {
		if u.Spread.Assumed && r.Mixture.Parts[u.material].MassKg > 0 {
			c.Assumed = append(c.Assumed, u)
		}
	}
	return c, nil
}

func count(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// percentiles takes values apart; it changes their order.
func percentiles(values []float64) Percentiles {
	if slices.ContainsFunc(values, math.IsNaN) {
		return Percentiles{math.NaN(), math.NaN(), math.NaN()}
	}
	at := func(share float64) float64 { return nth(values, int(share*float64(len(values)-1)+0.5)) }
	return Percentiles{at(0.1), at(0.5), at(0.9)}
}

// nth puts the k-th smallest of values in its place and returns it
// (quickselect with a median of three).
func nth(values []float64, k int) float64 {
	low, high := 0, len(values)-1
	for low < high {
		mid := low + (high-low)/2
		a, b, c := values[low], values[mid], values[high]
		pivot := max(min(a, b), min(max(a, b), c))
		i, j := low, high
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for values[j] > pivot {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return values[k]
		}
	}
	return values[k]
}

// ranges judges outcomes against a plan.
type ranges struct {
	target       blend.Target
	densest, air float64
}

func newRanges(p *blend.Problem) ranges {
	g := ranges{target: p.Target, densest: math.Inf(1), air: math.Inf(-1)}
	if p.Pile.DensestKgM3 > 0 {
		g.densest = p.Pile.DensestKgM3
	}
	if p.Pile.AirAtLeast > 0 {
		g.air = p.Pile.AirAtLeast
	}
	return g
}

// landed tells which ranges an outcome lies in.
type landed struct{ ratio, moisture, limits bool }

func (l landed) all() bool { return l.ratio && l.moisture && l.limits }

func (g ranges) of(o Outcome) landed {
	return landed{
		ratio:    g.target.CarbonToNitrogen.Holds(o.CarbonToNitrogen),
		moisture: g.target.Moisture.Holds(o.Moisture),
		// an unknown density is held against no limit
		limits: !(o.BulkDensityKgM3 > g.densest) && !(o.FreeAirSpace < g.air),
	}
}
