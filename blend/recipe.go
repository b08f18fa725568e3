package blend

import (
	"fmt"
	"math"
	"strings"
)

// Recipe is a mix with what it comes to and how it stands to its target.
type Recipe struct {
	Problem  *Problem
	Status   Status
	Distance float64 // 0 on target, up to 1 in range; +Inf without a mix
	Mixture  Mixture // Parts in the order of Problem.Materials; empty when Conflict
	Figures  Figures
	Conflict bool // no mix at all obeys the limits
	Notes    []string

	// Of a recipe in whole measures, see [Whole]: the counts of each
	// material, of the added water, and the recipe that they stand in for.
	Portions     [][]Portion
	WaterPortion Portion
	Exact        *Recipe
}

// Figures are what a mix comes to. NaN stands for what is not known.
type Figures struct {
	CarbonToNitrogen float64
	Moisture         float64
	MassKg           float64
	LooseVolumeM3    float64
	VolumeM3         float64 // as built
	BulkDensityKgM3  float64
	FreeAirSpace     float64
	VolatileSolids   float64 // of dry matter
	DryKg            float64
	CarbonKg         float64
	NitrogenKg       float64
	Phosphate        float64 // P2O5 of dry matter
	Potash           float64 // K2O of dry matter

	BiodegradableCarbonToNitrogen float64
	WaterRatio                    float64
	FinishedM3, FinishedKg        Span
}

// Figures works out what a mix comes to when its materials nest by shrink.
func (m Mixture) Figures(shrink float64) Figures {
	f := Figures{
		CarbonToNitrogen: m.CarbonToNitrogen(),
		Moisture:         m.Moisture(),
		MassKg:           m.MassKg(),
		LooseVolumeM3:    m.LooseVolumeM3(),
		VolumeM3:         m.BuiltVolumeM3(shrink),
		BulkDensityKgM3:  m.BulkDensityKgM3(shrink),
		VolatileSolids:   m.VolatileSolids(),
		DryKg:            m.DryKg(),
		CarbonKg:         m.CarbonKg(),
		NitrogenKg:       m.NitrogenKg(),
		Phosphate:        m.Phosphate(),
		Potash:           m.Potash(),

		BiodegradableCarbonToNitrogen: m.BiodegradableCarbonToNitrogen(),
	}
	f.FreeAirSpace = FreeAirSpace(f.BulkDensityKgM3, f.Moisture, f.VolatileSolids)
	f.WaterRatio = WaterRatio(f.Moisture, f.VolatileSolids, usualLoss().Usual)
	f.FinishedKg = FinishedMass(f.DryKg, f.VolatileSolids)
	return f
}

// recipe judges a mix of the problem's materials.
func (p *Problem) recipe(mix Mixture) *Recipe {
	r := &Recipe{
		Problem:  p,
		Mixture:  mix,
		Figures:  mix.Figures(p.Pile.Shrink),
		Status:   p.Target.Status(mix),
		Distance: p.Target.Distance(mix),
	}
	r.Figures.FinishedM3 = p.finishedVolume(mix)
	if lacking := p.withoutDensity(); len(lacking) > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("bulk density of %s is not known, so the pile is planned by weight and its volume is not given", list(lacking)))
	}
	return r
}

// Recipe judges any amounts of the materials, in kg and in their order, with
// added water in kg. Limits that they break are among its Breaches.
func (p *Problem) Recipe(amounts []float64, water float64) *Recipe {
	return p.recipe(p.mixture(amounts, water))
}

// Judge works out the mix that the plan names: all that is on hand and, as
// added water, the water of the pile (none where that is unlimited). Limits
// on size, shares and the like are reported by the recipe's Breaches.
func Judge(p *Problem) (*Recipe, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	water := p.Pile.WaterKg
	if math.IsInf(water, 1) {
		water = 0
	}
	return p.recipe(p.mixture(p.stock(), water)), nil
}

// Cost is what the materials of the recipe cost at the prices of the plan; what
// has no price counts for nothing.
func (r *Recipe) Cost() float64 {
	cost := 0.0
	for j, part := range r.Mixture.Parts {
		cost += part.MassKg * r.Problem.Materials[j].PricePerKg
	}
	return cost
}

// Breaches lists, in words, the limits of the plan that the recipe breaks.
func (r *Recipe) Breaches() []string {
	var out []string
	pile, f := r.Problem.Pile, r.Figures
	if most := pile.LargestM3; most > 0 && f.VolumeM3 > most*(1+edge) {
		out = append(out, fmt.Sprintf("the pile of %.2f m3 is larger than the %.2f m3 that fit", f.VolumeM3, most))
	}
	if d := pile.DensestKgM3; d > 0 && f.BulkDensityKgM3 > d*(1+edge) {
		out = append(out, fmt.Sprintf("the bulk density of %.0f kg/m3 is over the limit of %.0f kg/m3", f.BulkDensityKgM3, d))
	}
	if a := pile.AirAtLeast; a > 0 && f.FreeAirSpace < a-edge {
		out = append(out, fmt.Sprintf("the free air space of %.0f %% is under the limit of %.0f %%", 100*f.FreeAirSpace, 100*a))
	}
	for j, part := range r.Mixture.Parts {
		m, share := r.Problem.Materials[j], part.VolumeM3()/f.LooseVolumeM3
		if s := m.ShareAtMost; s > 0 && share > s+edge {
			out = append(out, fmt.Sprintf("%s is %.0f %% of the volume, over its limit of %.0f %%", m.Name, 100*share, 100*s))
		}
	}
	return out
}

// list joins names for a sentence: "straw, leaves and manure".
func list(names []string) string {
	last := len(names) - 1
	if last < 1 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
