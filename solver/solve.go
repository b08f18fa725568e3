package solver

import (
	"context"
	"math"
)

// Solve minimises p. The error is a *[ProblemError] when p or the settings
// cannot be understood; every other outcome is a Solution with its Status.
// A cancelled context ends the solve with the best iterate and LimitHit.
func Solve(ctx context.Context, p *Problem, settings Settings) (*Solution, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	set, err := settings.filled()
	if err != nil {
		return nil, err
	}
	if p.crossedBounds() > 0 {
		return finish(p, &Solution{
			Status: Infeasible, X: make([]float64, len(p.Cost)), RowDual: make([]float64, p.Rows.RowCount),
		}), nil
	}
	core := reduce(p)
	return finish(p, core.restore(interiorPoint(ctx, core.problem, set))), nil
}

// finish fills in what follows from the vectors of s.
func finish(p *Problem, s *Solution) *Solution {
	s.RowActivity = p.Activity(s.X)
	switch s.Status {
	case Infeasible:
		s.Primal, s.Dual = NoVector, InfeasibleRay
		s.ColumnDual = make([]float64, len(p.Cost))
		p.Rows.addMulT(s.ColumnDual, -1, s.RowDual)
		s.Objective, s.DualObjective = math.NaN(), math.NaN()
		return s
	case Unbounded:
		s.Primal, s.Dual = InfeasibleRay, NoVector
		s.Objective, s.DualObjective = math.NaN(), math.NaN()
		s.ColumnDual = make([]float64, len(p.Cost))
		return s
	case Optimal:
		s.Primal, s.Dual = Answer, Answer
	default:
		s.Primal, s.Dual = NearestSoFar, NearestSoFar
	}
	s.ColumnDual = p.ColumnDual(s.X, s.RowDual)
	s.Residuals, s.Objective, s.DualObjective = p.Check(s.X, s.RowDual)
	return s
}
