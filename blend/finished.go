package blend

import "heapwright/feedstocks"

// finishedMoisture is the moisture of compost when it is spread: composting
// dries a pile from 60 % to about 40 % (Ecology Center, "Moisture management").
const finishedMoisture = 0.40

// FinishedMass is the mass in kg that dryKg of dry matter leaves as compost at
// 40 % moisture, when 35, 50 or 65 % of its volatile solids are lost: Low goes
// with the greatest loss. The balance is DM (ash + VS (1-k)) / (1-M).
func FinishedMass(dryKg, volatileSolids float64) Span {
	left := func(loss float64) float64 {
		return dryKg * (1 - volatileSolids*loss) / (1 - finishedMoisture)
	}
	loss := usualLoss()
	return Span{left(loss.High), left(loss.Usual), left(loss.Low)}
}

// VolumeLeft is the share of the built volume that composting leaves of a
// material: 40 to 70 % of manures, 25 to 60 % of everything else and of nil. It
// is a judgement from published losses, of 40 to 75 % for leaves and yard
// trimmings (Waste360, "Yard waste") and 25 to 50 % for horse manure (Penn State
// Extension, "Horse manure compost").
func VolumeLeft(f *feedstocks.Feedstock) Span {
	if f != nil && f.Group == "manure" {
		return Span{0.40, 0.50, 0.70}
	}
	return Span{0.25, 0.40, 0.60}
}

// finishedVolume is the volume in m3 that a mix leaves as compost; NaN when
// its built volume is not known.
func (p *Problem) finishedVolume(mix Mixture) Span {
	var out Span
	for j, part := range mix.Parts {
		left := VolumeLeft(p.Materials[j].Feedstock)
		v := (1 - p.Pile.Shrink) * part.VolumeM3()
		out.Low += v * left.Low
		out.Usual += v * left.Usual
		out.High += v * left.High
	}
	return out
}
