package blend_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// vessel is a measure that holds m3; load is one that weighs kg.
func vessel(name string, m3 float64) feedstocks.Unit {
	return feedstocks.Unit{Name: name, Plural: name + "s", Dimension: feedstocks.Volume, Factor: m3, Measure: true}
}

func load(name string, kg float64) feedstocks.Unit {
	return feedstocks.Unit{Name: name, Plural: name + "s", Dimension: feedstocks.Mass, Factor: kg, Measure: true}
}

// counted gives a material by so many of a unit.
func countedIn(m blend.Material, number float64, unit feedstocks.Unit) blend.Material {
	m.OnHand = feedstocks.Quantity{Number: number, Unit: unit}
	m.OnHandKg = number * kgOf(unit, m)
	return m
}

// kgOf is the weight of one of a unit.
func kgOf(unit feedstocks.Unit, m blend.Material) float64 {
	if unit.Dimension == feedstocks.Mass {
		return unit.Factor
	}
	return unit.Factor * m.Composition.DensityKgM3
}

// stepOf is what people measure a material out in: a vessel, or the second
// digit of the exact weight or volume.
func stepOf(m blend.Material, exactKg float64) float64 {
	one := kgOf(m.OnHand.Unit, m)
	if m.OnHand.Unit.Measure {
		return one
	}
	return one * secondDigit(exactKg/one)
}

func secondDigit(v float64) float64 {
	if v <= 0 {
		return 1
	}
	step := 1.0
	for v >= 100*step {
		step *= 10
	}
	for v < 10*step {
		step /= 10
	}
	return step
}

// What the whole search promises: the part of the exact bulk kept where that
// can be, the distance given away for a recipe near the exact one, and the
// distance to which the search is proved.
var (
	bulkKept  = []float64{0.9, 0.6, 0.3, 0}
	distEased = 0.1
	distGap   = 0.01
)

// enumeration lists every recipe in whole counts that obeys the plan.
type enumeration struct {
	p     *blend.Problem
	exact *blend.Recipe
	// steps are the weights of one count; a material may have several
	// vessels, and tops is the most of the second one.
	steps [][]float64
	tops  []int
	water float64 // kg of one count

	amounts []float64
	visit   func(mix blend.Mixture, distance, bulk float64)
}

func enumerate(exact *blend.Recipe, fine bool, visit func(mix blend.Mixture, distance, bulk float64)) {
	e := &enumeration{p: exact.Problem, exact: exact, visit: visit}
	for j, m := range e.p.Materials {
		steps, tops := []float64{stepOf(m, exact.Mixture.Parts[j].MassKg)}, 0
		if small := kgOf(e.p.Fine, m); fine && m.OnHand.Unit.Measure && small > 0 && 2*small <= steps[0] {
			steps, tops = append(steps, small), int(math.Ceil(steps[0]/small))
		}
		e.steps, e.tops = append(e.steps, steps), append(e.tops, tops)
	}
	e.water = max(1, secondDigit(exact.Mixture.AddedWaterKg))
	e.amounts = make([]float64, len(e.p.Materials))
	e.choose(0)
}

func (e *enumeration) choose(j int) {
	if j == len(e.amounts) {
		e.pour()
		return
	}
	m := e.p.Materials[j]
	for k := 0; float64(k)*e.steps[j][0] <= m.OnHandKg*(1+1e-9); k++ {
		for top := 0; top <= e.tops[j]; top++ {
			kg := float64(k) * e.steps[j][0]
			if top > 0 {
				kg += float64(top) * e.steps[j][1]
			}
			if kg >= m.AtLeastKg*(1-1e-9) && kg <= m.OnHandKg*(1+1e-9) {
				e.amounts[j] = kg
				e.choose(j + 1)
			}
		}
	}
}

// pour tries the water: the nearest counts below and above the aim, and, for
// the sake of limits on density and air, none and fewer.
func (e *enumeration) pour() {
	mass, water := 0.0, 0.0
	for j, m := range e.p.Materials {
		mass += e.amounts[j]
		water += e.amounts[j] * m.Composition.Moisture
	}
	if mass == 0 {
		return
	}
	aim := e.p.Target.Moisture.Aim
	ideal := max(0, (aim*mass-water)/(1-aim)/e.water)
	first, last := int(ideal), int(ideal)+1
	// within the ease a litre more or less may be nearer to the exact mix
	first, last = first-3, last+3
	if e.p.Pile.DensestKgM3 > 0 || e.p.Pile.AirAtLeast > 0 {
		first = 0
	}
	if most := e.p.Pile.WaterKg; !math.IsInf(most, 1) {
		last = min(last, int(most/e.water*(1+1e-9)))
	}
	first = max(0, min(first, last-7))
	for k := first; k <= last; k++ {
		mix := blend.Mixture{AddedWaterKg: float64(k) * e.water}
		for j, m := range e.p.Materials {
			mix.Parts = append(mix.Parts, blend.Part{Name: m.Name, MassKg: e.amounts[j], Composition: m.Composition})
		}
		if brokenLimit(e.p, mix) == "" {
			ratio, moisture := distances(e.p, mix)
			if d := max(ratio, moisture); !math.IsNaN(d) && !math.IsInf(d, 0) {
				e.visit(mix, d, e.bulk(mix))
			}
		}
	}
}

// bulkPerKg is the volume of each material where all densities are known, else
// the mass.
func bulkPerKg(p *blend.Problem) []float64 {
	out, byMass := make([]float64, len(p.Materials)), false
	for j, m := range p.Materials {
		out[j] = 0
		if m.OnHandKg > 0 {
			out[j] = 1 / m.Composition.DensityKgM3
			byMass = byMass || math.IsNaN(out[j])
		}
	}
	if byMass {
		for j := range out {
			out[j] = 1
		}
	}
	return out
}

func bulkOf(p *blend.Problem, mix blend.Mixture) float64 {
	bulk := 0.0
	for j, per := range bulkPerKg(p) {
		bulk += per * mix.Parts[j].MassKg
	}
	return bulk
}

func (e *enumeration) bulk(mix blend.Mixture) float64 {
	return bulkOf(e.p, mix) / bulkOf(e.p, e.exact.Mixture)
}

// moved is the bulk by which a mix differs from another, material by material;
// water counts as much as the densest material.
func moved(p *blend.Problem, a, b blend.Mixture) float64 {
	sum, densest := 0.0, math.Inf(1)
	for j, per := range bulkPerKg(p) {
		sum += per * math.Abs(a.Parts[j].MassKg-b.Parts[j].MassKg)
		if per > 0 {
			densest = min(densest, per)
		}
	}
	return sum + densest*math.Abs(a.AddedWaterKg-b.AddedWaterKg)
}

// stockBulk is the bulk of all that is on hand.
func stockBulk(p *blend.Problem) float64 {
	bulk := 0.0
	for j, per := range bulkPerKg(p) {
		bulk += per * p.Materials[j].OnHandKg
	}
	return bulk
}

// bestWhole is the nearest distance in whole counts, among those with the
// first share of bulk that any have; +Inf for none.
func bestWhole(exact *blend.Recipe, fine bool) (best, share float64) {
	nearest := make([]float64, len(bulkKept))
	for k := range nearest {
		nearest[k] = math.Inf(1)
	}
	enumerate(exact, fine, func(_ blend.Mixture, d, bulk float64) {
		for k, share := range bulkKept {
			if bulk >= share*(1-1e-9) {
				nearest[k] = min(nearest[k], d)
			}
		}
	})
	for k, share := range bulkKept {
		if !math.IsInf(nearest[k], 1) {
			return nearest[k], share
		}
	}
	return math.Inf(1), 0
}

// eased is how far a recipe near the exact one may be where the nearest counts
// are at best.
func eased(best float64, exact *blend.Recipe) float64 {
	d := max(best+distEased, exact.Distance)
	if best <= 1 {
		return min(d, 1)
	}
	return d
}

// wholeFault checks a whole recipe by plain arithmetic.
func wholeFault(r *blend.Recipe) string {
	p := r.Problem
	if len(r.Portions) != len(p.Materials) || r.Exact == nil {
		return "counts are missing"
	}
	for j, m := range p.Materials {
		kg := 0.0
		for _, portion := range r.Portions[j] {
			if portion.Count < 0 {
				return fmt.Sprintf("a count of %d", portion.Count)
			}
			kg += float64(portion.Count) * portion.Step * kgOf(portion.Unit, m)
		}
		if math.Abs(kg-r.Mixture.Parts[j].MassKg) > 1e-9*(1+kg) {
			return fmt.Sprintf("%g kg of %s is no count: %+v", r.Mixture.Parts[j].MassKg, m.Name, r.Portions[j])
		}
		if kg > m.OnHandKg*(1+1e-6) || kg < m.AtLeastKg*(1-1e-6) {
			return fmt.Sprintf("%g kg of %s, %g to %g allowed", kg, m.Name, m.AtLeastKg, m.OnHandKg)
		}
	}
	if w := r.WaterPortion; math.Abs(float64(w.Count)*w.Step-r.Mixture.AddedWaterKg) > 1e-9*(1+r.Mixture.AddedWaterKg) {
		return "the water is no count"
	}
	return fault(p, r)
}

// inVessels gives every material of a random problem a vessel, of which up to
// most are on hand.
func inVessels(c chooser, p *blend.Problem, most int) {
	for j := range p.Materials {
		m := &p.Materials[j]
		kg := m.OnHandKg / (float64(1+c.below(most)) + []float64{0, 0.4}[c.below(2)])
		unit := load("load", kg)
		if known := m.Composition.DensityKgM3 > 0; known && c.odds(2, 3) {
			unit = vessel("box", kg/m.Composition.DensityKgM3)
		}
		if m.OnHandKg == 0 {
			unit = load("load", 1)
		}
		m.OnHand = feedstocks.Quantity{Number: m.OnHandKg / kgOf(unit, *m), Unit: unit}
	}
}

func TestWholeAgainstEveryCount(t *testing.T) {
	found, none := 0, 0
	for seed := range uint64(60) {
		c := seeded(seed)
		p := randomProblem(c, 3)
		inVessels(c, p, []int{12, 12, 12, 6}[len(p.Materials)])
		exact := formulated(t, p)
		if exact.Conflict {
			continue
		}
		best, share := bestWhole(exact, false)
		whole, err := blend.Whole(t.Context(), exact, nil)
		at := fmt.Sprintf("seed %d: exact distance %g, best whole %g at a share of %g\n%s", seed, exact.Distance, best, share, describe(p))
		if math.IsInf(best, 1) {
			none++
			_, isProblem := errors.AsType[*blend.ProblemError](err)
			assert.True(t, isProblem, at)
			continue
		}
		found++
		if !assert.NoError(t, err, at) {
			continue
		}
		at += fmt.Sprintf("got %g: %v %v", whole.Distance, whole.Portions, whole.WaterPortion)
		assert.Empty(t, wholeFault(whole), at)
		gap := distGap + agreement*best
		assert.GreaterOrEqual(t, whole.Distance, best-gap, at)
		assert.LessOrEqual(t, whole.Distance, eased(best, exact)+gap, at)
		// None as near the target is nearer to the exact recipe.
		least := math.Inf(1)
		enumerate(exact, false, func(mix blend.Mixture, d, bulk float64) {
			if bulk >= share*(1+1e-7) && d <= eased(best, exact)-2*gap {
				least = min(least, moved(p, mix, exact.Mixture))
			}
		})
		assert.LessOrEqual(t, moved(p, whole.Mixture, exact.Mixture), least+distGap*stockBulk(p), at)
	}
	require.Greater(t, found, 35)
	require.Greater(t, none, 0)
}

// Rounding each amount by itself is what the search is there to beat.
func TestWholeIsNeverWorseThanRoundingEach(t *testing.T) {
	better, rounded := 0, 0
	for seed := range uint64(100) {
		c := seeded(5000 + seed)
		p := randomProblem(c, 8)
		inVessels(c, p, 12)
		exact := formulated(t, p)
		if exact.Conflict {
			continue
		}
		alone := blend.Mixture{AddedWaterKg: exact.Mixture.AddedWaterKg}
		step := max(1, secondDigit(alone.AddedWaterKg))
		alone.AddedWaterKg = step * math.Round(alone.AddedWaterKg/step)
		for j, m := range p.Materials {
			kg := exact.Mixture.Parts[j].MassKg
			step := stepOf(m, kg)
			alone.Parts = append(alone.Parts, blend.Part{Name: m.Name, MassKg: step * math.Round(kg/step), Composition: m.Composition})
		}
		ratio, moisture := distances(p, alone)
		d := max(ratio, moisture)
		if brokenLimit(p, alone) != "" || math.IsNaN(d) || math.IsInf(d, 0) || bulkOf(p, alone) < 0.9*bulkOf(p, exact.Mixture) {
			continue
		}
		rounded++
		whole, err := blend.Whole(t.Context(), exact, nil)
		require.NoError(t, err, describe(p))
		assert.LessOrEqual(t, whole.Distance, max(d, exact.Distance)+distGap, "seed %d\n%s", seed, describe(p))
		if whole.Distance < d-0.01 {
			better++
		}
	}
	require.Greater(t, rounded, 15)
	require.Greater(t, better, 3)
}

// Whatever the plan, whole counts either obey it or are said not to exist.
func TestWholeSweep(t *testing.T) {
	answered := 0
	for seed := range uint64(40) {
		c := seeded(9000 + seed)
		p := randomProblem(c, 12)
		inVessels(c, p, 30)
		for j := range p.Materials { // some by weight or volume
			if c.odds(1, 3) {
				p.Materials[j].OnHand = feedstocks.Quantity{Number: p.Materials[j].OnHandKg, Unit: feedstocks.Unit{Name: "kg", Plural: "kg", Dimension: feedstocks.Mass, Factor: 1}}
			}
		}
		p.Fine = vessel("bucket", 0.01)
		exact := formulated(t, p)
		whole, err := blend.Whole(t.Context(), exact, nil)
		if _, none := errors.AsType[*blend.ProblemError](err); none {
			continue
		}
		if !assert.NoError(t, err, "seed %d\n%s", seed, describe(p)) || exact.Conflict {
			continue
		}
		answered++
		assert.Empty(t, wholeFault(whole), "seed %d\n%s", seed, describe(p))
	}
	require.Greater(t, answered, 24)
}

var (
	leafSack = vessel("sack", 0.11)
	barrow   = vessel("barrow", 0.085)
	bucket   = vessel("bucket", 0.01)
	bale     = load("bale", 22.7)
	cubic    = feedstocks.Unit{Name: "m3", Plural: "m3", Dimension: feedstocks.Volume, Factor: 1}
	kilogram = feedstocks.Unit{Name: "kg", Plural: "kg", Dimension: feedstocks.Mass, Factor: 1}
)

// A material is topped up with a bucket only where vessels alone come out much
// farther from the target, and the counts are then the best of all.
func TestToppingUpWithABucket(t *testing.T) {
	few := wateredProblem(
		countedIn(onHand("hen litter", 1, composed(0.35, 0.38, 0.038, 480)), 1, barrow),
		countedIn(someLeaves(1), 5, leafSack))
	few.Fine = bucket
	exact := formulated(t, few)
	coarse, _ := bestWhole(exact, false)
	fine, share := bestWhole(exact, true)
	require.Greater(t, coarse, exact.Distance+0.25, "vessels alone should be poor here")
	require.Less(t, fine, coarse-0.2)
	whole, err := blend.Whole(t.Context(), exact, nil)
	require.NoError(t, err)
	require.Empty(t, wholeFault(whole))
	assert.LessOrEqual(t, whole.Distance, eased(fine, exact)+distGap, "share %g", share)
	topped := 0
	for _, portions := range whole.Portions {
		for _, portion := range portions {
			if portion.Unit.Name == "bucket" {
				topped += portion.Count
			}
		}
	}
	assert.Positive(t, topped)

	many := wateredProblem(
		countedIn(someGrass(1), 30, barrow),
		countedIn(someLeaves(1), 30, leafSack))
	many.Fine = bucket
	exact = formulated(t, many)
	coarse, _ = bestWhole(exact, false)
	require.Less(t, coarse, exact.Distance+0.25, "vessels alone should do here")
	whole, err = blend.Whole(t.Context(), exact, nil)
	require.NoError(t, err)
	for _, portions := range whole.Portions {
		for _, portion := range portions {
			assert.NotEqual(t, "bucket", portion.Unit.Name)
		}
	}
}

func TestWholeInEachUnit(t *testing.T) {
	p := wateredProblem(
		countedIn(someGrass(1), 150, kilogram),
		countedIn(someLeaves(1), 2.5, cubic),
		countedIn(onHand("straw", 1, composed(0.12, 0.46, 0.46/80, 60)), 4, bale),
		countedIn(someManure(1), 6, barrow))
	exact := formulated(t, p)
	whole, err := blend.Whole(t.Context(), exact, nil)
	require.NoError(t, err)
	require.Empty(t, wholeFault(whole))
	for j, portions := range whole.Portions {
		require.Len(t, portions, 1)
		portion, m := portions[0], p.Materials[j]
		assert.Equal(t, m.OnHand.Unit.Name, portion.Unit.Name)
		assert.InEpsilon(t, stepOf(m, exact.Mixture.Parts[j].MassKg), portion.Step*kgOf(portion.Unit, m), 1e-9, m.Name)
	}
	assert.Equal(t, "L", whole.WaterPortion.Unit.Name)
	assert.LessOrEqual(t, whole.Distance, exact.Distance+0.1)
}

// One dry material that must all go in: only the water is left to choose.
func TestWholeWaterAlone(t *testing.T) {
	m := countedIn(onHand("hay", 1, composed(0.10, 0.45, 0.015, 80)), 7, barrow)
	m.AtLeastKg = m.OnHandKg
	p := wateredProblem(m)
	exact := formulated(t, p)
	whole, err := blend.Whole(t.Context(), exact, nil)
	require.NoError(t, err)
	require.Empty(t, wholeFault(whole))
	assert.Equal(t, 7, whole.Portions[0][0].Count)
	// 47.6 kg at 10 % need 47.6 x (0.55 - 0.10) / 0.45 = 47.6 kg of water
	assert.Equal(t, 48, whole.WaterPortion.Count)
	assert.Equal(t, 1.0, whole.WaterPortion.Step)
}

// An amount next to nothing is none, not so many millionths of a gram.
func TestWholeOfATrace(t *testing.T) {
	p := problemOf(t, `
[on_hand]
"hen manure" = "50 kg"
"broiler litter" = "80 kg"
`)
	exact := formulated(t, p)
	whole, err := blend.Whole(t.Context(), exact, nil)
	require.NoError(t, err)
	for j, portions := range whole.Portions {
		assert.GreaterOrEqual(t, portions[0].Step, 1.0, "%g kg of %s", exact.Mixture.Parts[j].MassKg, p.Materials[j].Name)
	}
}

// Whole measures bring no more materials into the fewest, and keep the largest
// pile large.
func TestWholeKeepsWhatIsPreferred(t *testing.T) {
	fewest, largest := 0, 0
	for seed := range uint64(60) {
		c := seeded(15_000 + seed)
		p := randomProblem(c, 6)
		inVessels(c, p, 20)
		p.Pile.Prefer = []blend.Prefer{blend.PreferFewest, blend.PreferLargest}[seed%2]
		if p.Validate() != nil {
			continue
		}
		exact := formulated(t, p)
		if exact.Status == blend.OutOfReach {
			continue
		}
		whole, err := blend.Whole(t.Context(), exact, nil)
		if err != nil {
			continue
		}
		require.Empty(t, wholeFault(whole), describe(p))
		for j, part := range whole.Mixture.Parts {
			if p.Pile.Prefer == blend.PreferFewest && exact.Mixture.Parts[j].MassKg == 0 {
				fewest++
				assert.Zero(t, part.MassKg, describe(p))
			}
		}
		if p.Pile.Prefer == blend.PreferLargest && exact.Distance > 0.5 && whole.Distance < 1 {
			largest++
			assert.Greater(t, bulkOf(p, whole.Mixture), 0.3*bulkOf(p, exact.Mixture), describe(p))
		}
	}
	require.Greater(t, fewest, 5)
	require.Positive(t, largest)
}

func TestNoWholeMeasures(t *testing.T) {
	// Half a sack is no whole sack, and a barrow does not fit a small bay.
	half := wateredProblem(countedIn(someLeaves(1), 0.5, leafSack))
	small := wateredProblem(countedIn(someGrass(1), 4, barrow), countedIn(someLeaves(1), 4, leafSack))
	small.Pile.SizeM3 = 0.05
	for name, p := range map[string]*blend.Problem{"half": half, "small": small} {
		exact := formulated(t, p)
		_, err := blend.Whole(t.Context(), exact, nil)
		problem, ok := errors.AsType[*blend.ProblemError](err)
		require.True(t, ok, "%s: %v", name, err)
		assert.Contains(t, problem.Problem, "no whole measures obey the limits")
		assert.NotEmpty(t, problem.Hint)
	}
}

func TestWholeOfAConflictIsItself(t *testing.T) {
	p := wateredProblem(forced("leaves", 500, someLeaves(1).Composition))
	p.Pile.SizeM3 = 0.1
	exact := formulated(t, p)
	require.True(t, exact.Conflict)
	whole, err := blend.Whole(t.Context(), exact, nil)
	require.NoError(t, err)
	assert.Same(t, exact, whole)
}

func TestWholeStopsWhenAsked(t *testing.T) {
	exact := formulated(t, wateredProblem(countedIn(someGrass(1), 4, barrow), countedIn(someLeaves(1), 9, leafSack)))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := blend.Whole(ctx, exact, nil)
	assert.ErrorIs(t, err, context.Canceled)
}

// BenchmarkWhole12 turns recipes of twelve materials into whole measures.
func BenchmarkWhole12(b *testing.B) {
	var exact []*blend.Recipe
	for k, p := range randomProblems(3, 16, 12) {
		inVessels(seeded(uint64(k)), p, 20)
		p.Fine = bucket
		exact = append(exact, formulated(b, p))
	}
	i := 0
	for b.Loop() {
		if _, err := blend.Whole(b.Context(), exact[i%len(exact)], nil); err != nil {
			b.Fatal(err)
		}
		i++
	}
}
