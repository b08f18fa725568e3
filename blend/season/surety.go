package season

import (
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"heapwright/blend"
)

// pert is the modified PERT distribution of a span: a beta distribution that
// weighs the likely value four times as much as either end (Malcolm et al.
// 1959, from memory).
func pert(s blend.Span) func(u float64) float64 {
	if !(s.High > s.Low) {
		return func(float64) float64 { return s.Usual }
	}
	width := s.High - s.Low
	beta := distuv.Beta{Alpha: 1 + 4*(s.Usual-s.Low)/width, Beta: 1 + 4*(s.High-s.Usual)/width}
	return func(u float64) float64 { return s.Low + width*beta.Quantile(u) }
}

// left is the share of the built volume that a material leaves. Where the
// season is planned on the low side the usual share is the one that holds with
// that chance.
func (s *Season) left(material int) blend.Span {
	span := blend.VolumeLeft(s.Materials[material].Feedstock)
	if s.sure > 0 {
		span.Usual = pert(span)(1 - s.sure)
	}
	return span
}

// OnTheLowSide is the season with each arrival, and the share of volume that
// is left, so low that it holds with a chance of sure (above 0, below 1), each
// by itself. That all of them hold together is less likely; [Plan.Chances]
// says how the beds fare.
func (s *Season) OnTheLowSide(sure float64) *Season {
	out := *s
	out.sure = sure
	out.Arrivals = slices.Clone(s.Arrivals)
	for k, a := range out.Arrivals {
		if a.HighKg > a.LowKg {
			out.Arrivals[k].Kg = pert(blend.Span{Low: a.LowKg, Usual: a.Kg, High: a.HighKg})(1 - sure)
		}
	}
	return &out
}

// Chances say how likely beds are to get their compost.
type Chances struct {
	Draws int
	Seed  uint64
	Beds  []float64 // of each bed, to get at least nine tenths of it
	All   float64   // of all of them to do so
}

// chanceDraws is how often a season is drawn; the chances are good to about
// 2 points.
const chanceDraws = 2000

// servedEnough is the share of its compost with which a bed counts as served.
const servedEnough = 0.9

// Chances draws what comes from the ranges of the arrivals of s, the season as
// it is likely to be, and how much each batch shrinks from the published
// spread, and follows the plan: a batch takes what it was to take as far as it
// is there, and nothing is planned anew.
func (p *Plan) Chances(s *Season, seed uint64) *Chances {
	out := &Chances{Draws: chanceDraws, Seed: seed, Beds: make([]float64, len(s.Beds.Beds))}
	r := rand.New(rand.NewPCG(seed, 0x5ea50))
	comes := make([]func(float64) float64, len(s.Arrivals))
	for k, a := range s.Arrivals {
		comes[k] = pert(blend.Span{Low: a.LowKg, Usual: a.Kg, High: a.HighKg})
	}
	left := make([]func(float64) float64, len(s.Materials))
	for i, m := range s.Materials {
		left[i] = pert(blend.VolumeLeft(m.Feedstock))
	}
	for range chanceDraws {
		drawn := *s
		drawn.Arrivals = slices.Clone(s.Arrivals)
		for k := range drawn.Arrivals {
			if s.Arrivals[k].HighKg > s.Arrivals[k].LowKg {
				drawn.Arrivals[k].Kg = comes[k](r.Float64())
			}
		}
		trial := &Plan{Season: &drawn, Batches: slices.Clone(p.Batches), Purchases: p.Purchases, Laid: slices.Clone(p.Laid)}
		trial.follow()
		planned := map[[2]int]float64{} // by week and material
		for _, b := range p.Batches {
			for i, kg := range b.Kg {
				planned[[2]int{b.Week, i}] += kg
			}
		}
		for n := range trial.Batches {
			b := &trial.Batches[n]
			shrinks := r.Float64()
			b.CompostM3 = blend.Span{}
			for i, kg := range b.Kg {
				if kg > 0 {
					there := trial.Stocks[i].Used[b.Week-1] / planned[[2]int{b.Week, i}]
					b.CompostM3.Usual += kg * min(there, 1) * s.builtPerKg(i) * left[i](shrinks)
				}
			}
		}
		all := true
		for i, got := range trial.serve() {
			if got.CompostM3 >= servedEnough*s.Beds.Beds[i].CompostM3 {
				out.Beds[i] += 1. / chanceDraws
			} else {
				all = false
			}
		}
		if all {
			out.All += 1. / chanceDraws
		}
	}
	return out
}
