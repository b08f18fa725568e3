package chance

import (
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/blend"
)

// Sure is a recipe formulated for a chance.
type Sure struct {
	Asked   float64       // the chance asked for
	Reached bool          // whether it can be had
	Recipe  *blend.Recipe // that has it, or the surest there is
	Chance  *Chance       // of Recipe, by independent draws
	Nearest *blend.Recipe // of Formulate, without regard to chance
	Before  *Chance       // of Nearest
}

const (
	// surestSlack is added to the largest margin tried, in standard deviations.
	surestSlack = 0.5
	// marginSteps halve the margin to a hundredth of a deviation.
	marginSteps = 8
	// cutRounds bounds the tangents added for one margin; 4 to 8 suffice.
	cutRounds = 16
	// cutTolerance is how far, over the mean, a margin may be missed: a
	// thousandth of the usual ranges, and the draws have the last word.
	cutTolerance = 1e-4
	// searchDraws serve the search, from another seed than finalDraws, the answer.
	searchDraws, finalDraws = 20_000, 100_000
)

// Surest finds the recipe whose ranges hold with the chance asked for (0 to
// below 1) and that is otherwise as near to its target and as large as can be.
// Where that chance cannot be had it finds the surest recipe.
//
// A range holds with a margin of z standard deviations when, for each of its
// edges, mean + z * deviation <= 0, where the amounts x enter the mean
// linearly and the deviation as a length |Dx|: a second-order cone. Formulate
// works on it through tangents of the cone, added where the last mix pierced
// it. The margin is then set by halving so that the draws confirm the chance.
func Surest(ctx context.Context, p *blend.Problem, asked float64, seed uint64) (*Sure, error) {
	if !(asked > 0 && asked < 1) {
		return nil, &blend.ProblemError{Problem: fmt.Sprintf("a surety of %g %% cannot be asked for", 100*asked), Hint: "ask for more than 0 and less than 100 %"}
	}
	nearest, err := blend.Formulate(ctx, p)
	if err != nil {
		return nil, err
	}
	out := &Sure{Asked: asked, Nearest: nearest, Recipe: nearest}
	if nearest.Conflict {
		return out, nil
	}
	seed = max(seed, 1)
	final := Settings{Draws: finalDraws, Seed: seed}
	if out.Before, err = Of(ctx, nearest, final); err != nil {
		return nil, err
	}
	out.Chance = out.Before
	if out.Before.InAll >= asked {
		out.Reached = true
		return out, nil
	}
	l, err := newLots(ctx, nearest, searchDraws, seed+1)
	if err != nil {
		return nil, err
	}
	// The lots are searched for a little more than is asked, since the answer
	// is judged by other draws.
	enough := asked + 2*math.Sqrt(asked*(1-asked)/searchDraws)
	best, err := l.climb(ctx, nearest)
	if err != nil {
		return nil, err
	}
	if l.chance(amountsOf(best)) >= enough {
		if best, err = l.leastMargin(ctx, best, asked, enough); err != nil {
			return nil, err
		}
	}
	out.Recipe = best
	if out.Chance, err = Of(ctx, best, final); err != nil {
		return nil, err
	}
	if out.Chance.InAll < out.Before.InAll { // by chance, where there is nothing to be had
		out.Recipe, out.Chance = nearest, out.Before
	}
	out.Reached = out.Chance.InAll >= asked-out.Chance.Error(asked)
	return out, nil
}

// leastMargin finds the mix with the least margin that has the chance, which
// is the nearest to the target; where no margin gives it, the surest.
func (l *lots) leastMargin(ctx context.Context, surest *blend.Recipe, asked, enough float64) (*blend.Recipe, error) {
	edges := newEdges(l)
	best := surest
	// Were each of the four edges missed with a quarter of the chance to miss,
	// all would hold: no more is needed, but that the sums are not quite normal.
	low, high := 0.0, surestSlack+math.Sqrt2*math.Erfinv(1-(1-asked)/2)
	for range marginSteps {
		margin := (low + high) / 2
		r, err := edges.formulate(ctx, l.problem, margin)
		switch {
		case err != nil:
			return nil, err
		case r == nil: // no mix has that margin
			high = margin
		case l.chance(amountsOf(r)) >= enough:
			best, high = r, margin
		default:
			low = margin
		}
	}
	return best, nil
}

// edges are the four edges of the ranges as random rows over the amounts: at
// most zero inside. Each has a mean and a deviation for a kg of each material.
type edges struct {
	mean, deviation [4][]float64
	water           [4]float64
	tangents        []tangent
}

// tangent is a plane below the deviation of an edge: |Dx| >= slope x. It holds
// whatever the margin, so each margin starts with those of the ones before.
type tangent struct {
	edge  int
	slope []float64
}

// row is the limit that a tangent makes for a margin.
func (e *edges) row(t tangent, margin float64) blend.Further {
	f := blend.Further{Material: slices.Clone(e.mean[t.edge]), Water: e.water[t.edge]}
	for j, s := range t.slope {
		f.Material[j] += margin * s
	}
	return f
}

// newEdges takes the moments from draws of each material by itself.
func newEdges(l *lots) *edges {
	e := &edges{}
	t := l.problem.Target
	value := func(k int, l *lot) float64 {
		switch k {
		case 0:
			return t.CarbonToNitrogen.Low*l[nitrogen] - l[carbon]
		case 1:
			return l[carbon] - t.CarbonToNitrogen.High*l[nitrogen]
		case 2:
			return t.Moisture.Low*l[mass] - l[water]
		}
		return l[water] - t.Moisture.High*l[mass]
	}
	n := l.materials
	for k := range e.mean {
		e.mean[k], e.deviation[k] = make([]float64, n), make([]float64, n)
		e.water[k] = value(k, pureWater())
		for j := range n {
			sum, square := 0.0, 0.0
			typical := value(k, &l.drawn[j]) // any value near the mean will do
			for i := range l.draws {
				away := value(k, &l.drawn[i*n+j]) - typical
				sum += away
				square += away * away
			}
			away := sum / float64(l.draws)
			e.mean[k][j] = typical + away
			e.deviation[k][j] = math.Sqrt(max(0, square/float64(l.draws)-away*away))
		}
	}
	return e
}

// formulate finds the mix that has the margin at every edge; nil when there is
// none.
func (e *edges) formulate(ctx context.Context, p *blend.Problem, margin float64) (*blend.Recipe, error) {
	q := *p
	q.Further = append([]blend.Further{}, p.Further...)
	for k := range 4 { // the mean must lie inside before any tangent is known
		q.Further = append(q.Further, blend.Further{Material: e.mean[k], Water: e.water[k]})
	}
	for _, t := range e.tangents {
		q.Further = append(q.Further, e.row(t, margin))
	}
	for range cutRounds {
		r, err := blend.Formulate(ctx, &q)
		if err != nil {
			return nil, err
		}
		if r.Conflict {
			return nil, nil
		}
		pierced := false
		for k := range 4 {
			mean, length := e.water[k]*r.Mixture.AddedWaterKg, 0.0
			size := 0.0
			for j, part := range r.Mixture.Parts {
				mean += e.mean[k][j] * part.MassKg
				size += math.Abs(e.mean[k][j]) * part.MassKg
				length += sq(e.deviation[k][j] * part.MassKg)
			}
			length = math.Sqrt(length)
			if length == 0 || mean+margin*length <= cutTolerance*(size+margin*length) {
				continue
			}
			pierced = true
			touching := tangent{k, make([]float64, len(r.Mixture.Parts))}
			for j, part := range r.Mixture.Parts {
				touching.slope[j] = sq(e.deviation[k][j]) * part.MassKg / length
			}
			e.tangents = append(e.tangents, touching)
			q.Further = append(q.Further, e.row(touching, margin))
		}
		if !pierced {
			r.Problem = p
			return r, nil
		}
	}
	return nil, nil // the margin is at the very edge of what can be had
}

func sq(v float64) float64 { return v * v }
