package blend

import (
	"context"
	"fmt"

	"heapwright/solver"
)

// Extent is the lowest and the highest value that a criterion can have.
type Extent struct{ Low, High float64 }

// Reach is what the mixes that obey the limits of a plan can come to: each
// value by itself, whatever the other then is.
type Reach struct {
	CarbonToNitrogen Extent
	Moisture         Extent
}

// reach finds the extents of both criteria over the mixes of a face. ok is
// false when no mix is allowed.
func (p *Problem) reach(ctx context.Context, mixes *face) (reach Reach, ok bool, err error) {
	criteria := p.criteria()
	into := []*Extent{&reach.CarbonToNitrogen, &reach.Moisture}
	for k, c := range criteria {
		for _, end := range []struct {
			sign  float64
			value *float64
		}{{1, &into[k].Low}, {-1, &into[k].High}} {
			// With the lower sum of the ratio held at one, the ratio is linear.
			model := p.proportions(mixes, mixes.rows, c.under, c.stock)
			for _, t := range c.top.times(end.sign / c.stock).terms() {
				model.SetCost(t.Column, t.Coefficient)
			}
			answer, err := solve(ctx, model)
			switch {
			case err != nil:
				return Reach{}, false, err
			case answer.Status == solver.Infeasible:
				return Reach{}, false, nil
			case answer.Status != solver.Optimal:
				return Reach{}, false, fmt.Errorf("blend: internal: the reachable range came back %v", answer.Status)
			}
			*end.value = end.sign * answer.Objective
		}
	}
	return reach, true, nil
}
