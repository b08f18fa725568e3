package blend_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"pgregory.net/rapid"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// chooser makes the choices of a random problem. Two kinds exist: rapid's, so
// that a failure shrinks, and a plain one, so that a sweep is quick and a seed
// is enough to repeat it.
type chooser interface {
	unit() float64 // 0 to 1
	below(int) int // 0 to n-1
	odds(part, of int) bool
}

type rapidChooser struct{ t *rapid.T }

// unit comes in thousandths: shrinking would otherwise look for materials that
// differ by a millionth, where the last digits decide between them.
func (c rapidChooser) unit() float64 {
	return float64(rapid.IntRange(0, 1000).Draw(c.t, "unit")) / 1000
}

func (c rapidChooser) below(n int) int    { return rapid.IntRange(0, n-1).Draw(c.t, "choice") }
func (c rapidChooser) odds(a, b int) bool { return c.below(b) >= b-a }

type seedChooser struct{ r *rand.Rand }

func seeded(seed uint64) seedChooser { return seedChooser{rand.New(rand.NewPCG(seed, 2026))} }

func (c seedChooser) unit() float64      { return c.r.Float64() }
func (c seedChooser) below(n int) int    { return c.r.IntN(n) }
func (c seedChooser) odds(a, b int) bool { return c.below(b) < a }

// between and scaled pick a number evenly and evenly by its logarithm.
func between(c chooser, low, high float64) float64 { return low + c.unit()*(high-low) }

func scaled(c chooser, low, high float64) float64 {
	return low * math.Exp(c.unit()*math.Log(high/low))
}

// randomComposition is of a material as composters have it, or, one time in
// six, at the edge of what can be.
func randomComposition(c chooser) feedstocks.Composition {
	if c.odds(1, 6) {
		switch c.below(6) {
		case 0: // urea
			return composed(0.001, 0, 0.46, 750)
		case 1: // a liquid
			return composed(0.97, 0.40, 0.04, 1000)
		case 2: // sawdust
			return composed(0.12, 0.5556, 0.5556/1665, 150)
		case 3: // carbon alone
			return composed(0.05, 0.40, 0, 300)
		case 4: // ash: neither
			return composed(0.02, 0, 0, 900)
		default: // feathers
			return composed(0.30, 0.50, 0.15, 30)
		}
	}
	carbon := between(c, 0.30, 0.56)
	out := composed(between(c, 0.05, 0.90), carbon, carbon/scaled(c, 6, 250), scaled(c, 50, 1000))
	if c.odds(1, 3) {
		out.VolatileSolids = between(c, 0.4, 1)
	}
	return out
}

// randomAim is usual, or of any width from a thousandth of itself up to itself.
func randomAim(c chooser, usual blend.Aim, low, high, top float64) blend.Aim {
	if c.odds(2, 5) {
		return usual
	}
	aim := scaled(c, low, high)
	return blend.Aim{
		Low:  aim * (1 - scaled(c, 1e-3, 1)),
		Aim:  aim,
		High: min(aim*(1+scaled(c, 1e-3, 1)), aim+0.99*(top-aim)),
	}
}

// randomProblem is always one that Validate takes.
func randomProblem(c chooser, most int) *blend.Problem {
	p := &blend.Problem{Target: blend.Target{
		CarbonToNitrogen: randomAim(c, blend.DefaultTarget().CarbonToNitrogen, 8, 120, 1e6),
		Moisture:         randomAim(c, blend.DefaultTarget().Moisture, 0.1, 0.9, 1),
	}}
	n := 1 + c.below(most)
	for j := range n {
		m := onHand(fmt.Sprintf("material %d", j+1), scaled(c, 1, 5000), randomComposition(c))
		switch {
		case j > 0 && c.odds(1, 8): // the same stuff again
			m.Composition = p.Materials[c.below(j)].Composition
		case c.odds(1, 20): // sold out
			m.OnHandKg = 0
		}
		if c.odds(1, 7) {
			m.AtLeastKg = m.OnHandKg * between(c, 0, 1)
		} else if c.odds(1, 20) {
			m.AtLeastKg = m.OnHandKg
		}
		if c.odds(1, 10) {
			m.ShareAtMost = between(c, 0.05, 1)
		}
		if c.odds(1, 2) {
			m.PricePerKg = scaled(c, 0.01, 10)
		}
		p.Materials = append(p.Materials, m)
	}
	mass, loose, nitrogen := 0.0, 0.0, 0.0
	for _, m := range p.Materials {
		x := part(m.OnHandKg, m.Composition)
		mass, loose, nitrogen = mass+x.MassKg, loose+x.VolumeM3(), nitrogen+x.NitrogenKg()
	}
	if nitrogen == 0 {
		p.Materials[0].Composition = composed(0.78, 0.45, 0.03, 220)
		p.Materials[0].OnHandKg = max(p.Materials[0].OnHandKg, 50)
		mass += 50
		loose += 50.0 / 220
	}
	p.Pile.WaterKg = math.Inf(1)
	switch c.below(6) {
	case 0:
		p.Pile.WaterKg = 0
	case 1, 2:
		p.Pile.WaterKg = mass * scaled(c, 1e-2, 2)
	}
	p.Pile.Shrink = [...]float64{0, 0.1, blend.DefaultShrink, 0.4}[c.below(4)]
	if c.odds(1, 20) {
		p.Materials[c.below(n)].Composition.DensityKgM3 = math.NaN()
		for j := range p.Materials {
			p.Materials[j].ShareAtMost = 0
		}
		return p
	}
	if c.odds(2, 5) {
		p.Pile.SizeM3 = loose * scaled(c, 0.02, 2)
	}
	if c.odds(1, 4) {
		p.Pile.LargestM3 = max(loose*scaled(c, 0.02, 2), p.Pile.SizeM3)
	}
	if c.odds(1, 8) {
		p.Pile.DensestKgM3 = between(c, 150, 900)
	}
	if c.odds(1, 8) {
		p.Pile.AirAtLeast = between(c, 0.1, 0.85)
	}
	switch {
	case c.odds(1, 5):
		p.Pile.Prefer = blend.PreferLargest
	case c.odds(1, 4):
		p.Pile.Prefer = blend.PreferCheapest
		if p.Pile.SizeM3 == 0 {
			p.Pile.SizeM3 = loose * scaled(c, 0.02, 2)
			if p.Pile.LargestM3 > 0 {
				p.Pile.SizeM3 = min(p.Pile.SizeM3, p.Pile.LargestM3)
			}
		}
	}
	return p
}

// describe lays a problem out for a failure message.
func describe(p *blend.Problem) string {
	var s strings.Builder
	fmt.Fprintf(&s, "target %+v\npile %+v\n", p.Target, p.Pile)
	for _, m := range p.Materials {
		c := m.Composition
		fmt.Fprintf(&s, "  %s: %.17g kg (at least %.17g, share %.3g, price %.3g) moisture %.17g C %.17g N %.17g density %.6g VS %.6g\n",
			m.Name, m.OnHandKg, m.AtLeastKg, m.ShareAtMost, m.PricePerKg, c.Moisture, c.Carbon, c.Nitrogen, c.DensityKgM3, c.VolatileSolids)
	}
	return s.String()
}
