package cli

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"heapwright/blend/chance"
	"heapwright/cmd/heapwright/internal/report"
	"heapwright/feedstocks"
)

// chanceFlags say how much to tell about chance.
type chanceFlags struct {
	all   bool
	draws int
	seed  uint64
}

func addChanceFlags(flags *pflag.FlagSet) *chanceFlags {
	c := &chanceFlags{}
	flags.BoolVar(&c.all, "chance", false, "show how sure it is, and what to measure first")
	flags.IntVar(&c.draws, "draws", 0, "how many `draws` that takes (else 10000, or 100000 with --chance)")
	flags.Uint64Var(&c.seed, "seed", 1, "`seed` of the draws, so that a run repeats")
	return c
}

// quickDraws serve the one line that is always shown.
const quickDraws = 10_000

// addChance draws for the recipe of an answer.
func (q *question) addChance(ctx context.Context, answer *report.Answer, flags *chanceFlags) error {
	r := answer.Recipe
	if r.Conflict {
		return nil
	}
	set := chance.Settings{Draws: flags.draws, Seed: flags.seed}
	if set.Draws == 0 && !flags.all {
		set.Draws = quickDraws
	}
	var err error
	if s := answer.Sure; s != nil && s.Recipe == r && flags.draws == 0 {
		answer.Chance = s.Chance // as it was confirmed by
	} else if answer.Chance, err = chance.Of(ctx, r, set); err != nil {
		return err
	}
	if !flags.all {
		return nil
	}
	q.options.Chance = true
	if answer.Shares, err = chance.Shares(ctx, r, flags.seed); err != nil {
		return err
	}
	answer.Gains, err = chance.Gains(ctx, r, answer.Chance.Seed)
	return err
}

// surest formulates for a chance.
func (q *question) surest(ctx context.Context, wish mixWishes) (*chance.Sure, error) {
	asked, err := feedstocks.ParsePercent(wish.surety)
	if err != nil {
		return nil, &usageError{fmt.Sprintf("--surety cannot be %q", wish.surety), `write a percentage, as in --surety "90 %"`}
	}
	if asked < 0.01 {
		return nil, &usageError{fmt.Sprintf("a surety of %s is next to none", wish.surety), `write per cent, as in --surety "90 %"`}
	}
	return chance.Surest(ctx, q.problem, asked, wish.chance.seed)
}
