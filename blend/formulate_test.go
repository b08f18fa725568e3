package blend_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// Three materials of invented but ordinary figures. C:N: leaves 50, grass 15,
// manure 25.
func someLeaves(kg float64) blend.Material {
	return onHand("leaves", kg, composed(0.10, 0.45, 0.009, 80))
}

func someGrass(kg float64) blend.Material {
	return onHand("grass", kg, composed(0.70, 0.45, 0.03, 200))
}

func someManure(kg float64) blend.Material {
	return onHand("manure", kg, composed(0.70, 0.40, 0.016, 700))
}

func volumes(r *blend.Recipe) (m3 []float64) {
	for _, x := range r.Mixture.Parts {
		m3 = append(m3, x.VolumeM3())
	}
	return m3
}

func TestOnTarget(t *testing.T) {
	// Leaves and grass bracket C:N 30 and, with water, moisture 55 %.
	r := formulated(t, wateredProblem(someLeaves(100), someGrass(100)))
	assert.Equal(t, blend.OnTarget, r.Status)
	assert.Equal(t, "on target", r.Status.String())
	assert.InDelta(t, 0, r.Distance, 1e-6)
	assert.InDelta(t, 30, r.Figures.CarbonToNitrogen, 1e-5)
	assert.InDelta(t, 0.55, r.Figures.Moisture, 1e-8)
	assert.Empty(t, r.Breaches())
	assert.Empty(t, r.Notes)
	// By hand: a kg of leaves has 0.9 x (0.45 - 30 x 0.009) = 0.162 kg of carbon
	// too many, a kg of grass 0.3 x (30 x 0.03 - 0.45) = 0.135 kg too few.
	assert.InDelta(t, 0.162/0.135, r.Mixture.Parts[1].MassKg/r.Mixture.Parts[0].MassKg, 1e-6)
	assert.InDelta(t, 100, r.Mixture.Parts[1].MassKg, 1e-4, "the grass runs out first")
}

func TestInRange(t *testing.T) {
	// Manure alone has C:N 25 and is 70 % moist; leaves are few. Some distance
	// stays, within the ranges of a wide target.
	p := wateredProblem(forced("manure", 100, someManure(1).Composition), someLeaves(10))
	p.Target.Moisture = blend.Aim{Low: 0.4, Aim: 0.55, High: 0.75}
	r := formulated(t, p)
	assert.Equal(t, blend.InRange, r.Status)
	assert.Equal(t, "in range", r.Status.String())
	assert.Greater(t, r.Distance, 1e-4)
	assert.LessOrEqual(t, r.Distance, 1.0)
	assert.InDelta(t, 10, r.Mixture.Parts[1].MassKg, 1e-5, "all the leaves there are")
	assert.Zero(t, r.Mixture.AddedWaterKg, "it is too wet already")
}

func TestOutOfReachStillWatersThePile(t *testing.T) {
	// Everything has C:N 15, so 30 is out of reach, whatever the mix. Moisture
	// is not: the second criterion is not given up for the first.
	straw := composed(0.10, 0.45, 0.03, 60)
	r := formulated(t, wateredProblem(onHand("straw", 100, straw)))
	assert.False(t, r.Conflict)
	assert.Equal(t, blend.OutOfReach, r.Status)
	assert.Equal(t, "out of reach", r.Status.String())
	assert.InDelta(t, 3, r.Distance, 1e-6, "(30 - 15) / (30 - 25)")
	assert.InDelta(t, 0.55, r.Figures.Moisture, 1e-6)
	assert.InDelta(t, 100, r.Mixture.Parts[0].MassKg, 1e-5, "the largest pile")
	assert.InDelta(t, 100, r.Mixture.AddedWaterKg, 1e-4, "100 (0.55 - 0.10) / (1 - 0.55)")
}

func TestOutOfReachMoistureStillBalancesCarbon(t *testing.T) {
	// Too dry and no water at hand, but C:N 30 is met by two dry materials.
	p := wateredProblem(
		onHand("straw", 100, composed(0.10, 0.45, 0.0075, 60)),
		onHand("meal", 100, composed(0.10, 0.45, 0.05, 500)))
	p.Pile.WaterKg = 0
	r := formulated(t, p)
	assert.Equal(t, blend.OutOfReach, r.Status)
	assert.InDelta(t, 9, r.Distance, 1e-6, "(0.55 - 0.10) / 0.05")
	assert.InDelta(t, 30, r.Figures.CarbonToNitrogen, 1e-4)
}

// One material has one C:N, and a mix of it is itself: a target that it meets,
// brushes or misses is answered all the same.
func TestOneMaterial(t *testing.T) {
	for _, ratio := range []float64{10, 14.3, 25, 27.77, 30, 31.1, 35, 36, 80, 442} {
		for _, water := range []float64{0, 20, math.Inf(1)} {
			p := wateredProblem(onHand("litter", 100, composed(0.55, 0.013*ratio/10, 0.0013, 200)))
			p.Pile.WaterKg = water
			r := formulated(t, p)
			require.False(t, r.Conflict, "C:N %g, %g kg of water", ratio, water)
			assert.InDelta(t, 100, r.Mixture.Parts[0].MassKg, 1e-4)
			assert.InDelta(t, 0, r.Mixture.AddedWaterKg, 1e-4, "it is moist enough")
			assert.InEpsilon(t, ratio, r.Figures.CarbonToNitrogen, 1e-9)
		}
	}
}

// The same material twice, or two with one C:N, leave no choice of C:N.
func TestTwoMaterialsOfOneRatio(t *testing.T) {
	for _, ratio := range []float64{12, 30, 31.3, 55} {
		c := composed(0.40, 0.42, 0.42/ratio, 150)
		wet := composed(0.75, 0.42, 0.42/ratio, 300)
		for _, p := range []*blend.Problem{
			wateredProblem(onHand("a", 100, c), onHand("b", 50, c)),
			wateredProblem(onHand("a", 100, c), onHand("b", 50, wet)),
		} {
			r := formulated(t, p)
			require.False(t, r.Conflict, "C:N %g", ratio)
			assert.InDelta(t, 0.55, r.Figures.Moisture, 1e-6)
			assert.InDelta(t, 100, r.Mixture.Parts[0].MassKg, 1e-3, "all of both")
			assert.InDelta(t, 50, r.Mixture.Parts[1].MassKg, 1e-3, "all of both")
		}
	}
}

// Of two lots alike, each gives its share.
func TestTieBreakUsesLotsInProportion(t *testing.T) {
	p := wateredProblem(someLeaves(60), someLeaves(30), someGrass(20))
	p.Materials[1].Name = "more leaves"
	r := formulated(t, p)
	assert.Equal(t, blend.OnTarget, r.Status)
	assert.InDelta(t, 2, r.Mixture.Parts[0].MassKg/r.Mixture.Parts[1].MassKg, 1e-5)
}

// A material whose C:N is a hair off the aim needs a hair of another; what is
// too little to weigh may be left out, if the distance allows.
func TestAHairOffTheAim(t *testing.T) {
	for _, off := range []float64{1e-9, 1e-8, 1e-7, 1e-6, 1e-5, 1e-4, 1e-3} {
		p := wateredProblem(
			forced("straw", 1000, composed(0.10, 0.45, 0.45/(30+off), 60)),
			onHand("urea", 50, composed(0.001, 0, 0.46, 750)))
		r := formulated(t, p)
		assert.Equal(t, blend.OnTarget, r.Status, "C:N %.10g", 30+off)
	}
}

func TestNothingObeysTheLimits(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*blend.Problem)
	}{
		{"one material of at most half", func(p *blend.Problem) {
			p.Materials = p.Materials[:1]
			p.Materials[0].ShareAtMost = 0.5
		}},
		{"shares that add up to less than all", func(p *blend.Problem) {
			p.Materials[0].ShareAtMost, p.Materials[1].ShareAtMost = 0.4, 0.4
		}},
		{"more must go in than fits", func(p *blend.Problem) {
			p.Materials[0].AtLeastKg, p.Pile.LargestM3 = 100, 1.2
		}},
		{"denser than the limit, whatever the mix", func(p *blend.Problem) { p.Pile.DensestKgM3 = 70 }},
		{"less air than wanted, whatever the mix", func(p *blend.Problem) { p.Pile.AirAtLeast = 0.99 }},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := wateredProblem(someLeaves(100), someGrass(100))
			row.change(p)
			r := formulated(t, p)
			assert.True(t, r.Conflict)
			assert.Equal(t, blend.OutOfReach, r.Status)
			assert.True(t, math.IsInf(r.Distance, 1))
			assert.Empty(t, r.Mixture.Parts)
			assert.NotPanics(t, func() { r.Breaches() })
			assert.NotPanics(t, func() { r.Cautions() })
		})
	}
}

func TestSizeOfThePile(t *testing.T) {
	free := formulated(t, wateredProblem(someLeaves(100), someGrass(100)))
	require.Greater(t, free.Figures.VolumeM3, 1.0)
	for _, row := range []struct {
		name    string
		pile    blend.Pile
		built   float64
		because string
	}{
		{"size wanted", blend.Pile{SizeM3: 0.7}, 0.7, "no more than is wanted"},
		{"largest that fits", blend.Pile{LargestM3: 0.6}, 0.6, "as much as fits"},
		{"both", blend.Pile{SizeM3: 0.5, LargestM3: 0.6}, 0.5, "what is wanted fits"},
		{"more than there is", blend.Pile{SizeM3: 50}, free.Figures.VolumeM3, "the stock ends first"},
		{"with shrink", blend.Pile{SizeM3: 0.7, Shrink: 0.3}, 0.7, "the size is that of the built pile"},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := wateredProblem(someLeaves(100), someGrass(100))
			row.pile.WaterKg = math.Inf(1)
			p.Pile = row.pile
			r := formulated(t, p)
			assert.Equal(t, blend.OnTarget, r.Status)
			assert.InDelta(t, row.built, r.Figures.VolumeM3, 1e-6, row.because)
			assert.InDelta(t, row.built, (1-row.pile.Shrink)*r.Figures.LooseVolumeM3, 1e-6)
		})
	}
}

func TestNoWaterAtHand(t *testing.T) {
	p := wateredProblem(someLeaves(100), someGrass(100))
	p.Pile.WaterKg = 0
	r := formulated(t, p)
	assert.Zero(t, r.Mixture.AddedWaterKg)
	// 1.2 kg of grass to 1 of leaves is 42.7 % moist with C:N 30; both
	// criteria give a little.
	assert.Equal(t, blend.InRange, r.Status)
	d := blend.DefaultTarget()
	assert.InDelta(t, d.CarbonToNitrogen.Distance(r.Figures.CarbonToNitrogen), d.Moisture.Distance(r.Figures.Moisture), 1e-6)
}

func TestLittleWaterLimitsThePile(t *testing.T) {
	// Dry straw and meal need about 1 kg of water a kg; 50 kg are at hand.
	p := wateredProblem(
		onHand("straw", 1000, composed(0.10, 0.45, 0.0075, 60)),
		onHand("meal", 1000, composed(0.10, 0.45, 0.05, 500)))
	p.Pile.WaterKg = 50
	r := formulated(t, p)
	assert.Equal(t, blend.OnTarget, r.Status)
	assert.InDelta(t, 50, r.Mixture.AddedWaterKg, 1e-4)
	assert.InDelta(t, 100, r.Figures.MassKg, 1e-3, "a small pile that is right goes before a large one that is dry")
}

func TestPreferLargest(t *testing.T) {
	p := wateredProblem(someLeaves(300), someGrass(100))
	target := formulated(t, p)
	p.Pile.Prefer = blend.PreferLargest
	r := formulated(t, p)
	assert.Equal(t, blend.InRange, r.Status)
	assert.Greater(t, r.Figures.VolumeM3, target.Figures.VolumeM3*1.2, "leaves beyond the aim fill the pile")
	assert.InDelta(t, 35, r.Figures.CarbonToNitrogen, 1e-5, "to the edge of the range")
	assert.InDelta(t, 0.55, r.Figures.Moisture, 1e-6, "the size does not need moisture to give")
	assert.Empty(t, r.Notes)

	t.Run("nothing to gain", func(t *testing.T) {
		p := wateredProblem(someLeaves(10), someGrass(12))
		p.Pile.Prefer = blend.PreferLargest
		r := formulated(t, p)
		assert.Equal(t, blend.OnTarget, r.Status)
		assert.InDelta(t, 22, r.Mixture.Parts[0].MassKg+r.Mixture.Parts[1].MassKg, 1e-5)
	})
	t.Run("no pile within the ranges", func(t *testing.T) {
		p := wateredProblem(someLeaves(100))
		p.Pile.Prefer = blend.PreferLargest
		r := formulated(t, p)
		assert.Equal(t, blend.OutOfReach, r.Status)
		assert.InDelta(t, 4, r.Distance, 1e-6, "(50 - 30) / (35 - 30)")
		require.Len(t, r.Notes, 1)
		assert.Contains(t, r.Notes[0], `"largest" gave way to the nearest mix`)
	})
}

func TestPreferCheapest(t *testing.T) {
	// Manure is bought, leaves and grass are there for the taking; wood chips
	// are dear.
	build := func() *blend.Problem {
		p := wateredProblem(someLeaves(300), someGrass(300), someManure(1000),
			onHand("chips", 500, composed(0.40, 0.48, 0.004, 250)))
		p.Materials[2].PricePerKg = 0.02
		p.Materials[3].PricePerKg = 0.10
		p.Pile.SizeM3 = 2
		p.Pile.Prefer = blend.PreferCheapest
		return p
	}
	cost := func(r *blend.Recipe) float64 {
		sum := 0.0
		for j, x := range r.Mixture.Parts {
			sum += x.MassKg * r.Problem.Materials[j].PricePerKg
		}
		return sum
	}
	r := formulated(t, build())
	assert.InDelta(t, 2, r.Figures.VolumeM3, 1e-6)
	assert.InDelta(t, 0, cost(r), 1e-6, "leaves and grass alone reach the size")
	assert.Equal(t, blend.OnTarget, r.Status, "of the free mixes, one on target")

	p := build()
	p.Materials[1].OnHandKg = 60 // too little grass: something must be bought
	plainly := *p
	plainly.Pile.Prefer = blend.PreferTarget
	bought, plain := formulated(t, p), formulated(t, &plainly)
	assert.InDelta(t, 2, bought.Figures.VolumeM3, 1e-6)
	assert.Greater(t, cost(bought), 0.01)
	assert.Less(t, cost(bought), cost(plain), "cheaper than the mix on target")
	assert.Equal(t, blend.InRange, bought.Status)
	assert.Zero(t, bought.Mixture.Parts[3].MassKg, "no chips at that price")

	t.Run("no pile within the ranges", func(t *testing.T) {
		p := wateredProblem(someLeaves(100))
		p.Pile.SizeM3 = 1
		p.Pile.Prefer = blend.PreferCheapest
		r := formulated(t, p)
		assert.Equal(t, blend.OutOfReach, r.Status)
		assert.InDelta(t, 1, r.Figures.VolumeM3, 1e-6)
		require.Len(t, r.Notes, 1)
		assert.Contains(t, r.Notes[0], `"cheapest" gave way to the nearest mix`)
	})
}

func TestLimitsAreKept(t *testing.T) {
	t.Run("share", func(t *testing.T) {
		p := wateredProblem(someLeaves(100), someGrass(500), someManure(500))
		p.Materials[2].ShareAtMost = 0.1
		p.Materials[2].AtLeastKg = 10
		r := formulated(t, p)
		v := volumes(r)
		assert.LessOrEqual(t, v[2]/(v[0]+v[1]+v[2]), 0.1+1e-9)
		assert.Empty(t, r.Breaches())
	})
	t.Run("bulk density", func(t *testing.T) {
		p := wateredProblem(someLeaves(100), someManure(500))
		p.Pile.DensestKgM3 = 300
		r := formulated(t, p)
		assert.LessOrEqual(t, r.Figures.BulkDensityKgM3, 300*(1+1e-6))
		assert.Empty(t, r.Breaches())
	})
	t.Run("free air space", func(t *testing.T) {
		p := wateredProblem(someLeaves(100), someManure(500))
		p.Pile.AirAtLeast = 0.6
		r := formulated(t, p)
		assert.GreaterOrEqual(t, r.Figures.FreeAirSpace, 0.6-1e-6)
		assert.Empty(t, r.Breaches())
	})
	t.Run("least amounts", func(t *testing.T) {
		p := wateredProblem(someLeaves(100), someGrass(100), someManure(100))
		p.Materials[2].AtLeastKg = 80
		r := formulated(t, p)
		assert.GreaterOrEqual(t, r.Mixture.Parts[2].MassKg, 80-1e-6)
	})
}

func TestPlannedByWeightWhereADensityIsMissing(t *testing.T) {
	p := wateredProblem(someLeaves(100), onHand("sheep manure", 100, composed(0.69, 0.43, 0.027, math.NaN())))
	r := formulated(t, p)
	assert.Equal(t, blend.OnTarget, r.Status)
	assert.True(t, math.IsNaN(r.Figures.VolumeM3))
	assert.True(t, math.IsNaN(r.Figures.BulkDensityKgM3))
	assert.True(t, math.IsNaN(r.Figures.FreeAirSpace))
	require.Len(t, r.Notes, 1)
	assert.Contains(t, r.Notes[0], "sheep manure")
	assert.Contains(t, r.Notes[0], "planned by weight")
	assert.Empty(t, r.Breaches())
	assert.InDelta(t, 100, max(r.Mixture.Parts[0].MassKg, r.Mixture.Parts[1].MassKg), 1e-4, "the heaviest pile on target uses one of them up")
}

// What is not on hand has no say, whatever is known of it.
func TestNoneOfAMaterialWithoutDensity(t *testing.T) {
	p := wateredProblem(someLeaves(100), someGrass(100), onHand("sold out", 0, composed(0.69, 0.43, 0.027, math.NaN())))
	p.Pile.SizeM3 = 0.5
	require.NoError(t, p.Validate())
	r := formulated(t, p)
	assert.Equal(t, blend.OnTarget, r.Status)
	assert.InDelta(t, 0.5, r.Figures.VolumeM3, 1e-6)
	assert.Zero(t, r.Mixture.Parts[2].MassKg)
}

func TestJudge(t *testing.T) {
	t.Run("all that is on hand and no water", func(t *testing.T) {
		p := wateredProblem(someLeaves(100), someGrass(120))
		r, err := blend.Judge(p)
		require.NoError(t, err)
		assert.Zero(t, r.Mixture.AddedWaterKg, "unlimited water is not all of it")
		assert.InDelta(t, 30, r.Figures.CarbonToNitrogen, 1e-9)
		assert.InDelta(t, (10.0+84)/220, r.Figures.Moisture, 1e-12)
		assert.Equal(t, blend.OutOfReach, r.Status, "too dry")
		assert.InDelta(t, (0.55-94.0/220)/0.05, r.Distance, 1e-9)
		assert.Empty(t, r.Breaches())
	})
	t.Run("with water", func(t *testing.T) {
		p := wateredProblem(onHand("straw", 100, composed(0.10, 0.45, 0.015, 60)))
		p.Pile.WaterKg = 100
		r, err := blend.Judge(p)
		require.NoError(t, err)
		assert.Equal(t, 100.0, r.Mixture.AddedWaterKg)
		assert.Equal(t, blend.OnTarget, r.Status)
		assert.InDelta(t, 0.55, r.Figures.Moisture, 1e-12)
	})
	t.Run("out of reach", func(t *testing.T) {
		r, err := blend.Judge(wateredProblem(someLeaves(100)))
		require.NoError(t, err)
		assert.Equal(t, blend.OutOfReach, r.Status)
		assert.False(t, r.Conflict)
	})
	t.Run("with limits broken", func(t *testing.T) {
		p := wateredProblem(someLeaves(10), someManure(700))
		p.Materials[1].ShareAtMost = 0.5
		p.Pile.LargestM3 = 1
		p.Pile.DensestKgM3 = 600
		p.Pile.AirAtLeast = 0.5
		r, err := blend.Judge(p)
		require.NoError(t, err)
		// 10/80 + 700/700 m3 weigh 710 kg: 631 kg/m3; the manure is 1/1.125 of
		// the volume.
		breaches := r.Breaches()
		require.Len(t, breaches, 4)
		assert.Equal(t, "the pile of 1.12 m3 is larger than the 1.00 m3 that fit", breaches[0])
		assert.Equal(t, "the bulk density of 631 kg/m3 is over the limit of 600 kg/m3", breaches[1])
		assert.Regexp(t, `^the free air space of \d\d % is under the limit of 50 %$`, breaches[2])
		assert.Equal(t, "manure is 89 % of the volume, over its limit of 50 %", breaches[3])
	})
	t.Run("a size is no limit to a pile that stands", func(t *testing.T) {
		p := wateredProblem(someLeaves(100), someGrass(120))
		p.Pile.SizeM3 = 0.5
		r, err := blend.Judge(p)
		require.NoError(t, err)
		assert.Empty(t, r.Breaches())
	})
}

func TestProblemsThatMakeNoSense(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, row := range []struct {
		name, problem string
		change        func(*blend.Problem)
	}{
		{"nothing", "blend: nothing is on hand", func(p *blend.Problem) { p.Materials = nil }},
		{"none of anything", "blend: nothing is on hand", func(p *blend.Problem) { p.Materials[0].OnHandKg = 0 }},
		{"no nitrogen", "blend: nothing on hand holds nitrogen, so C:N has no meaning", func(p *blend.Problem) { p.Materials[0].Composition.Nitrogen = 0 }},
		{"negative stock", "blend: leaves: the amount on hand is -1 kg", func(p *blend.Problem) { p.Materials[0].OnHandKg = -1 }},
		{"nan stock", "blend: leaves: the amount on hand is NaN kg", func(p *blend.Problem) { p.Materials[0].OnHandKg = nan }},
		{"endless stock", "blend: leaves: the amount on hand is +Inf kg", func(p *blend.Problem) { p.Materials[0].OnHandKg = inf }},
		{"negative least amount", "blend: leaves: the least amount is -1 kg", func(p *blend.Problem) { p.Materials[0].AtLeastKg = -1 }},
		{"too large a least amount", "blend: leaves: at least 101 kg must go in, but only 100 kg are on hand", func(p *blend.Problem) { p.Materials[0].AtLeastKg = 101 }},
		{"negative price", "blend: leaves: the price is -1 a kg", func(p *blend.Problem) { p.Materials[0].PricePerKg = -1 }},
		{"share over all", "blend: leaves: the share limit is 150 %", func(p *blend.Problem) { p.Materials[0].ShareAtMost = 1.5 }},
		{"nan share", "blend: leaves: the share limit is NaN %", func(p *blend.Problem) { p.Materials[0].ShareAtMost = nan }},
		{"shrink of all", "blend: mixing shrink must be from 0 to below 1, not 1", func(p *blend.Problem) { p.Pile.Shrink = 1 }},
		{"nan water", "blend: water at hand is NaN kg", func(p *blend.Problem) { p.Pile.WaterKg = nan }},
		{"negative water", "blend: water at hand is -1 kg", func(p *blend.Problem) { p.Pile.WaterKg = -1 }},
		{"endless size", "blend: a limit of the pile is +Inf", func(p *blend.Problem) { p.Pile.SizeM3 = inf }},
		{"all air", "blend: free air space must stay below 100 %", func(p *blend.Problem) { p.Pile.AirAtLeast = 1 }},
		{"size over largest", "blend: the pile wanted (3 m3) is larger than the largest that fits (2 m3)", func(p *blend.Problem) { p.Pile.SizeM3, p.Pile.LargestM3 = 3, 2 }},
		{"cheapest of no size", "blend: the cheapest pile needs a size: the cheapest of all is none", func(p *blend.Problem) { p.Pile.Prefer = blend.PreferCheapest }},
		{"upside down", "blend: target C:N range is upside down: 40 to 20", func(p *blend.Problem) { p.Target.CarbonToNitrogen = blend.Aim{Low: 40, Aim: 30, High: 20} }},
		{"no target at all", "blend: target C:N must be more than zero", func(p *blend.Problem) { p.Target = blend.Target{} }},
		{"nan aim", "blend: target moisture must be numbers", func(p *blend.Problem) { p.Target.Moisture.Aim = nan }},
		{"nan moisture of a material", "", func(p *blend.Problem) { p.Materials[0].Composition.Moisture = nan }},
		{"moisture of a material over 1", "", func(p *blend.Problem) { p.Materials[0].Composition.Moisture = 1.2 }},
		{"negative carbon", "", func(p *blend.Problem) { p.Materials[0].Composition.Carbon = -0.1 }},
		{"no density at all", "", func(p *blend.Problem) { p.Materials[0].Composition.DensityKgM3 = 0 }},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := wateredProblem(someLeaves(100))
			row.change(p)
			for name, err := range map[string]error{
				"formulate": func() error { _, err := blend.Formulate(t.Context(), p); return err }(),
				"judge":     func() error { _, err := blend.Judge(p); return err }(),
			} {
				require.Error(t, err, name)
				if row.problem != "" {
					assert.EqualError(t, err, row.problem, name)
				}
				assert.NotContains(t, err.Error(), "internal", name)
			}
		})
	}
}

func TestCancelledContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	r, err := blend.Formulate(ctx, wateredProblem(someLeaves(100), someGrass(100)))
	require.ErrorIs(t, err, context.Canceled)
	assert.Nil(t, r)
}

// The problem belongs to the caller.
func TestFormulateLeavesTheProblemAlone(t *testing.T) {
	p := randomProblem(seeded(3), 6)
	before := describe(p)
	_, err := blend.Formulate(t.Context(), p)
	require.NoError(t, err)
	assert.Equal(t, before, describe(p))
}

// The same problem gives the same answer to the last digit.
func TestAnswersRepeat(t *testing.T) {
	for seed := range uint64(20) {
		p := randomProblem(seeded(100+seed), 8)
		first, err := blend.Formulate(t.Context(), p)
		if err != nil {
			continue // the sweep reports it
		}
		second := formulated(t, p)
		require.Len(t, second.Mixture.Parts, len(first.Mixture.Parts))
		for j, x := range first.Mixture.Parts {
			assert.Equal(t, x.MassKg, second.Mixture.Parts[j].MassKg, "seed %d", 100+seed)
		}
		assert.Equal(t, first.Mixture.AddedWaterKg, second.Mixture.AddedWaterKg)
	}
}
