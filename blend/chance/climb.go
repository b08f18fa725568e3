package chance

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/blend"
)

const (
	// firstStep and lastStep are shares of the mass that are moved at a time.
	firstStep, lastStep = 0.1, 2e-4
	// climbTries is the number of moves tried before the step is halved.
	climbTries = 4
)

// stage is a stretch of a climb: the width over which the edges are softened,
// and the draws that it takes. A wide one leads in from afar; a narrow one is
// close to the chance itself, and needs more draws.
type stage struct {
	softness float64
	draws    int
}

func stages() []stage { return []stage{{0.5, 1000}, {0.15, 2000}, {0.05, 5000}} }

// move is an exchange of one material of a mix for another; "all" stands for
// the mix as a whole.
type move struct {
	into, outOf int
	gain        float64 // of the softened chance, for each kg
}

const all = -1

// climb walks from a recipe to the surest one. It exchanges one material for another, the pair that the slope of
// the chance favours most, by steps that grow while they help and shrink when
// none does. The chance is softened at the edges of the ranges, so that every
// step shows.
func (l *lots) climb(ctx context.Context, from *blend.Recipe) (*blend.Recipe, error) {
	best, bestChance := from, l.chance(amountsOf(from))
	here := from
	slope := make([]float64, l.materials+1)
	for _, s := range stages() {
		for step := firstStep; step > lastStep; {
			if ctx.Err() != nil {
				return nil, fmt.Errorf("chance: stopped: %w", ctx.Err())
			}
			amounts := amountsOf(here)
			now := l.softChance(amounts, s.draws, s.softness, slope)
			moved, tries := false, climbTries
			for _, m := range l.moves(amounts, slope) {
				next := l.moved(amounts, m, step*here.Mixture.MassKg())
				if next == nil {
					continue // a limit forbids it
				}
				if l.softChance(amountsOf(next), s.draws, s.softness, nil) > now {
					here, moved = next, true
					break
				}
				if tries--; tries == 0 {
					break
				}
			}
			if moved {
				step = min(2*step, firstStep)
			} else {
				step /= 2
			}
		}
		if chance := l.chance(amountsOf(here)); chance > bestChance {
			best, bestChance = here, chance
		}
	}
	return best, nil
}

// moves lists the exchanges that the slope favours, the best first.
func (l *lots) moves(amounts, slope []float64) []move {
	var out []move
	for into := all; into <= l.materials; into++ {
		if into >= 0 && l.most(into) <= 0 {
			continue
		}
		for outOf := all; outOf <= l.materials; outOf++ {
			if outOf == into || outOf >= 0 && amounts[outOf] == 0 {
				continue
			}
			// As the chance depends on proportions alone, more of all is no change.
			gain := 0.0
			if into >= 0 {
				gain += slope[into]
			}
			if outOf >= 0 {
				gain -= slope[outOf]
			}
			if gain > 0 {
				out = append(out, move{into, outOf, gain})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b move) int { return -cmp.Compare(a.gain, b.gain) })
	return out
}

// most is what there is of a material, or of water.
func (l *lots) most(j int) float64 {
	if j == l.materials {
		return l.problem.Pile.WaterKg
	}
	return l.problem.Materials[j].OnHandKg
}

// moved makes the exchange of kg; nil when a limit forbids it.
func (l *lots) moved(amounts []float64, m move, kg float64) *blend.Recipe {
	next := slices.Clone(amounts)
	if m.outOf >= 0 {
		kg = min(kg, next[m.outOf])
		next[m.outOf] -= kg
	}
	if m.into >= 0 {
		next[m.into] += kg
	}
	return l.fit(next)
}

// fit scales amounts to the stock and the size of the pile, and gives nil when
// they then break a limit.
func (l *lots) fit(amounts []float64) *blend.Recipe {
	p, n := l.problem, l.materials
	scale := math.Inf(1)
	for j, kg := range amounts {
		if kg > 0 {
			scale = min(scale, l.most(j)/kg)
		}
	}
	whole := p.Recipe(amounts[:n], amounts[n])
	for _, most := range []float64{p.Pile.SizeM3, p.Pile.LargestM3} {
		if most > 0 {
			scale = min(scale, most/whole.Figures.VolumeM3)
		}
	}
	if !(scale > 0) || math.IsInf(scale, 1) {
		return nil
	}
	for j := range amounts {
		amounts[j] *= scale
		if j < n && amounts[j] < p.Materials[j].AtLeastKg*(1-rounding) {
			return nil
		}
	}
	r := p.Recipe(amounts[:n], amounts[n])
	if len(r.Breaches()) > 0 || slices.ContainsFunc(p.Further, func(f blend.Further) bool { return f.Broken(amounts[:n], amounts[n], rounding) }) {
		return nil
	}
	return r
}

// rounding is the relative error that sums of some tens of numbers may carry.
const rounding = 1e-9
