package blend

import (
	"math"

	"heapwright/feedstocks"
)

// Part is an amount of one material in a mix.
type Part struct {
	Name        string
	Composition feedstocks.Composition
	MassKg      float64 // as received
}

// DryKg is the dry matter of the part, x(1-m).
func (p Part) DryKg() float64 { return p.MassKg * (1 - p.Composition.Moisture) }

// WaterKg is the water that the part brings with it, xm.
func (p Part) WaterKg() float64 { return p.MassKg * p.Composition.Moisture }

// CarbonKg is the part's total carbon, x(1-m)c.
func (p Part) CarbonKg() float64 { return p.DryKg() * p.Composition.Carbon }

// NitrogenKg is the part's total nitrogen, x(1-m)n.
func (p Part) NitrogenKg() float64 { return p.DryKg() * p.Composition.Nitrogen }

// VolumeM3 is the loose volume of the part, x/rho; NaN when the density is
// not known, and 0 for none of it.
func (p Part) VolumeM3() float64 {
	if p.MassKg == 0 {
		return 0
	}
	return p.MassKg / p.Composition.DensityKgM3
}

// Mixture is what goes into a pile: materials and added water. The formulas
// are those of Richard and Trautmann (1996), Cornell Composting, "Science and
// Engineering".
type Mixture struct {
	Parts        []Part
	AddedWaterKg float64
}

// sum adds up a quantity over the parts.
func (m Mixture) sum(of func(Part) float64) float64 {
	total := 0.0
	for _, p := range m.Parts {
		total += of(p)
	}
	return total
}

// MassKg is the whole mass, water included.
func (m Mixture) MassKg() float64 {
	return m.sum(func(p Part) float64 { return p.MassKg }) + m.AddedWaterKg
}

// DryKg is the dry matter.
func (m Mixture) DryKg() float64 { return m.sum(Part.DryKg) }

// WaterKg is all water, that of the materials and the added.
func (m Mixture) WaterKg() float64 { return m.sum(Part.WaterKg) + m.AddedWaterKg }

// CarbonKg is the total carbon.
func (m Mixture) CarbonKg() float64 { return m.sum(Part.CarbonKg) }

// NitrogenKg is the total nitrogen.
func (m Mixture) NitrogenKg() float64 { return m.sum(Part.NitrogenKg) }

// CarbonToNitrogen is total carbon over total nitrogen by mass: a ratio of
// sums. It is +Inf for a mix without nitrogen and NaN for an empty one.
func (m Mixture) CarbonToNitrogen() float64 { return m.CarbonKg() / m.NitrogenKg() }

// Moisture is the share of water in the whole mass, from 0 to 1; NaN for an
// empty mix.
func (m Mixture) Moisture() float64 { return m.WaterKg() / m.MassKg() }

// LooseVolumeM3 is the sum of the materials' loose volumes; NaN when the
// density of a material in the mix is not known. Added water fills pores and
// counts for nothing.
func (m Mixture) LooseVolumeM3() float64 { return m.sum(Part.VolumeM3) }

// BuiltVolumeM3 is the volume of the built pile: materials nest into one
// another, so the pile is smaller than the sum of its heaps by the share
// shrink (0 to 1).
func (m Mixture) BuiltVolumeM3(shrink float64) float64 { return (1 - shrink) * m.LooseVolumeM3() }

// BulkDensityKgM3 is the mass over the built volume; NaN when that is unknown.
func (m Mixture) BulkDensityKgM3(shrink float64) float64 {
	return m.MassKg() / m.BuiltVolumeM3(shrink)
}

// VolatileSolids is the share of the dry matter that is not ash.
func (m Mixture) VolatileSolids() float64 {
	return m.sum(func(p Part) float64 { return p.DryKg() * p.Composition.VolatileSolids }) / m.DryKg()
}

// shareOfDry is the dry-matter share of a property that may be unknown (NaN)
// for some part of the mix, and then is unknown for the mix.
func (m Mixture) shareOfDry(of func(feedstocks.Composition) float64) float64 {
	return m.sum(func(p Part) float64 {
		if p.MassKg == 0 {
			return 0
		}
		return p.DryKg() * of(p.Composition)
	}) / m.DryKg()
}

// Nitrogen is the share of nitrogen in the dry matter.
func (m Mixture) Nitrogen() float64 { return m.NitrogenKg() / m.DryKg() }

// Phosphate is the share of P2O5 in the dry matter; NaN when it is not known
// for every material in the mix.
func (m Mixture) Phosphate() float64 {
	return m.shareOfDry(func(c feedstocks.Composition) float64 { return c.Phosphate })
}

// Potash is the share of K2O in the dry matter; NaN when it is not known for
// every material in the mix.
func (m Mixture) Potash() float64 {
	return m.shareOfDry(func(c feedstocks.Composition) float64 { return c.Potash })
}

// FreeAirSpace is the share of the built volume that is air:
//
//	1 - BD (M/1000 + (1-M) (VS/1600 + (1-VS)/2500))
//
// with the bulk density BD in kg/m3, moisture M and volatile solids VS as
// fractions. Particle densities of 1600 kg/m3 for organic matter and 2500 for
// ash are those of van Ginkel (1999) and Richard et al. (2004), Biotechnol.
// Prog. 20:1372-1381 (from memory); Ahn et al. (2008) found the balance to
// agree with a pycnometer on 12 materials.
func FreeAirSpace(bulkDensityKgM3, moisture, volatileSolids float64) float64 {
	return 1 - bulkDensityKgM3*ParticleVolume(moisture, volatileSolids)
}

const (
	waterDensity   = 1000.0 // kg/m3
	organicDensity = 1600.0
	ashDensity     = 2500.0
)

// ParticleVolume is the volume in m3 that 1 kg of moist material fills, pores
// left out.
func ParticleVolume(moisture, volatileSolids float64) float64 {
	return moisture/waterDensity + (1-moisture)*(volatileSolids/organicDensity+(1-volatileSolids)/ashDensity)
}

// WaterToReach is the water in kg to add to massKg at moisture from to bring
// it to moisture to (both fractions, to below 1); negative when it is too wet
// already: W = Q (G - M) / (1 - G).
func WaterToReach(massKg, from, to float64) float64 { return massKg * (to - from) / (1 - to) }

// BiodegradableFraction is the share of volatile solids that microbes can
// use, B = 0.830 - 0.028 X with X the lignin in per cent of volatile solids,
// held within 0 and 0.83 (Chandler et al. 1980, from memory; fitted on
// anaerobic digestion and valid to about X = 20). lignin is a share of dry
// matter.
func BiodegradableFraction(lignin, volatileSolids float64) float64 {
	const ceiling, slope = 0.830, 0.028
	return min(ceiling, max(0, ceiling-slope*100*lignin/volatileSolids))
}

// BiodegradableCarbonToNitrogen counts only the carbon that microbes can use.
// It is for a second look, never for a target: targets are calibrated on
// total carbon. NaN when lignin is not known for every material in the mix.
func (m Mixture) BiodegradableCarbonToNitrogen() float64 {
	carbon := m.sum(func(p Part) float64 {
		if p.MassKg == 0 {
			return 0
		}
		return p.CarbonKg() * BiodegradableFraction(p.Composition.Lignin, p.Composition.VolatileSolids)
	})
	return carbon / m.NitrogenKg()
}

// WaterRatio is Haug's screen: mass of water over mass of biodegradable
// volatile solids, M / ((1-M) VS k). Below about 8 a pile is expected to heat
// and dry; above 10 it holds more water than its heat can drive off (Haug
// 1993, "The Practical Handbook of Compost Engineering", from memory).
// biodegradable is k, the share of volatile solids that is lost.
func WaterRatio(moisture, volatileSolids, biodegradable float64) float64 {
	return moisture / ((1 - moisture) * volatileSolids * biodegradable)
}

// usualLoss is the share of volatile solids that composting burns off when
// nothing better is known, least, usual and most: a judgement from published
// losses (57 % of dry weight in a hundred home bins, Smith and Jasim 2009, Waste
// Manag. Res. 27:941-950; half of the dry mass of horse manure on straw pellets,
// Agric. Food Sci. 2017).
func usualLoss() Span { return Span{0.35, 0.50, 0.65} }

// Span is a low, a usual and a high value.
type Span struct{ Low, Usual, High float64 }

// known reports whether v is a number.
func known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
