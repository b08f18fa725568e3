package solver

// warmEngine solves the relaxations of a linear problem by the dual simplex
// method, each from the basis of the one before: a change of bounds leaves the
// reduced costs right. It checks every answer in the problem's own units.
type warmEngine struct {
	p       Problem
	s       *simplex
	factors scaling
	rate    []float64
	added   []*cut // the last rows
}

func newWarmEngine(p *Problem, e effort) *warmEngine {
	scaled, factors := scale(p, false)
	return &warmEngine{p: *p, s: newSimplex(scaled, e), factors: factors, rate: make([]float64, len(p.Cost))}
}

func (w *warmEngine) solve(lower, upper []float64, steps int) relaxed {
	s := w.s
	w.p.Lower, w.p.Upper = lower, upper
	for j := range s.n {
		by := w.factors.column[j]
		s.lower[j], s.upper[j] = lower[j]/by, upper[j]/by
		if s.where[j] < 0 {
			s.settle(j)
		}
	}
	enough := pivotsEnough(s.n, s.m)
	if steps > 0 {
		enough = min(enough, steps)
	}
	began := s.pivots
	s.turns, s.limit = began, began+enough
	copy(s.working, s.cost)
	s.moved = false
	v := s.run()
	r := w.read(v)
	if v == atOptimum && r.status == Stalled {
		r = w.polished()
	}
	if r.status == LimitHit && enough != steps && !s.effort.over() {
		r.status = Stalled // it went round in circles
	}
	r.steps = s.pivots - began
	return r
}

// polished is the answer found last, to tighter tolerances.
func (w *warmEngine) polished() relaxed {
	before := w.s.pivots
	w.s.polish()
	r := w.read(atOptimum)
	r.steps = w.s.pivots - before
	return r
}

// read is the answer that the engine stands at.
func (w *warmEngine) read(v verdict) relaxed {
	r := w.s.solution(&w.p, &w.factors, v)
	for j := range w.s.n {
		w.rate[j] = w.s.d[j] / w.factors.column[j] / w.factors.cost
	}
	return relaxed{r.Status, r.Objective, r.X, w.rate, 0}
}

// coldEngine solves every relaxation anew; it serves quadratic costs.
type coldEngine struct {
	p      Problem
	effort effort
}

func (c *coldEngine) solve(lower, upper []float64, steps int) relaxed {
	c.p.Lower, c.p.Upper = lower, upper
	core := reduce(&c.p)
	e := c.effort
	e.steps = steps
	s := finish(&c.p, core.restore(relax(core.problem, e)))
	cost := s.Objective
	if s.Status == Optimal {
		cost = min(cost, s.DualObjective)
	}
	return relaxed{s.Status, cost, s.X, nil, s.Iterations}
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
