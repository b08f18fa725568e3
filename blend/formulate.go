package blend

import (
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/solver"
)

// Formulate picks the proportions and the water of a pile.
//
// With [PreferTarget] it takes the nearest mixes to the target, of those the
// largest up to the size wanted, and of those the one closest to the
// proportions on hand. [PreferLargest], [PreferCheapest] and [PreferFewest] put
// size, cost or the number of materials first, with the ranges as limits; when
// the ranges are out of reach they fall back on the target. Each stage is held
// before the next. Where some material has no nitrogen, every mix must have a
// thousandth of the nitrogen of a like mass of the stock: with none, C:N has no
// meaning.
//
// A target that is out of reach is an answer, with the nearest mix and
// [OutOfReach]. When no mix at all obeys the limits the recipe is empty,
// [OutOfReach] too, and its Conflict is set. The error is a *[ProblemError] or
// *[TargetError] for a problem that makes no sense, the context's error, or
// an internal one.
func Formulate(ctx context.Context, p *Problem) (*Recipe, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	mixes := p.allowed()
	var notes []string
	if p.Pile.Prefer != PreferTarget {
		preferred, note, err := p.preferred(ctx, mixes)
		switch {
		case err != nil:
			return nil, err
		case preferred == nil:
			notes = append(notes, fmt.Sprintf("no pile lies within the ranges, so %q gave way to the nearest mix", p.Pile.Prefer))
		default:
			mixes = preferred
			if note != "" {
				notes = append(notes, note)
			}
		}
	}
	best, err := p.nearest(ctx, mixes)
	if err != nil {
		return nil, err
	}
	if best == nil {
		r := p.recipe(Mixture{})
		r.Conflict = true
		return r, nil
	}
	vertex, mixes, err := p.largestAt(ctx, mixes, best)
	if err != nil {
		return nil, err
	}
	n := len(p.Materials)
	amounts, water, err := p.closestToStock(ctx, mixes, vertex)
	if err != nil {
		return nil, err
	}
	// Digits may be lost in a pile that is tiny beside its stock, or by a range
	// as narrow as they are; the mixes of the stages before have them.
	fallback := p.scaledUp(p.allowed(), best.mix)
	var fault error
	for _, mix := range []Mixture{p.swept(amounts, water), p.tidy(vertex[:n], vertex[n], fineDust), p.tidy(fallback[:n], fallback[n], fineDust)} {
		if fault = p.verify(mix, best.distance); fault == nil {
			r := p.recipe(mix)
			r.Notes = append(r.Notes, notes...)
			return r, nil
		}
	}
	return nil, fault
}

// largestAt finds the largest of the mixes at a level. Where the criteria
// hardly trade against each other their values may not meet within the usual
// slack, and are held more loosely.
func (p *Problem) largestAt(ctx context.Context, mixes *face, best *level) ([]float64, *face, error) {
	for slack := heldTolerance; slack < verifySlack; slack *= 10 {
		mixes.slabs = best.rows(slack)
		vertex, largest, err := p.optimise(ctx, mixes, p.bulk().times(-1))
		switch {
		case ctx.Err() != nil:
			return nil, nil, fmt.Errorf("blend: stopped: %w", ctx.Err())
		case err == nil && vertex != nil:
			return vertex, largest, nil
		}
	}
	// Rounding keeps even these from meeting: stay with the mix that was found.
	vertex := p.scaledUp(mixes, best.mix)
	return vertex, mixes.only(vertex), nil
}

// scaledUp is a mix in the given proportions as large as the bounds and the
// size of the pile allow.
func (p *Problem) scaledUp(mixes *face, mix []float64) []float64 {
	n := len(p.Materials)
	scale := math.Inf(1)
	for j, v := range mix {
		if v > 0 {
			scale = min(scale, mixes.upper[j]/v)
		}
	}
	if bulk := p.built().value(mix[:n], mix[n]); len(p.withoutDensity()) == 0 && bulk > 0 {
		scale = min(scale, p.Pile.most()/bulk)
	}
	out := slices.Clone(mixes.lower)
	if known(scale) {
		for j, v := range mix {
			out[j] = min(max(v*scale, mixes.lower[j]), mixes.upper[j])
		}
	}
	return out
}

// preferred puts size or cost first within the ranges of the target and
// returns the mixes that reach it; nil when the ranges are out of reach. note says
// what the search for the fewest materials left open.
func (p *Problem) preferred(ctx context.Context, mixes *face) (preferred *face, note string, err error) {
	within := mixes.with()
	for _, c := range p.criteria() {
		within.rows = append(within.rows,
			c.limit(c.aim.Low, 0, math.Inf(1)),
			c.limit(c.aim.High, math.Inf(-1), 0))
	}
	bulk := p.bulk()
	vertex, narrowed, err := p.optimise(ctx, within, bulk.times(-1))
	if err != nil || vertex == nil {
		return nil, "", err
	}
	n := len(p.Materials)
	if bulk.value(vertex[:n], vertex[n]) < negligible*bulk.value(p.stock(), 0) {
		return nil, "", nil
	}
	switch p.Pile.Prefer {
	case PreferFewest:
		return p.fewest(ctx, within, bulk.value(vertex[:n], vertex[n]), fewestTime)
	case PreferCheapest:
		cost := row{material: p.per(func(m Material) float64 { return m.PricePerKg })}
		vertex, narrowed, err = p.optimise(ctx, narrowed, cost)
		if err != nil || vertex == nil {
			return nil, "", err
		}
	}
	return narrowed, "", nil
}

// negligible is the share of the stock below which a pile is none.
const negligible = 1e-9

// solve refuses an answer that is neither optimal nor proved impossible.
func solve(ctx context.Context, model *solver.Model) (*solver.Solution, error) {
	answer, err := solver.Solve(ctx, model.Problem(), solver.Settings{})
	switch {
	case err != nil:
		return nil, fmt.Errorf("blend: internal: %w", err)
	case ctx.Err() != nil:
		return nil, fmt.Errorf("blend: stopped: %w", ctx.Err())
	case answer.Status == solver.Stalled && answer.Residuals.Worst() <= acceptable:
		answer.Status = solver.Optimal
	case answer.Status == solver.Stalled, answer.Status == solver.LimitHit:
		return nil, fmt.Errorf("blend: internal: the optimiser stopped as %v with residuals %+v", answer.Status, answer.Residuals)
	}
	return answer, nil
}

// acceptable is the largest residual of an answer that rounding kept from the
// solver's own tolerance. Whatever comes of it is verified again.
const acceptable = 1e-7

// swept makes the mix of the amounts without their dust. Where the mix does not
// bear that (a trace of a rich material may matter in a very poor pile), only the
// rounding of the last digits is taken off.
func (p *Problem) swept(amounts []float64, water float64) Mixture {
	fine, coarse := p.tidy(amounts, water, fineDust), p.tidy(amounts, water, dust)
	same := func(a Aim, v, w float64) bool { return math.Abs(a.Distance(v)-a.Distance(w)) <= bearsDust }
	if same(p.Target.CarbonToNitrogen, fine.CarbonToNitrogen(), coarse.CarbonToNitrogen()) &&
		same(p.Target.Moisture, fine.Moisture(), coarse.Moisture()) {
		return coarse
	}
	return fine
}

const (
	// dust is the share of a pile below which an amount is none: a gram in a
	// tonne; fineDust is the rounding of the last digits.
	dust, fineDust = 1e-6, 1e-9
	// bearsDust is the distance that a mix may move when its dust is taken off.
	bearsDust = 1e-7
)

// tidy makes the mix of the amounts with their dust taken off: what is next to
// nothing becomes none, and what is next to a bound becomes the bound.
func (p *Problem) tidy(amounts []float64, water, dust float64) Mixture {
	amounts = slices.Clone(amounts)
	total := water
	for _, a := range amounts {
		total += a
	}
	snap := func(v *float64, bounds ...float64) {
		for _, b := range bounds {
			if math.Abs(*v-b) < dust*total {
				*v = b
			}
		}
	}
	for j, m := range p.Materials {
		if m.AtLeastKg == 0 {
			snap(&amounts[j], 0)
		}
		snap(&amounts[j], m.AtLeastKg, m.OnHandKg)
	}
	snap(&water, 0, p.Pile.WaterKg)
	return p.mixture(amounts, water)
}
