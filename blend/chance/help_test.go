package chance

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// seedOf is the seed of a random test, HEAPWRIGHT_SEED or a usual one, and
// logs it.
func seedOf(t testing.TB) uint64 {
	seed := uint64(20261125)
	if text := os.Getenv("HEAPWRIGHT_SEED"); text != "" {
		var err error
		seed, err = strconv.ParseUint(text, 10, 64)
		require.NoError(t, err)
	}
	t.Logf("HEAPWRIGHT_SEED=%d", seed)
	return seed
}

// few is n, or a few of n under the race detector.
func few(n int) int {
	if raced {
		return max(n/10, 1)
	}
	return n
}

// far is the number of standard errors that a test of one figure allows: a
// normal error is beyond it less than once in 10,000 tests. veryFar serves
// tests of up to 100 figures.
const far, veryFar = 3.9, 4.9

func library(t testing.TB) *feedstocks.Library {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	return lib
}

// planned reads the text of a plan.
func planned(t testing.TB, text string) *blend.Problem {
	plan, err := blend.ReadPlan(strings.NewReader(text), "plan.toml")
	require.NoError(t, err)
	p, err := plan.Problem(library(t))
	require.NoError(t, err)
	return p
}

// fixed holds every figure of a material but those named.
func fixed(m *blend.Material, but ...feedstocks.Kind) {
	for _, k := range []feedstocks.Kind{feedstocks.Carbon, feedstocks.Nitrogen, feedstocks.CarbonToNitrogen, feedstocks.Moisture, feedstocks.BulkDensity} {
		p, ok := m.Feedstock.Properties[k]
		free := false
		for _, b := range but {
			free = free || b == k
		}
		if free {
			continue
		}
		if !ok && k == feedstocks.Carbon {
			p, ok = feedstocks.Measured(m.Composition.Carbon), true
		}
		if ok {
			p.Shape = "fixed"
			m.Feedstock = m.Feedstock.With(k, p)
		}
	}
}

// judged is the recipe of all that is on hand.
func judged(t testing.TB, p *blend.Problem) *blend.Recipe {
	r, err := blend.Judge(p)
	require.NoError(t, err)
	return r
}

// complete lists the materials of the library of which all is known that a
// pile's size needs.
func complete(t testing.TB) []*feedstocks.Feedstock {
	var out []*feedstocks.Feedstock
	for _, f := range library(t).All() {
		if c, err := f.Composition(); err == nil && c.Nitrogen > 0 && c.Carbon > 0 && !math.IsNaN(c.DensityKgM3) {
			out = append(out, f)
		}
	}
	require.Greater(t, len(out), 30)
	return out
}

// litre is a measure for materials that are counted by volume.
var litre = feedstocks.Unit{Name: "L", Plural: "L", Dimension: feedstocks.Volume, Factor: 1e-3}

// randomPlan is a plan of n materials of the library, half by volume, with
// limits now and then.
func randomPlan(t testing.TB, r *rand.Rand, n int) *blend.Problem {
	from := complete(t)
	r.Shuffle(len(from), func(i, j int) { from[i], from[j] = from[j], from[i] })
	p := &blend.Problem{Target: blend.DefaultTarget(), Pile: blend.Pile{WaterKg: math.Inf(1), Shrink: 0.2}}
	loose := 0.0
	for j := range n {
		c, err := from[j].Composition()
		require.NoError(t, err)
		m := blend.Material{Name: from[j].Name, Feedstock: from[j], Composition: c, OnHandKg: 20 * math.Exp(3*r.Float64())}
		if r.IntN(2) == 0 {
			m.OnHand = feedstocks.Quantity{Number: m.OnHandKg / c.DensityKgM3 * 1000, Unit: litre}
		}
		switch r.IntN(8) {
		case 0:
			m.AtLeastKg = m.OnHandKg * r.Float64() / 4
		case 1:
			m.ShareAtMost = 0.2 + 0.6*r.Float64()
		}
		loose += m.OnHandKg / c.DensityKgM3
		p.Materials = append(p.Materials, m)
	}
	if r.IntN(2) == 0 {
		p.Pile.SizeM3 = loose * (0.2 + r.Float64())
	}
	switch r.IntN(5) {
	case 0:
		p.Pile.WaterKg = 0
	case 1:
		p.Pile.WaterKg = 30
	}
	if r.IntN(6) == 0 {
		p.Pile.DensestKgM3 = 500 + 300*r.Float64()
	}
	return p
}

func describe(p *blend.Problem) string {
	var s strings.Builder
	fmt.Fprintf(&s, "%+v\n%+v\n", p.Target, p.Pile)
	for _, m := range p.Materials {
		fmt.Fprintf(&s, "  %s %g kg, at least %g, share %g, by volume %v\n", m.Name, m.OnHandKg, m.AtLeastKg, m.ShareAtMost, byVolume(m))
	}
	return s.String()
}

// nature draws values of a spread without the package's tables, out of gonum's
// distributions.
func nature(s Spread, src rand.Source) float64 {
	switch {
	case s.Shape == Fixed || !(s.Low < s.High):
		return s.Typical
	case s.Shape == PERT:
		return s.Low + (s.High-s.Low)*betaOf(s, src).Rand()
	}
	z := distuv.Normal{Mu: 0, Sigma: 1, Src: src}.Rand()
	sideways := s.High
	if z < 0 {
		sideways = s.Low
	}
	if s.Shape == LogNormal {
		return s.Typical * math.Pow(sideways/s.Typical, math.Abs(z)/1.6448536)
	}
	return s.Typical + (sideways-s.Typical)*math.Abs(z)/1.6448536
}

func betaOf(s Spread, src rand.Source) distuv.Beta {
	width := s.High - s.Low
	return distuv.Beta{Alpha: 1 + 4*(s.Typical-s.Low)/width, Beta: 1 + 4*(s.High-s.Typical)/width, Src: src}
}

// pileOf is one pile that nature makes of a recipe: its arithmetic shares
// nothing with the package but the list of the unknowns.
func pileOf(r *blend.Recipe, unknown []Unknown, src rand.Source) Outcome {
	p := r.Problem
	type figures struct{ carbon, nitrogen, ratio, moisture, dense float64 }
	drawn := make([]figures, len(p.Materials))
	for j, m := range p.Materials {
		c := m.Composition
		drawn[j] = figures{carbon: c.Carbon, nitrogen: c.Nitrogen, moisture: c.Moisture, dense: c.DensityKgM3}
	}
	for _, u := range unknown {
		f, v := &drawn[u.material], nature(u.Spread, src)
		switch u.Kind {
		case feedstocks.Carbon:
			f.carbon = v
		case feedstocks.Nitrogen:
			f.nitrogen = v
		case feedstocks.CarbonToNitrogen:
			f.ratio = v
		case feedstocks.Moisture:
			f.moisture = min(max(v, 0), 0.95)
		case feedstocks.BulkDensity:
			f.dense = v
		}
	}
	water, dry, carbon, nitrogen, loose := r.Mixture.AddedWaterKg, 0.0, 0.0, 0.0, 0.0
	filled := water / 1000
	for j, m := range p.Materials {
		f, x := drawn[j], r.Mixture.Parts[j].MassKg
		// a heap that is wetter is heavier, up to that of its solid and water
		dense := f.dense * (1 - m.Composition.Moisture) / (1 - f.moisture)
		organic := m.Composition.VolatileSolids
		solid := f.moisture/1000 + (1-f.moisture)*(organic/1600+(1-organic)/2500)
		if dense*solid > 1 {
			dense = max(1/solid, m.Composition.DensityKgM3)
		}
		if m.OnHand.Unit.Dimension == feedstocks.Volume {
			x *= dense / m.Composition.DensityKgM3
		}
		if f.ratio > 0 {
			f.nitrogen = f.carbon / f.ratio
		}
		water += x * f.moisture
		dry += x * (1 - f.moisture)
		carbon += x * (1 - f.moisture) * f.carbon
		nitrogen += x * (1 - f.moisture) * f.nitrogen
		if x > 0 {
			loose += x / dense
		}
		filled += x * solid
	}
	built := max(loose*(1-p.Pile.Shrink), filled)
	return Outcome{CarbonToNitrogen: carbon / nitrogen, Moisture: water / (water + dry), VolumeM3: built, BulkDensityKgM3: (water + dry) / built}
}
