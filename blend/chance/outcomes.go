package chance

import (
	"context"
	"fmt"

	"heapwright/blend"
)

// Outcomes are the first n of the draws that [Of] makes with the same seed (0
// means 1), one by one: what a recipe may turn out to be, for a picture. It is
// empty for a recipe without a mix. The error is the context's.
func Outcomes(ctx context.Context, r *blend.Recipe, n int, seed uint64) ([]Outcome, error) {
	if r.Conflict || len(r.Mixture.Parts) == 0 || n <= 0 {
		return nil, nil
	}
	if seed == 0 {
		seed = 1
	}
	d := newDrawer(r)
	drawn := make([]Outcome, n)
	if err := d.each(ctx, n, seed, func(i int, u []float64) { drawn[i] = d.at(u) }); err != nil {
		return nil, fmt.Errorf("chance: stopped: %w", err)
	}
	return drawn, nil
}
