package solver

import "context"

// Simplex solves by the simplex methods alone, Interior by the interior point
// alone, both without the steps of Solve around them.
func Simplex(ctx context.Context, p *Problem) *Solution {
	return finish(p, simplexMethod(p, effort{ctx: ctx, tolerance: defaultTolerance}))
}

func Interior(ctx context.Context, p *Problem) *Solution {
	core := reduce(p)
	return finish(p, core.restore(interiorPoint(core.problem, effort{ctx: ctx, tolerance: defaultTolerance})))
}
