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

// SolveQuasiDefinite solves K x = b by the sparse factorisation; the first so
// many rows are the positive block.
func SolveQuasiDefinite(upper *Matrix, positive int, b []float64) []float64 {
	sign := make([]int8, upper.ColumnCount)
	for k := range sign {
		sign[k] = 1
		if k >= positive {
			sign[k] = -1
		}
	}
	f := newFactor(upper, sign)
	x := append([]float64{}, b...)
	f.refactor(upper.Value, regular)
	f.solve(x, 0)
	return x
}

// OrderAndFill returns the order of elimination and how many entries it gives
// the factor below its diagonal.
func OrderAndFill(upper *Matrix) (order []int32, fill int) {
	f := &factor{n: upper.ColumnCount, order: minimumFill(upper)}
	f.permute(upper)
	_, counts := f.tree()
	for _, c := range counts {
		fill += c
	}
	return f.order, fill
}

// RootCuts are the cuts that an integer search adds to the relaxation of its
// root, round after round, those that go again among them.
func RootCuts(ctx context.Context, p *Problem) []Inequality {
	b := newIntegerSearch(p, effort{ctx: ctx, tolerance: defaultTolerance}, Settings{})
	r := b.solve(b.root)
	if r.status != Optimal {
		return nil
	}
	w := b.engine.(*warmEngine)
	lower, upper := b.bounds(b.root)
	var all []Inequality
	b.addCuts(b.root, r, func(x []float64) []*cut {
		found := w.cuts(lower, upper, x)
		for _, k := range found {
			row := Inequality{Most: k.most}
			for i, j := range k.index {
				row.Terms = append(row.Terms, Term{j, k.value[i]})
			}
			all = append(all, row)
		}
		return found
	})
	return all
}
