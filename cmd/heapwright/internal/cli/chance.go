package cli

import (
	"fmt"

	"github.com/spf13/pflag"

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

// parseSurety reads the chance to formulate for.
func parseSurety(text string) (float64, error) {
	asked, err := feedstocks.ParsePercent(text)
	if err != nil {
		return 0, &usageError{fmt.Sprintf("--surety cannot be %q", text), `write a percentage, as in --surety "90 %"`}
	}
	if asked < 0.01 {
		return 0, &usageError{fmt.Sprintf("a surety of %s is next to none", text), `write per cent, as in --surety "90 %"`}
	}
	return asked, nil
}
