// Package answer works questions out: a plan into a recipe with its reasons
// and its chance, a temperature log into verdicts and advice. The commands and
// the local page both ask here, so that they give the same numbers.
package answer

import (
	"context"
	"errors"
	"sync"

	"heapwright/blend"
	"heapwright/blend/chance"
	"heapwright/cmd/heapwright/internal/report"
	"heapwright/feedstocks"
)

// Question is a plan turned into numbers.
type Question struct {
	Plan    *blend.Plan
	Problem *blend.Problem
	Library *feedstocks.Library
}

// Ask turns a plan into numbers; lib is the library that it is read with. The
// error joins one *[blend.PlanError] for each fault of the plan.
func Ask(plan *blend.Plan, lib *feedstocks.Library) (*Question, error) {
	problem, err := plan.Problem(lib)
	if err != nil {
		return nil, err
	}
	return &Question{Plan: plan, Problem: problem, Library: lib}, nil
}

// Wishes are what is wanted of an answer that is no part of a plan. The zero
// value asks for the exact mix, its main reasons and one line of chance.
type Wishes struct {
	Whole    bool    // the answer is to be in whole measures
	Beside   bool    // whole measures beside the exact mix, where there are any
	Why      bool    // all candidates are tried for repairs
	Surety   float64 // the chance to hold the ranges with, as a fraction; 0 for none asked
	Chance   bool    // all about chance, and what to measure first
	Draws    int     // 0 for 10,000, or 100,000 with Chance
	Seed     uint64  // 0 means 1
	Progress func(tried int)
}

// quickDraws serve the one line that is always shown.
const quickDraws = 10_000

// Mix formulates the pile and gives the reasons.
func (q *Question) Mix(ctx context.Context, wish Wishes) (*report.Answer, error) {
	a := &report.Answer{}
	var err error
	if wish.Surety > 0 {
		if a.Sure, err = chance.Surest(ctx, q.Problem, wish.Surety, wish.Seed); err != nil {
			return nil, err
		}
		a.Recipe = a.Sure.Recipe
	} else if a.Recipe, err = blend.Formulate(ctx, q.Problem); err != nil {
		return nil, err
	}
	exact := a.Recipe
	sack, err := q.Plan.Measures().ParseUnit("sack")
	if err != nil {
		return nil, err
	}
	// What limits a mix is asked of the nearest: the surest gives way on purpose.
	explained := exact
	if a.Sure != nil {
		explained = a.Sure.Nearest
	}
	// The reasons and the whole measures do not need each other.
	var wg sync.WaitGroup
	var reasonsErr, wholeErr error
	wg.Go(func() {
		a.Reasons, reasonsErr = blend.Explain(ctx, explained, q.Problem.Candidates(q.Library, sack, wish.Why))
	})
	if wish.Whole || wish.Beside {
		progress := wish.Progress
		if progress == nil {
			progress = func(int) {}
		}
		a.Whole, wholeErr = blend.Whole(ctx, exact, progress)
	}
	wg.Wait()
	if reasonsErr != nil {
		return nil, reasonsErr
	}
	_, none := errors.AsType[*blend.ProblemError](wholeErr) // no whole measures obey the plan
	switch {
	case wholeErr != nil && (wish.Whole || !none):
		return nil, wholeErr
	case wish.Whole:
		a.Recipe = a.Whole
	}
	if err := addChance(ctx, a, wish); err != nil {
		return nil, err
	}
	if s := a.Sure; s != nil && wish.Whole && a.Chance != nil {
		s.Reached = a.Chance.InAll >= s.Asked-a.Chance.Error(s.Asked)
	}
	return a, nil
}

// Check judges the amounts on hand as they are.
func (q *Question) Check(ctx context.Context, wish Wishes) (*report.Answer, error) {
	recipe, err := blend.Judge(q.Problem)
	if err != nil {
		return nil, err
	}
	a := &report.Answer{Recipe: recipe}
	if err := addChance(ctx, a, wish); err != nil {
		return nil, err
	}
	return a, nil
}

// addChance draws for the recipe of an answer.
func addChance(ctx context.Context, a *report.Answer, wish Wishes) error {
	r := a.Recipe
	if r.Conflict {
		return nil
	}
	set := chance.Settings{Draws: wish.Draws, Seed: wish.Seed}
	if set.Draws == 0 && !wish.Chance {
		set.Draws = quickDraws
	}
	var err error
	if s := a.Sure; s != nil && s.Recipe == r && wish.Draws == 0 {
		a.Chance = s.Chance // as it was confirmed by
	} else if a.Chance, err = chance.Of(ctx, r, set); err != nil {
		return err
	}
	if !wish.Chance {
		return nil
	}
	if a.Shares, err = chance.Shares(ctx, r, wish.Seed); err != nil {
		return err
	}
	a.Gains, err = chance.Gains(ctx, r, a.Chance.Seed)
	return err
}
