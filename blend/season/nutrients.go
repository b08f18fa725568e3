package season

import (
	"math"

	"heapwright/blend"
)

// Compost is what finished compost is like when it is spread.
type Compost struct {
	DensityKgM3 float64
	Moisture    float64 // wet basis
	// Nitrogen, Phosphate (P2O5) and Potash (K2O) are shares of dry matter;
	// NaN where not known.
	Nitrogen, Phosphate, Potash float64
	// From says in words where the figures come from.
	From string
}

// TypicalCompost is compost of no known recipe: means of over 1,600 composts
// from the south-western United States (CalRecycle), of dry matter, at 40 %
// moisture and 1000 lb/yd3, which suppliers give as 1000 to 1200.
func TypicalCompost() Compost {
	return Compost{
		DensityKgM3: 593.2764, Moisture: 0.40,
		Nitrogen: 0.0153, Phosphate: 0.0134, Potash: 0.0136,
		From: "means of over 1,600 composts (CalRecycle), at 40 % moisture and 593 kg/m3",
	}
}

// lossOfNitrogen is the share of its nitrogen that a pile loses (a judgement
// from published losses of 2 to 40 %).
var lossOfNitrogen = blend.Span{Low: 0.05, Usual: 0.20, High: 0.40}

// CompostOf is the compost that a recipe becomes: phosphate and potash are
// kept, a fifth of the nitrogen is lost.
func CompostOf(r *blend.Recipe) Compost {
	f := r.Figures
	dry := f.FinishedKg.Usual * (1 - finishedMoisture)
	c := TypicalCompost()
	c.Moisture = finishedMoisture
	c.Nitrogen = f.NitrogenKg * (1 - lossOfNitrogen.Usual) / dry
	c.Phosphate, c.Potash = f.Phosphate*f.DryKg/dry, f.Potash*f.DryKg/dry
	if v := f.FinishedM3.Usual; v > 0 {
		c.DensityKgM3 = f.FinishedKg.Usual / v
	}
	c.From = "this recipe, with a fifth of its nitrogen lost as it composts"
	return c
}

const finishedMoisture = 0.40

// Nutrients are what a dressing of compost brings, in kg. NaN where a figure
// is not known.
type Nutrients struct {
	NitrogenKg, PhosphateKg, PotashKg float64
	// FirstYearKg is the nitrogen that plants can have in the first year.
	FirstYearKg blend.Span
}

// firstYear is the share of a compost's nitrogen that plants can have in the
// first year: 5 to 15 % by the review of Amlinger et al. (2003) for biowaste
// and yard composts, 5 to 25 % by garden extension; compost whose C:N is over
// about 25 gives none.
var firstYear = blend.Span{Low: 0.03, Usual: 0.10, High: 0.20}

// Nutrients are those of a volume of the compost in m3.
func (c Compost) Nutrients(volumeM3 float64) Nutrients {
	dry := volumeM3 * c.DensityKgM3 * (1 - c.Moisture)
	n := Nutrients{NitrogenKg: dry * c.Nitrogen, PhosphateKg: dry * c.Phosphate, PotashKg: dry * c.Potash}
	n.FirstYearKg = blend.Span{Low: firstYear.Low * n.NitrogenKg, Usual: firstYear.Usual * n.NitrogenKg, High: firstYear.High * n.NitrogenKg}
	return n
}

// Published rates. Each is a depth in m.
const (
	// UpkeepDepth is taken for a bed without a depth: half an inch, within
	// the quarter to half inch a year that keeps a bed in heart (a judgement;
	// common practice).
	UpkeepDepth = 0.5 * inchM
	// FirstYearDepth is taken for a new bed: about 2 inches (common practice;
	// Champlain Valley guidance gives 2 to 4 in for depleted soils).
	FirstYearDepth = 2 * inchM
	// YearlyMost is "about an inch or less" a year (University of Minnesota
	// Extension).
	YearlyMost = 1 * inchM
	// RebuildMost is the most for depleted soils: 4 in, and at least four
	// parts of soil to one of compost (Champlain Valley guidance).
	RebuildMost = 4 * inchM
)

// Crops take away 10 to 80 lb of phosphorus an acre a year (University of
// Vermont Extension), here in kg/m2.
const (
	phosphorusTakenLow  = 10 * poundKg / acreM2
	phosphorusTakenHigh = 80 * poundKg / acreM2
	poundKg             = 0.45359237
	// phosphatePerPhosphorus is the P2O5 that holds a kg of P.
	phosphatePerPhosphorus = 2.2914
)

// PhosphorusYears is for how many years crops would live on the phosphorus
// that a dressing of phosphateKg of P2O5 brings to an area; NaN when either is
// not known.
func PhosphorusYears(phosphateKg, areaM2 float64) blend.Span {
	if !(areaM2 > 0) {
		return blend.Span{Low: math.NaN(), Usual: math.NaN(), High: math.NaN()}
	}
	p := phosphateKg / phosphatePerPhosphorus / areaM2
	middle := math.Sqrt(phosphorusTakenLow * phosphorusTakenHigh)
	return blend.Span{Low: p / phosphorusTakenHigh, Usual: p / middle, High: p / phosphorusTakenLow}
}
