package blend

import (
	"fmt"
	"slices"

	"heapwright/feedstocks"
)

// Caution is something to mind about a recipe.
type Caution struct {
	Key  string // stable, for machines: a feedstock caution key, or "dense", "airy", "small", "ammonia", "dry", "wet"
	Text string
}

// Bounds at which a recipe is cautioned about.
const (
	// airFloor and airCeiling bound the free air space of a mix that breathes
	// and yet keeps its warmth: 30 % (Haug, Jeris and Regan, Schulze, from
	// memory) and 70 % (straw mixes of 75 to 93 % did not hold 55 C: Michel et
	// al. 2004, ASAE 044030).
	airFloor, airCeiling = 0.30, 0.70
	// denseFrom is the bulk density in kg/m3 from which a mix packs too
	// tightly: 1100 lb/yd3 (LSU AgCenter 3838-D after NRAES-54).
	denseFrom = 650
	// smallBelow is the least pile in m3 that heats well: a yard cube, 0.765
	// m3 (Klickitat County, "Volume and construction").
	smallBelow = 0.76
	// ammoniaBelow is the C:N under which all sources agree that nitrogen is
	// lost as ammonia (LSU AgCenter 3838-D; New Brunswick factsheet).
	ammoniaBelow = 20
	// DryBelow is the moisture under which composting slows; under 30 % it
	// stops (Cornell Composting, "Getting the right mix": 35 to 40 % and 30 %).
	DryBelow = 0.40
	// wetFrom is the moisture from which a mix runs short of air: the
	// reasonable range ends there (LSU AgCenter 3838-D after NRAES-54).
	wetFrom = 0.65
)

// Cautions lists what to mind: first what the pile itself calls for, then what
// its materials do, each once.
func (r *Recipe) Cautions() []Caution {
	var out []Caution
	say := func(key, format string, v ...any) { out = append(out, Caution{key, fmt.Sprintf(format, v...)}) }
	f := r.Figures
	if f.MassKg > 0 {
		if f.CarbonToNitrogen < ammoniaBelow {
			say("ammonia", "C:N under %d: nitrogen will escape as ammonia, which smells and is lost to the soil.", ammoniaBelow)
		}
		if f.Moisture < DryBelow {
			say("dry", "Under %d %% moisture composting slows, and under 30 %% it stops: water it through as you build.", int(100*DryBelow))
		}
		if f.Moisture > wetFrom {
			say("wet", "Over %d %% moisture: it will pack, run short of air, smell, and drip. Keep the run-off out of drains and streams.", int(100*wetFrom))
		}
		if f.FreeAirSpace < airFloor || f.BulkDensityKgM3 > denseFrom {
			say("dense", "Dense (%.0f kg/m3, %.0f %% air): air will not get in by itself. Mix in something coarse and dry, and turn it often.", f.BulkDensityKgM3, 100*max(0, f.FreeAirSpace))
		}
		if f.FreeAirSpace > airCeiling {
			say("airy", "Very airy (%.0f %% air): it may dry out and cool before it has heated. Shred or tread the coarse material, and cover the pile.", 100*f.FreeAirSpace)
		}
		if f.VolumeM3 < smallBelow {
			say("small", "Under %.2f m3 a pile loses warmth faster than it makes it: expect slow, cool compost.", smallBelow)
		}
	}
	for j, part := range r.Mixture.Parts {
		stock := r.Problem.Materials[j].Feedstock
		if part.MassKg == 0 || stock == nil {
			continue
		}
		for _, key := range stock.Cautions {
			if !slices.ContainsFunc(out, func(c Caution) bool { return c.Key == key }) {
				say(key, "%s", feedstocks.CautionText(key))
			}
		}
	}
	return out
}
