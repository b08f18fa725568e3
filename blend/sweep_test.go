package blend_test

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// sweepSize is the number of random problems of the sweep: that of the
// environment's HEAPWRIGHT_SWEEP, or few enough for every day.
func sweepSize(t *testing.T) int {
	text := os.Getenv("HEAPWRIGHT_SWEEP")
	if text == "" {
		return 1000
	}
	n, err := strconv.Atoi(text)
	require.NoError(t, err, "HEAPWRIGHT_SWEEP is the number of problems")
	return n
}

// TestSweep formulates many random problems and has gonum's simplex method
// confirm each: that the distance is the least, that a criterion which does not
// limit it is at its own least, and that the pile is as large (and cheap) as it
// can be. The referee fails now and then; it may do so in 2 % of its verdicts.
// HEAPWRIGHT_SEED starts another sequence.
func TestSweep(t *testing.T) {
	seed := uint64(1)
	if text := os.Getenv("HEAPWRIGHT_SEED"); text != "" {
		var err error
		seed, err = strconv.ParseUint(text, 10, 64)
		require.NoError(t, err)
	}
	n := sweepSize(t)
	t.Logf("seeds %d to %d", seed, seed+uint64(n)-1)
	count := struct{ conflict, onTarget, inRange, outOfReach, asked, failed, wrong int }{}
	for i := range n {
		p := randomProblem(seeded(seed+uint64(i)), 12)
		require.NoError(t, p.Validate(), "seed %d", seed+uint64(i))
		r, err := blend.Formulate(t.Context(), p)
		complaint := ""
		switch {
		case err != nil:
			complaint = err.Error()
		default:
			complaint = fault(p, r)
			if complaint == "" {
				c := &court{p: p, r: r, referee: newReferee(p)}
				complaint = c.judge()
				count.asked += c.asked
				count.failed += c.failed
			}
			switch {
			case r.Conflict:
				count.conflict++
			case r.Status == blend.OnTarget:
				count.onTarget++
			case r.Status == blend.InRange:
				count.inRange++
			default:
				count.outOfReach++
			}
		}
		if complaint != "" {
			count.wrong++
			if count.wrong <= 20 {
				t.Errorf("seed %d: %s\n%s", seed+uint64(i), complaint, describe(p))
			}
		}
	}
	t.Logf("%d problems: %+v", n, count)
	assert.LessOrEqual(t, count.failed, max(1, count.asked/50), "the referee fails too often to be one")
	// The sequence must hold every kind of answer, or the sweep shows little.
	assert.Greater(t, min(count.conflict, count.onTarget, count.inRange, count.outOfReach), n/50)
}

// court asks the referee about one recipe.
type court struct {
	p             *blend.Problem
	r             *blend.Recipe
	referee       *referee
	asked, failed int
}

// ask has the referee minimise a cost.
func (c *court) ask(on *referee, cost []float64) (float64, verdict) {
	c.asked++
	value, v := on.least(cost)
	if v == failed {
		c.failed++
	}
	return value, v
}

func (c *court) possible(rows ...[]float64) verdict {
	_, v := c.ask(c.referee.with(rows...), make([]float64, c.referee.width))
	return v
}

// judge returns the complaint, or "". A claim that something is possible
// counts only with a point that obeys the rows; a claim that it is not counts
// only where the recipe itself is no such point.
func (c *court) judge() string {
	if c.r.Conflict {
		if c.possible() == possible {
			return "a mix obeys the limits, but the answer is a conflict"
		}
		return ""
	}
	if c.p.Pile.Prefer != blend.PreferTarget {
		if complaint, held := c.preference(); complaint != "" || held {
			return complaint
		}
	}
	d := c.r.Distance
	step := agreement * max(1, d)
	if d > step && c.possible(c.referee.within(d-step)...) == possible {
		return fmt.Sprintf("a mix is nearer than %g by %g", d, step)
	}
	c.confirm(c.referee.within(d + step))
	if complaint := c.second(); complaint != "" {
		return complaint
	}
	return c.largest()
}

// confirm counts a referee that calls the recipe's own point impossible as
// failed: its arithmetic has been checked.
func (c *court) confirm(rows [][]float64) {
	if c.possible(rows...) == impossible {
		c.failed++
	}
}

// exact gives the rows that hold C:N and moisture at the recipe's values, moved
// by so many steps of hold times the width to the edge of the range.
func (c *court) exact(ratioSteps, moistureSteps float64) [][]float64 {
	return append(c.exactRatio(ratioSteps), c.exactMoisture(moistureSteps)...)
}

// hold is how far, in distance, a stage holds what the one before found.
const hold = 1e-8

func (c *court) exactRatio(steps float64) [][]float64 {
	a := c.p.Target.CarbonToNitrogen
	v := c.r.Figures.CarbonToNitrogen + steps*hold*max(1, c.r.Distance)*(a.High-a.Low)
	return c.referee.ratioBand(v, v)
}

func (c *court) exactMoisture(steps float64) [][]float64 {
	a := c.p.Target.Moisture
	v := c.r.Figures.Moisture + steps*hold*max(1, c.r.Distance)*(a.High-a.Low)
	return c.referee.moistureBand(v, v)
}

// second checks the criterion that does not limit the distance: with the other
// held, it too is at its least.
func (c *court) second() string {
	ratio, moisture := distances(c.p, c.r.Mixture)
	t := c.p.Target
	switch step := agreement * max(1, c.r.Distance); {
	case ratio > moisture+step && moisture > step:
		d, a := moisture-step, t.Moisture
		band := c.referee.moistureBand(a.Aim-d*(a.Aim-a.Low), a.Aim+d*(a.High-a.Aim))
		if c.always(func(steps float64) [][]float64 { return append(c.exactRatio(steps), band...) }) {
			return fmt.Sprintf("moisture can be nearer than %g, C:N being as it is", moisture)
		}
	case moisture > ratio+step && ratio > step:
		d, a := ratio-step, t.CarbonToNitrogen
		band := c.referee.ratioBand(a.Aim-d*(a.Aim-a.Low), a.Aim+d*(a.High-a.Aim))
		if c.always(func(steps float64) [][]float64 { return append(c.exactMoisture(steps), band...) }) {
			return fmt.Sprintf("C:N can be nearer than %g, moisture being as it is", ratio)
		}
	}
	return ""
}

// always reports whether rows are possible wherever within hold the held
// criterion stands; a place where nothing at all is possible does not count.
func (c *court) always(rows func(steps float64) [][]float64) bool {
	if c.possible(rows(0)...) != possible {
		return false
	}
	for _, steps := range []float64{-1, 1} {
		if c.possible(rows(steps)...) != possible {
			return false
		}
	}
	return true
}

// size is the pile's bulk per unit of the referee's size: the least 1/s is
// found by maximising the bulk for s = 1 -- see atScale.
func (c *court) bulk() []float64 {
	for _, j := range c.referee.index {
		if math.IsNaN(c.p.Materials[j].Composition.DensityKgM3) {
			return c.referee.over(0, func(blend.Material) float64 { return 1 })
		}
	}
	return combine(1-c.p.Pile.Shrink, c.referee.volume(), 0, nil)
}

// atScale returns a referee whose unknowns are kilograms per kilogram of stock
// (s = 1), for questions of amount.
func (c *court) atScale(rows ...[]float64) *referee {
	r := c.referee.with(rows...)
	one := r.unit(r.width - 1)
	r.rows, r.bound = append(r.rows, one), append(r.bound, 1)
	r.some, r.atLeast = one, 1
	return r
}

// largest checks that no larger pile has the recipe's C:N and moisture. Where
// the referee finds one, the values may have moved by hold, which is what the
// stages are held within.
func (c *court) largest() string {
	bulk := c.bulk()
	has := 0.0
	for i, j := range c.referee.index {
		has += bulk[i] * c.r.Mixture.Parts[j].MassKg
	}
	has /= c.referee.mass
	for _, s := range [][2]float64{{0, 0}, {-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {-1, 1}, {1, -1}, {1, 1}} {
		least, v := c.ask(c.atScale(c.exact(s[0], s[1])...), combine(-1, bulk, 0, nil))
		if v != possible && s == [2]float64{} {
			return "" // the referee failed
		}
		if v == possible && -least <= has*(1+agreement) {
			return ""
		}
	}
	most, _ := c.referee.with().atMost(c, bulk)
	return fmt.Sprintf("a pile of the same C:N and moisture is larger than %g by a share of %g", has*c.referee.mass, most/has-1)
}

// atMost is the largest bulk at the recipe's values.
func (r *referee) atMost(c *court, bulk []float64) (float64, verdict) {
	least, v := c.ask(c.atScale(c.exact(0, 0)...), combine(-1, bulk, 0, nil))
	return -least, v
}

// preference checks a pile that puts size or cost first; held is false when the
// ranges are out of reach.
func (c *court) preference() (complaint string, held bool) {
	inRange, bulk := c.referee.within(1), c.bulk()
	switch v := c.possible(inRange...); {
	case v == failed, v == impossible && c.r.Distance <= 1+agreement:
		return "", true // no verdict: the edge of the ranges is just reached
	case v == impossible:
		return "", false
	}
	if c.r.Distance > 1+agreement {
		return fmt.Sprintf("the ranges are within reach, but the distance is %g", c.r.Distance), true
	}
	point := c.referee.point(c.r.Mixture)
	for i := range point {
		point[i] /= c.referee.point(c.r.Mixture)[c.referee.width-1]
	}
	of := func(row []float64) float64 {
		v := 0.0
		for i, a := range row {
			v += a * point[i]
		}
		return v
	}
	least, v := c.ask(c.atScale(inRange...), combine(-1, bulk, 0, nil))
	if v == possible && of(bulk) < -least*(1-agreement) {
		return fmt.Sprintf("a pile within the ranges is larger: %g to %g", -least, of(bulk)), true
	}
	if c.p.Pile.Prefer == blend.PreferCheapest && v == possible {
		price := c.referee.over(0, func(m blend.Material) float64 { return m.PricePerKg })
		big := c.atScale(inRange...)
		big.rows, big.bound = append(big.rows, combine(-1, bulk, 0, nil)), append(big.bound, -of(bulk))
		cost, v := c.ask(big, price)
		if v == possible && of(price) > cost*(1+agreement)+agreement*1e-3 {
			return fmt.Sprintf("a pile as large within the ranges is cheaper: %g to %g a kg of stock", cost, of(price)), true
		}
	}
	return "", true
}
