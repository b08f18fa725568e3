package blend_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// reachOf is the reach of a problem that has one.
func reachOf(t testing.TB, p *blend.Problem) blend.Reach {
	t.Helper()
	_, why := explained(t, p)
	require.NotNil(t, why.Reach, describe(p))
	return *why.Reach
}

// ratio and dampness are C:N and moisture of kg of materials and of water.
func ratio(p *blend.Problem, kg ...float64) float64 {
	carbon, nitrogen := 0.0, 0.0
	for j, m := range p.Materials {
		dry := kg[j] * (1 - m.Composition.Moisture)
		carbon += dry * m.Composition.Carbon
		nitrogen += dry * m.Composition.Nitrogen
	}
	return carbon / nitrogen
}

func dampness(p *blend.Problem, added float64, kg ...float64) float64 {
	water, mass := added, added
	for j, m := range p.Materials {
		water += kg[j] * m.Composition.Moisture
		mass += kg[j]
	}
	return water / mass
}

func TestReachOfTwoMaterials(t *testing.T) {
	two := func() *blend.Problem {
		p := wateredProblem(
			onHand("poor", 200, composed(0.2, 0.48, 0.006, 100)),
			onHand("rich", 300, composed(0.8, 0.42, 0.030, 400)))
		p.Pile.WaterKg = 0
		return p
	}
	is := func(name string, p *blend.Problem, ratioLow, ratioHigh, low, high float64) {
		t.Helper()
		r := reachOf(t, p)
		assert.InEpsilon(t, ratioLow, r.CarbonToNitrogen.Low, agreement, name)
		assert.InEpsilon(t, ratioHigh, r.CarbonToNitrogen.High, agreement, name)
		assert.InEpsilon(t, low, r.Moisture.Low, agreement, name)
		assert.InEpsilon(t, high, r.Moisture.High, agreement, name)
	}
	p := two()
	is("each alone", p, ratio(p, 0, 1), ratio(p, 1, 0), 0.2, 0.8)

	p = two()
	p.Pile.WaterKg = math.Inf(1)
	is("with all the water", p, ratio(p, 0, 1), ratio(p, 1, 0), 0.2, 1)

	p = two()
	p.Materials[0].AtLeastKg = 150
	is("a least amount", p, ratio(p, 150, 300), ratio(p, 200, 0), 0.2, dampness(p, 0, 150, 300))

	p = two()
	p.Materials[0].AtLeastKg = 150
	p.Pile.WaterKg = 60
	is("some water", p, ratio(p, 150, 300), ratio(p, 200, 0), 0.2, dampness(p, 60, 150, 300))

	p = two()
	p.Materials[1].ShareAtMost = 0.25
	// 75 L of poor to 25 L of rich
	is("a share", p, ratio(p, 7.5, 10), ratio(p, 1, 0), 0.2, dampness(p, 0, 7.5, 10))

	p = two()
	p.Pile.DensestKgM3 = 250
	// (100 v + 400 (1-v)) = 250 where v is one half
	is("a density", p, ratio(p, 50, 200), ratio(p, 1, 0), 0.2, dampness(p, 0, 50, 200))
}

// No mix on a grid lies outside, and some come close to each end.
func TestReachAgainstAGrid(t *testing.T) {
	checked := 0
	for seed := range uint64(40) {
		p := randomProblem(seeded(50_000+seed), 3)
		if hollow(p) {
			continue
		}
		r, why := explained(t, p)
		if r.Conflict {
			assert.Nil(t, why.Reach, describe(p))
			continue
		}
		require.NotNil(t, why.Reach, describe(p))
		const steps = 8
		var walk func(j int, kg []float64)
		water := []float64{0, 0.1, 0.3, 1, 3}
		walk = func(j int, kg []float64) {
			if j < len(p.Materials) {
				m := p.Materials[j]
				for k := range steps + 1 {
					walk(j+1, append(kg[:j:j], m.AtLeastKg+(m.OnHandKg-m.AtLeastKg)*float64(k)/steps))
				}
				return
			}
			mix := blend.Mixture{}
			mass := 0.0
			for j, m := range p.Materials {
				mix.Parts = append(mix.Parts, blend.Part{Name: m.Name, MassKg: kg[j], Composition: m.Composition})
				mass += kg[j]
			}
			if mass == 0 {
				return
			}
			for _, share := range water {
				mix.AddedWaterKg = min(share*mass, p.Pile.WaterKg)
				if !strictlyWithin(p, mix) {
					continue
				}
				checked++
				cn, m := ratio(p, kg...), dampness(p, mix.AddedWaterKg, kg...)
				if math.IsNaN(cn) || math.IsInf(cn, 0) {
					continue
				}
				reach := why.Reach
				if cn < reach.CarbonToNitrogen.Low*(1-agreement) || cn > reach.CarbonToNitrogen.High*(1+agreement) ||
					m < reach.Moisture.Low-agreement || m > reach.Moisture.High+agreement {
					t.Fatalf("seed %d: C:N %g, moisture %g of %v with %g of water, reach %+v\n%s", seed, cn, m, kg, mix.AddedWaterKg, reach, describe(p))
				}
			}
		}
		walk(0, nil)
	}
	require.Greater(t, checked, 1_500)
}

// The referee finds mixes up to each end of the reach and none beyond.
func TestReachAgainstTheReferee(t *testing.T) {
	const near = 1e-4
	sure, unsure := 0, 0
	for seed := range uint64(40) {
		p := randomProblem(seeded(60_000+seed), 6)
		if hollow(p) {
			continue
		}
		r, why := explained(t, p)
		if r.Conflict {
			continue
		}
		require.NotNil(t, why.Reach, describe(p))
		judge := newReferee(p)
		expect := func(name string, want verdict, rows [][]float64) {
			_, v := judge.with(rows...).least(make([]float64, judge.width))
			if v == failed {
				unsure++
				return
			}
			sure++
			assert.Equal(t, want, v, "seed %d: %s, reach %+v\n%s", seed, name, why.Reach, describe(p))
		}
		c, m := why.Reach.CarbonToNitrogen, why.Reach.Moisture
		for _, end := range []struct {
			name string
			want verdict
			by   float64
		}{{"inside", possible, near}, {"outside", impossible, -near}} {
			if c.Low > 0 {
				expect("low C:N "+end.name, end.want, judge.ratioBand(0, c.Low*(1+end.by))[:1])
			}
			expect("high C:N "+end.name, end.want, judge.ratioBand(c.High*(1-end.by), 1e9)[1:])
			expect("low moisture "+end.name, end.want, judge.moistureBand(0, m.Low+end.by)[:1])
			if m.High+near < 1 {
				expect(fmt.Sprint("high moisture ", end.name), end.want, judge.moistureBand(m.High-end.by, 2)[1:])
			}
		}
	}
	require.Greater(t, sure, 120)
	assert.Less(t, unsure, sure/20)
}
