package solver

// warmEngine solves the relaxations of a linear problem by the dual simplex
// method, each from the basis of the one before: a change of bounds leaves the
// reduced costs right.
type warmEngine struct {
	s       *simplex
	factors scaling
	x, rate []float64
}

func newWarmEngine(p *Problem, e effort) *warmEngine {
	scaled, factors := scale(p, false)
	n := len(p.Cost)
	return &warmEngine{s: newSimplex(scaled, e), factors: factors, x: make([]float64, n), rate: make([]float64, n)}
}

func (w *warmEngine) solve(lower, upper []float64) relaxed {
	s := w.s
	for j := range s.n {
		by := w.factors.column[j]
		s.lower[j], s.upper[j] = lower[j]/by, upper[j]/by
		if s.where[j] < 0 {
			s.settle(j)
		}
	}
	s.turns, s.limit = s.pivots, s.pivots+pivotsEnough(s.n, s.m)
	copy(s.working, s.cost)
	s.moved = false
	v := s.run()
	cost := 0.0
	for j := range s.n {
		by := w.factors.column[j]
		w.x[j] = s.x[j] * by
		cost += s.cost[j] * s.x[j]
		w.rate[j] = s.d[j] / by / w.factors.cost
	}
	status := Stalled
	switch v {
	case atOptimum:
		status = Optimal
	case noPoint:
		status = Infeasible
	case noEnd:
		status = Unbounded
	case outOfTime:
		if s.effort.over() {
			status = LimitHit
		}
	}
	return relaxed{status, cost / w.factors.cost, w.x, w.rate}
}

// coldEngine solves every relaxation anew; it serves quadratic costs.
type coldEngine struct {
	p      Problem
	effort effort
}

func (c *coldEngine) solve(lower, upper []float64) relaxed {
	c.p.Lower, c.p.Upper = lower, upper
	core := reduce(&c.p)
	s := finish(&c.p, core.restore(relax(core.problem, c.effort)))
	cost := s.Objective
	if s.Status == Optimal {
		cost = min(cost, s.DualObjective)
	}
	return relaxed{s.Status, cost, s.X, nil}
}

// pseudoCosts remember, for every integer column, how much the cost rose for
// each unit that a branch moved it, up and down: a guess at the next.
type pseudoCosts struct {
	rise  [2][]float64
	count [2][]float64
}

func newPseudoCosts(n int) pseudoCosts {
	var g pseudoCosts
	for side := range 2 {
		g.rise[side], g.count[side] = make([]float64, n), make([]float64, n)
	}
	return g
}

func (g *pseudoCosts) learn(n *node, rise float64) {
	side := 0
	if n.up {
		side = 1
	}
	g.rise[side][n.column] += max(rise, 0) / n.by
	g.count[side][n.column]++
}

// score ranks the columns to branch on: the product of the two expected
// rises, each kept from zero. A side never tried counts as the average one.
func (g *pseudoCosts) score(column int, fraction float64) float64 {
	product := 1.0
	for side, far := range [2]float64{fraction, 1 - fraction} {
		rate := 0.0
		if c := g.count[side][column]; c > 0 {
			rate = g.rise[side][column] / c
		} else {
			total, tried := 0.0, 0.0
			for k := range g.count[side] {
				total += g.rise[side][k]
				tried += g.count[side][k]
			}
			rate = (total + 1) / (tried + 1)
		}
		product *= max(rate*far, 1e-6*far)
	}
	return product
}
