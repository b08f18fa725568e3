package blend

import (
	"context"
	"fmt"
	"math"

	"heapwright/solver"
)

// fewestBulk is the share of the largest pile within the ranges that the
// fewest materials must still make where no size is wanted: one sack that
// happens to be right is not what is meant.
const fewestBulk = 0.5

// fewest finds the fewest materials that make a pile of the wanted size, or of
// half the largest that is possible where none is wanted, out of the mixes
// within the ranges; among equal numbers, those that make the largest pile. It
// returns the mixes of those materials. most is the largest bulk within.
func (p *Problem) fewest(ctx context.Context, within *face, most float64) (*face, error) {
	goal := fewestBulk * most
	if p.Pile.SizeM3 > 0 {
		goal = most // no more than the size wanted
	}
	bulk := p.bulk()
	bulk.lower = goal * (1 - fewestSlack)
	limited := within.with(bulk)
	model := limited.model(bulk.times(-fewestTie / most))
	used := make([]int, len(p.Materials))
	for j, m := range p.Materials {
		if m.OnHandKg == 0 {
			used[j] = none
			continue
		}
		used[j] = model.Column(1, 0, 1)
		model.Integer(used[j])
		model.Row(-solver.Inf(), 0, solver.Term{Column: j, Coefficient: 1 / m.OnHandKg}, solver.Term{Column: used[j], Coefficient: -1})
	}
	answer, err := solver.Solve(ctx, model.Problem(), solver.Settings{})
	switch {
	case err != nil:
		return nil, fmt.Errorf("blend: internal: %w", err)
	case ctx.Err() != nil:
		return nil, fmt.Errorf("blend: stopped: %w", ctx.Err())
	case answer.Status != solver.Optimal:
		return nil, fmt.Errorf("blend: internal: the fewest materials came back %v", answer.Status)
	}
	chosen := limited.with()
	for j, column := range used {
		if column != none && math.Round(answer.X[column]) == 0 {
			chosen.upper[j] = 0
			chosen.lower[j] = 0
		}
	}
	return chosen, nil
}

const (
	// fewestSlack keeps the bulk asked for within reach of rounding.
	fewestSlack = 1e-6
	// fewestTie is the weight of the bulk beside one material.
	fewestTie = 1e-3
)
