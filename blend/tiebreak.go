package blend

import (
	"context"
	"fmt"
	"slices"

	"heapwright/solver"
)

// closestToStock finds the mix among those of a face whose materials are used
// in shares of their stock that differ least, each weighed by its stock:
// splitting a lot in two changes nothing. vertex is any mix of the face. The
// program is laid out in steps away from it, as shares of its mass, so that
// staying there is always an answer, rounding cannot make the face seem empty,
// and a small pile is as exact as a large one.
func (p *Problem) closestToStock(ctx context.Context, mixes *face, vertex []float64) (amounts []float64, water float64, err error) {
	n := len(p.Materials)
	mass, total := 0.0, 0.0
	for j, m := range p.Materials {
		mass += vertex[j]
		total += m.OnHandKg
	}
	if mass == 0 {
		return vertex[:n], vertex[n], nil
	}
	model := mixes.stepsFrom(vertex, mass, p.criteria()).model(row{material: make([]float64, n)})
	share := model.Column(0, -solver.Inf(), solver.Inf())
	start := 0.0
	for j, m := range p.Materials {
		if m.OnHandKg > 0 {
			// weight/2 * ((vertex + mass step)/stock - share)^2, weight = stock/total,
			// all over (mass/total)^2 so that a small pile is no flatter; the linear
			// part is weight * vertex/stock * (mass step/stock - share), likewise
			weight, used, each := m.OnHandKg/total, vertex[j]/m.OnHandKg*(total/mass), total/m.OnHandKg
			model.Square(weight,
				solver.Term{Column: j, Coefficient: each},
				solver.Term{Column: share, Coefficient: -1})
			model.SetCost(j, weight*used*each)
			start += weight * used
		}
	}
	model.SetCost(share, -start)
	answer, err := solver.Solve(ctx, model.Problem(), solver.Settings{Tolerance: fineTolerance})
	if err != nil {
		return nil, 0, fmt.Errorf("blend: internal: %w", err)
	}
	end := slices.Clone(vertex)
	if answer.Status == solver.Optimal || answer.Status == solver.Stalled && answer.Residuals.Worst() <= fineEnough {
		for j := range end {
			end[j] = min(max(vertex[j]+mass*answer.X[j], mixes.lower[j]), mixes.upper[j])
		}
	}
	return end[:n], end[n], ctx.Err()
}

// The last stage is asked for more digits than the others, since its answer is
// the one that people see, and taken with a few less.
const (
	fineTolerance = 1e-11
	fineEnough    = 1e-8
)
