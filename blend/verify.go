package blend

import (
	"fmt"
	"math"
	"slices"
)

// Verification slack, relative: a mix found by the optimiser must keep each
// limit and reach its distance to this much.
const (
	verifySlack = 1e-6
	ratioSlack  = 1e-8
)

// verify checks a formulated mix against the problem by the arithmetic of
// Mixture alone, apart from the rows that the optimiser worked on. Its error
// is a defect of this program, never of a plan.
func (p *Problem) verify(mix Mixture, distance float64) error {
	fail := func(format string, v ...any) error {
		return fmt.Errorf("blend: internal: the optimiser's mix failed its check: "+format, v...)
	}
	over := func(v, most float64) bool { return v > most+verifySlack*(1+math.Abs(most)) }
	for j, part := range mix.Parts {
		m := p.Materials[j]
		if over(part.MassKg, m.OnHandKg) || over(m.AtLeastKg, part.MassKg) || part.MassKg < 0 {
			return fail("%.6g kg of %s, with %.6g to %.6g kg allowed", part.MassKg, m.Name, m.AtLeastKg, m.OnHandKg)
		}
	}
	if mix.AddedWaterKg < -verifySlack || over(mix.AddedWaterKg, p.Pile.WaterKg) {
		return fail("%.6g kg of water with %.6g kg at hand", mix.AddedWaterKg, p.Pile.WaterKg)
	}
	if slices.ContainsFunc(p.Further, func(f Further) bool { return f.Broken(mix.amounts(), mix.AddedWaterKg, verifySlack) }) {
		return fail("a further limit is broken")
	}
	f := mix.Figures(p.Pile.Shrink)
	if over(f.VolumeM3, p.Pile.most()) {
		return fail("a volume of %.6g m3 with %.6g m3 allowed", f.VolumeM3, p.Pile.most())
	}
	r := &Recipe{Problem: p, Mixture: mix, Figures: f}
	loosened := *p
	loosened.Pile.LargestM3 *= 1 + verifySlack
	loosened.Pile.DensestKgM3 *= 1 + verifySlack
	loosened.Pile.AirAtLeast -= min(loosened.Pile.AirAtLeast, verifySlack)
	loosened.Materials = make([]Material, len(p.Materials))
	copy(loosened.Materials, p.Materials)
	for j := range loosened.Materials {
		if s := &loosened.Materials[j].ShareAtMost; *s > 0 {
			*s += verifySlack
		}
	}
	r.Problem = &loosened
	if breaches := r.Breaches(); len(breaches) > 0 {
		return fail("%s", breaches[0])
	}
	// A ratio is good to so many digits, which a narrow range magnifies.
	t := p.Target
	digits := ratioSlack * max(f.CarbonToNitrogen/t.CarbonToNitrogen.narrow(), f.Moisture/t.Moisture.narrow())
	if d := t.Distance(mix); over(d, distance+digits) {
		return fail("a distance of %.9g where %.9g was found", d, distance)
	}
	return nil
}
