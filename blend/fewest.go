package blend

import (
	"context"
	"fmt"
	"math"
	"time"

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
//
// The number is searched for alone, and then the bulk among that number: with
// both in one cost no bound can be rounded up to a whole material, and every
// tie is searched to its end. A search that meets its limit gives the best that
// it found, and note says what was not proved.
func (p *Problem) fewest(ctx context.Context, within *face, most float64, limit time.Duration) (chosen *face, note string, err error) {
	goal := fewestBulk * most
	if p.Pile.SizeM3 > 0 {
		goal = most // no more than the size wanted
	}
	bulk := p.bulk()
	bulk.lower = goal * (1 - fewestSlack)
	s := &fewestSearch{problem: p, limited: within.with(bulk), most: most}
	used, proved, err := s.count(ctx, limit)
	if err != nil {
		return nil, "", err
	}
	if !proved {
		note = fmt.Sprintf("%d materials are the fewest found in the time allowed; a pile of fewer may be possible", count(used))
	}
	if p.Pile.SizeM3 == 0 {
		largest, best, err := s.largest(ctx, used, limit)
		if err != nil {
			return nil, "", err
		}
		used = largest
		if !best && note == "" {
			note = fmt.Sprintf("no pile of fewer than %d materials is possible; another choice of so few may make a larger one", count(used))
		}
	}
	chosen = s.limited.with()
	for j := range used {
		if !used[j] {
			chosen.upper[j] = 0
			chosen.lower[j] = 0
		}
	}
	return chosen, note, nil
}

// count is the number of materials used.
func count(used []bool) int {
	n := 0
	for _, is := range used {
		if is {
			n++
		}
	}
	return n
}

// fewestSearch is the search for the materials of a pile.
type fewestSearch struct {
	problem *Problem
	limited *face   // the mixes that are large enough
	most    float64 // the largest bulk within the ranges
}

// model lays out the mixes, with a column for each material that is 1 where it
// is used; none for one that there is nothing of.
func (s *fewestSearch) model(cost row, perMaterial float64) (*solver.Model, []int) {
	model := s.limited.model(cost)
	columns := make([]int, len(s.problem.Materials))
	for j, m := range s.problem.Materials {
		if m.OnHandKg == 0 {
			columns[j] = none
			continue
		}
		least := 0.0
		if s.limited.lower[j] > 0 {
			least = 1
		}
		columns[j] = model.Column(perMaterial, least, 1)
		model.Integer(columns[j])
		model.Row(-solver.Inf(), 0, solver.Term{Column: j, Coefficient: 1 / m.OnHandKg}, solver.Term{Column: columns[j], Coefficient: -1})
	}
	return model, columns
}

// count finds the least number of materials; proved tells that there are no
// fewer.
func (s *fewestSearch) count(ctx context.Context, limit time.Duration) (used []bool, proved bool, err error) {
	model, columns := s.model(row{material: make([]float64, len(s.problem.Materials))}, 1)
	all := make([]bool, len(columns)) // the largest pile is one of them
	for j, column := range columns {
		all[j] = column != none
	}
	return s.solve(ctx, model, columns, all, solver.Settings{Time: limit})
}

// largest finds, among as many materials as are used, those that make the
// largest pile; proved tells that no others make a larger one.
func (s *fewestSearch) largest(ctx context.Context, used []bool, limit time.Duration) (best []bool, proved bool, err error) {
	model, columns := s.model(s.problem.bulk().times(-1/s.most), 0)
	var terms []solver.Term
	for _, column := range columns {
		if column != none {
			terms = append(terms, solver.Term{Column: column, Coefficient: 1})
		}
	}
	model.Row(-solver.Inf(), float64(count(used)), terms...)
	return s.solve(ctx, model, columns, used, solver.Settings{Time: limit, AbsoluteGap: fewestGap})
}

// solve runs an integer search from the materials at start, which make a pile.
func (s *fewestSearch) solve(ctx context.Context, model *solver.Model, columns []int, start []bool, set solver.Settings) (used []bool, proved bool, err error) {
	problem := model.Problem()
	set.Start = make([]float64, len(problem.Cost))
	for j, column := range columns {
		if column != none && start[j] {
			set.Start[column] = 1
		}
	}
	answer, err := solver.Solve(ctx, problem, set)
	switch {
	case err != nil:
		return nil, false, fmt.Errorf("blend: internal: %w", err)
	case ctx.Err() != nil:
		return nil, false, fmt.Errorf("blend: stopped: %w", ctx.Err())
	case answer.Status == solver.LimitHit && answer.Primal != solver.NearestSoFar && answer.Primal != solver.Answer:
		return start, false, nil
	case answer.Status != solver.Optimal && answer.Status != solver.LimitHit:
		return nil, false, fmt.Errorf("blend: internal: the fewest materials came back %v", answer.Status)
	}
	used = make([]bool, len(columns))
	for j, column := range columns {
		used[j] = column != none && math.Round(answer.X[column]) == 1
	}
	return used, answer.Status == solver.Optimal, nil
}

const (
	// fewestSlack keeps the bulk asked for within reach of rounding.
	fewestSlack = 1e-6
	// fewestGap is the share of the largest bulk that is too little to look for.
	fewestGap = 1e-4
	// fewestTime bounds each of the two searches.
	fewestTime = 2500 * time.Millisecond
)
