package blend_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/blend"
)

// agreement is the relative difference up to which two answers are the same.
const agreement = 1e-6

// brokenLimit says which limit a recipe breaks, or "". It is plain arithmetic
// on the masses and shares no code with the package.
func brokenLimit(p *blend.Problem, mix blend.Mixture) string {
	mass, water, dry, organic, loose := mix.AddedWaterKg, mix.AddedWaterKg, 0.0, 0.0, 0.0
	volumes := make([]float64, len(p.Materials))
	nitrogen, stock, stockNitrogen, hollow := 0.0, 0.0, 0.0, false
	for j, m := range p.Materials {
		x, c := mix.Parts[j].MassKg, m.Composition
		nitrogen += x * (1 - c.Moisture) * c.Nitrogen
		stock += m.OnHandKg
		stockNitrogen += m.OnHandKg * (1 - c.Moisture) * c.Nitrogen
		hollow = hollow || m.OnHandKg > 0 && c.Nitrogen == 0
		slack := agreement * m.OnHandKg
		if x < m.AtLeastKg-slack || x > m.OnHandKg+slack || x < 0 {
			return fmt.Sprintf("%g kg of %s, allowed %g to %g", x, m.Name, m.AtLeastKg, m.OnHandKg)
		}
		mass += x
		water += x * c.Moisture
		dry += x * (1 - c.Moisture)
		organic += x * (1 - c.Moisture) * c.VolatileSolids
		if x > 0 {
			volumes[j] = x / c.DensityKgM3
			loose += volumes[j]
		}
	}
	if hollow && nitrogen/(mass-mix.AddedWaterKg) < leastNitrogen*stockNitrogen/stock*(1-agreement) {
		return fmt.Sprintf("%g kg of nitrogen in %g kg", nitrogen, mass)
	}
	pile := p.Pile
	if mix.AddedWaterKg < 0 || mix.AddedWaterKg > pile.WaterKg*(1+agreement)+agreement*mass*1e-3 {
		return fmt.Sprintf("%g kg of water of %g", mix.AddedWaterKg, pile.WaterKg)
	}
	built := loose * (1 - pile.Shrink)
	for _, most := range []float64{pile.SizeM3, pile.LargestM3} {
		if most > 0 && built > most*(1+agreement) {
			return fmt.Sprintf("%g m3, allowed %g", built, most)
		}
	}
	if d := pile.DensestKgM3; d > 0 && mass/built > d*(1+2*agreement) {
		return fmt.Sprintf("%g kg/m3, allowed %g", mass/built, d)
	}
	solid := water/1000 + organic/1600 + (dry-organic)/2500
	if a := pile.AirAtLeast; a > 0 && 1-solid/built < a-2*agreement {
		return fmt.Sprintf("air %g, wanted %g", 1-solid/built, a)
	}
	for j, m := range p.Materials {
		if m.ShareAtMost > 0 && volumes[j] > (m.ShareAtMost+2*agreement)*loose {
			return fmt.Sprintf("share of %s %g, allowed %g", m.Name, volumes[j]/loose, m.ShareAtMost)
		}
	}
	return ""
}

// distances are those of C:N and of moisture, by plain arithmetic.
func distances(p *blend.Problem, mix blend.Mixture) (ratio, moisture float64) {
	mass, water, carbon, nitrogen := mix.AddedWaterKg, mix.AddedWaterKg, 0.0, 0.0
	for j, m := range p.Materials {
		x, c := mix.Parts[j].MassKg, m.Composition
		mass += x
		water += x * c.Moisture
		carbon += x * (1 - c.Moisture) * c.Carbon
		nitrogen += x * (1 - c.Moisture) * c.Nitrogen
	}
	of := func(a blend.Aim, v float64) float64 {
		if v > a.Aim {
			return (v - a.Aim) / (a.High - a.Aim)
		}
		return (a.Aim - v) / (a.Aim - a.Low)
	}
	return of(p.Target.CarbonToNitrogen, carbon/nitrogen), of(p.Target.Moisture, water/mass)
}

// fault says in what a recipe is wrong by itself, or "".
func fault(p *blend.Problem, r *blend.Recipe) string {
	if r.Conflict {
		if r.Status != blend.OutOfReach || !math.IsInf(r.Distance, 1) || len(r.Mixture.Parts) > 0 {
			return "a conflict that has a mix"
		}
		return ""
	}
	if broken := brokenLimit(p, r.Mixture); broken != "" {
		return "it breaks a limit: " + broken
	}
	ratio, moisture := distances(p, r.Mixture)
	d := max(ratio, moisture)
	if math.Abs(d-r.Distance) > 1e-9*(1+d) {
		return fmt.Sprintf("its distance is %g, not %g", d, r.Distance)
	}
	switch {
	case r.Status == blend.OnTarget && d > 1e-4, r.Status == blend.InRange && (d <= 1e-4 || d > 1+agreement),
		r.Status == blend.OutOfReach && d <= 1:
		return fmt.Sprintf("it is %v at a distance of %g", r.Status, d)
	}
	return ""
}

// tryFormulate formulates and checks that the answer is right by itself.
func tryFormulate(t *rapid.T, p *blend.Problem) *blend.Recipe {
	r, err := blend.Formulate(context.Background(), p)
	require.NoError(t, err, describe(p))
	require.Empty(t, fault(p, r), describe(p))
	return r
}

// tieAgreement is the share of a pile to which amounts agree. They come last,
// of a strictly convex program whose least value is known to some 1e-11, so the
// place of that value is known to the square root.
const tieAgreement = 1e-5

// same compares two recipes: distance, size and, by what key calls one
// material, the amounts.
func same(t require.TestingT, a, b *blend.Recipe, scale float64, key func(name string) string, context string) {
	require.Equal(t, a.Conflict, b.Conflict, context)
	if a.Conflict {
		return
	}
	require.InDelta(t, a.Distance, b.Distance, agreement*(1+a.Distance), context)
	// A trace of a material without a density makes a volume unknown.
	if !math.IsNaN(a.Figures.VolumeM3) && !math.IsNaN(b.Figures.VolumeM3) {
		require.InEpsilon(t, scale*a.Figures.VolumeM3, b.Figures.VolumeM3, agreement, context)
	}
	amounts := func(r *blend.Recipe) map[string]float64 {
		out := map[string]float64{"water": r.Mixture.AddedWaterKg}
		for _, x := range r.Mixture.Parts {
			out[key(x.Name)] += x.MassKg
		}
		return out
	}
	was, is := amounts(a), amounts(b)
	slack := tieAgreement * scale * a.Mixture.MassKg()
	for name, kg := range was {
		require.InDelta(t, scale*kg, is[name], slack, "%s, in a pile of %g kg\n%s", name, a.Mixture.MassKg(), context)
	}
}

func itself(name string) string { return name }

func TestAnswersObeyEveryLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tryFormulate(t, randomProblem(rapidChooser{t}, 12))
	})
}

func TestDoublingTheStockDoublesThePile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomProblem(rapidChooser{t}, 8)
		twice := *p
		twice.Materials = slices.Clone(p.Materials)
		for j := range twice.Materials {
			twice.Materials[j].OnHandKg *= 2
			twice.Materials[j].AtLeastKg *= 2
		}
		twice.Pile.SizeM3 *= 2
		twice.Pile.LargestM3 *= 2
		twice.Pile.WaterKg *= 2
		same(t, tryFormulate(t, p), tryFormulate(t, &twice), 2, itself, describe(p))
	})
}

func TestOrderOfMaterialsChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomProblem(rapidChooser{t}, 8)
		other := *p
		other.Materials = rapid.Permutation(p.Materials).Draw(t, "order")
		same(t, tryFormulate(t, p), tryFormulate(t, &other), 1, itself, describe(p))
	})
}

func TestSplittingALotChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomProblem(rapidChooser{t}, 8)
		j := rapid.IntRange(0, len(p.Materials)-1).Draw(t, "lot")
		p.Materials[j].ShareAtMost = 0 // a share is of a lot
		part := rapid.Float64Range(0.05, 0.95).Draw(t, "part")
		split := *p
		split.Materials = slices.Clone(p.Materials)
		second := split.Materials[j]
		second.Name = "other half of " + second.Name
		second.OnHandKg *= 1 - part
		second.AtLeastKg *= 1 - part
		split.Materials[j].OnHandKg *= part
		split.Materials[j].AtLeastKg *= part
		split.Materials = append(split.Materials, second)
		joined := func(name string) string {
			if name == second.Name {
				return p.Materials[j].Name
			}
			return name
		}
		same(t, tryFormulate(t, p), tryFormulate(t, &split), 1, joined, describe(p))
	})
}

func TestALimitNeverImprovesTheDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapidChooser{t}
		p := randomProblem(c, 6)
		p.Pile.Prefer = blend.PreferTarget
		for _, m := range p.Materials {
			if math.IsNaN(m.Composition.DensityKgM3) {
				t.Skip("its volume is not known")
			}
		}
		tight := *p
		tight.Materials = slices.Clone(p.Materials)
		m := &tight.Materials[c.below(len(tight.Materials))]
		switch c.below(6) {
		case 0:
			m.AtLeastKg += (m.OnHandKg - m.AtLeastKg) * c.unit()
		case 1:
			m.OnHandKg -= (m.OnHandKg - m.AtLeastKg) * c.unit()
		case 2:
			if m.ShareAtMost == 0 {
				m.ShareAtMost = 1
			}
			m.ShareAtMost *= between(c, 0.05, 1)
		case 3:
			tight.Pile.WaterKg = min(tight.Pile.WaterKg, 500) * c.unit()
		case 4:
			if tight.Pile.DensestKgM3 == 0 {
				tight.Pile.DensestKgM3 = 1000
			}
			tight.Pile.DensestKgM3 *= between(c, 0.1, 1)
		case 5:
			tight.Pile.AirAtLeast = p.Pile.AirAtLeast + (0.95-p.Pile.AirAtLeast)*c.unit()
		}
		if tight.Validate() != nil {
			t.Skip("nothing with nitrogen is left")
		}
		was, is := tryFormulate(t, p), tryFormulate(t, &tight)
		if was.Conflict {
			require.True(t, is.Conflict, describe(&tight))
		}
		require.GreaterOrEqual(t, is.Distance*(1+agreement)+agreement, was.Distance, describe(&tight))
	})
}

// A mix without added water lies between its driest and wettest ingredient,
// and between its lowest and highest C:N.
func TestAMixLiesBetweenItsIngredients(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapidChooser{t}
		mix := blend.Mixture{}
		ratio, moisture := []float64{}, []float64{}
		for range 1 + c.below(8) {
			x := part(scaled(c, 1e-3, 1e4), randomComposition(c))
			mix.Parts = append(mix.Parts, x)
			moisture = append(moisture, x.Composition.Moisture)
			if x.CarbonKg() > 0 || x.NitrogenKg() > 0 {
				ratio = append(ratio, x.CarbonKg()/x.NitrogenKg())
			}
		}
		const rounding = 1e-12
		assert.GreaterOrEqual(t, mix.Moisture(), slices.Min(moisture)*(1-rounding))
		assert.LessOrEqual(t, mix.Moisture(), slices.Max(moisture)*(1+rounding))
		if len(ratio) > 0 {
			assert.GreaterOrEqual(t, mix.CarbonToNitrogen(), slices.Min(ratio)*(1-rounding))
			assert.LessOrEqual(t, mix.CarbonToNitrogen(), slices.Max(ratio)*(1+rounding))
		}
		dry := mix.Moisture()
		mix.AddedWaterKg = scaled(c, 1e-3, 1e4)
		assert.Greater(t, mix.Moisture(), dry*(1-rounding), "water only makes it wetter")
	})
}

// No mix on a grid over the amounts is nearer than the answer.
func TestNoMixOnAGridIsNearer(t *testing.T) {
	const steps = 8
	rapid.Check(t, func(t *rapid.T) {
		p := randomProblem(rapidChooser{t}, 3)
		p.Pile.Prefer = blend.PreferTarget
		r := tryFormulate(t, p)
		mass := 0.0
		for _, m := range p.Materials {
			mass += m.OnHandKg
		}
		mix := blend.Mixture{Parts: make([]blend.Part, len(p.Materials))}
		var walk func(j int)
		walk = func(j int) {
			if j < len(p.Materials) {
				m := p.Materials[j]
				for k := range steps + 1 {
					mix.Parts[j] = part(m.AtLeastKg+(m.OnHandKg-m.AtLeastKg)*float64(k)/steps, m.Composition)
					walk(j + 1)
				}
				return
			}
			for k := range steps + 1 {
				mix.AddedWaterKg = min(p.Pile.WaterKg, mass) * float64(k) / steps
				if ratio, moisture := distances(p, mix); max(ratio, moisture) < r.Distance-agreement*(1+r.Distance) && strictlyWithin(p, mix) {
					require.Failf(t, "a nearer mix", "distance %g, where %g was found: %+v\n%s", max(ratio, moisture), r.Distance, mix, describe(p))
				}
			}
		}
		walk(0)
	})
}

// strictlyWithin reports whether a mix obeys the limits without any slack on
// those that brokenLimit gives some.
func strictlyWithin(p *blend.Problem, mix blend.Mixture) bool {
	strict := *p
	strict.Materials = slices.Clone(p.Materials)
	for j := range strict.Materials {
		strict.Materials[j].ShareAtMost -= min(strict.Materials[j].ShareAtMost/2, 3*agreement)
	}
	strict.Pile.SizeM3 *= 1 - 3*agreement
	strict.Pile.LargestM3 *= 1 - 3*agreement
	strict.Pile.DensestKgM3 *= 1 - 3*agreement
	if strict.Pile.AirAtLeast > 0 {
		strict.Pile.AirAtLeast += 3 * agreement
	}
	return brokenLimit(&strict, mix) == ""
}

// randomProblems lists the first n problems of a seed, for benchmarks.
func randomProblems(seed uint64, n, materials int) []*blend.Problem {
	r := rand.New(rand.NewPCG(seed, 7))
	var out []*blend.Problem
	for len(out) < n {
		p := wateredProblem()
		for j := range materials {
			c := seedChooser{r}
			carbon := between(c, 0.35, 0.5)
			p.Materials = append(p.Materials, onHand(fmt.Sprintf("material %d", j+1), scaled(c, 20, 500),
				composed(between(c, 0.1, 0.8), carbon, carbon/scaled(c, 8, 200), scaled(c, 60, 800))))
		}
		p.Pile.Shrink = blend.DefaultShrink
		p.Pile.LargestM3 = 3
		out = append(out, p)
	}
	return out
}
