package solver

import (
	"container/heap"
	"math"
	"slices"
	"time"
)

// whole is how far from a whole number an integer column may be before the
// search branches on it.
const whole = 1e-6

// integerSearch is a branch and bound over the integer columns of a problem:
// it dives from the most promising open node along the nearer whole number
// until nothing is left of that branch, then takes the next; every node's
// relaxation is solved from the basis of the one before, and the reduced costs
// narrow what remains.
type integerSearch struct {
	p       *Problem
	columns []int // the integer ones
	set     Settings
	effort  effort
	engine  nodeEngine
	open    nodeHeap
	guess   pseudoCosts
	grain   float64 // every cost at whole points is a multiple of it; 0: unknown

	root  *node
	scout *scout // nil for none

	x       []float64 // the best point so far; nil for none
	cost    float64   // its cost; +Inf for none
	nodes   int
	steps   int     // of the engine so far
	cut     bool    // a relaxation met a limit: the search is at its end
	diving  float64 // no point of the node being dived costs less; -Inf before the root is, +Inf for none
	closed  float64 // the least bound of the branches given up as hopeless; +Inf for none
	unsure  float64 // the least bound of those given up for rounding; +Inf for none
	started time.Time
	told    time.Time
	end     int // the number of nodes at which what is done aside ends; 0 for none

	rounding int // the number of nodes at which a relaxation is rounded again
}

// nodeEngine solves the relaxation of a node, whose bounds are those given.
type nodeEngine interface {
	// solve takes at most so many steps; 0 means as many as it takes.
	solve(lower, upper []float64, steps int) relaxed
}

// relaxed is the answer of a relaxation.
type relaxed struct {
	status Status
	cost   float64
	x      []float64 // valid until the next solve
	rate   []float64 // reduced costs, where known
	steps  int       // that it took
}

// node is a part of the space that is still to be searched: bounds of the
// integer columns.
type node struct {
	lower, upper []float64 // by integer column
	cost         float64   // no point of it costs less
	depth        int
	column       int // branched on to get here; -1 at the root
	up           bool
	by           float64 // distance that the branch moved the column
}

type nodeHeap []*node

func (h nodeHeap) Len() int { return len(h) }
func (h nodeHeap) Less(a, b int) bool {
	if h[a].cost != h[b].cost {
		return h[a].cost < h[b].cost
	}
	return h[a].depth > h[b].depth
}
func (h nodeHeap) Swap(a, b int) { h[a], h[b] = h[b], h[a] }
func (h *nodeHeap) Push(v any)   { *h = append(*h, v.(*node)) }
func (h *nodeHeap) Pop() any {
	last := len(*h) - 1
	v := (*h)[last]
	*h = (*h)[:last]
	return v
}

// newIntegerSearch prepares a search, with its root.
func newIntegerSearch(p *Problem, e effort, set Settings) *integerSearch {
	b := &integerSearch{p: p, effort: e, set: set, root: &node{cost: math.Inf(-1), column: -1},
		cost: math.Inf(1), diving: math.Inf(-1), closed: math.Inf(1), unsure: math.Inf(1), started: time.Now(),
	}
	b.told = b.started
	for j, is := range p.Integer {
		if is {
			b.columns = append(b.columns, j)
			b.root.lower = append(b.root.lower, math.Ceil(p.Lower[j]-whole))
			b.root.upper = append(b.root.upper, math.Floor(p.Upper[j]+whole))
		}
	}
	b.grain = p.grain()
	b.guess = newPseudoCosts(len(b.columns))
	if !p.curved() {
		b.engine = newWarmEngine(p, e)
	} else {
		b.engine = &coldEngine{p: *p, effort: e}
	}
	return b
}

// searchIntegers minimises p with its integer columns whole. Primal and Dual of
// its answer say what the vectors are.
func searchIntegers(p *Problem, e effort, set Settings) *Solution {
	b := newIntegerSearch(p, e, set)
	root := b.root
	if len(set.Start) > 0 {
		b.take(root, set.Start)
	}
	first := b.solve(root)
	switch first.status {
	case Infeasible, Unbounded:
		return b.certify(first.status)
	}
	first, done := b.strengthen(root, first)
	if !done {
		if b.large() && set.Nodes == 0 && e.steps == 0 {
			b.scout = &scout{free: freeFirst}
		}
		b.explore(root, first)
		b.recall()
	}
	return b.finish()
}

// explore searches a node whose relaxation is r to its end: by a dive, and
// then from the most promising of the nodes left open.
func (b *integerSearch) explore(n *node, r relaxed) {
	b.dive(n, r)
	for len(b.open) > 0 && !b.over() {
		n := heap.Pop(&b.open).(*node)
		if b.hopeless(n.cost) { // and so are all the others
			b.closed = min(b.closed, n.cost)
			b.open = b.open[:0]
			return
		}
		b.dive(n, b.solve(n))
	}
}

// manyColumns is the number of integer columns from which on cuts and a scout
// are worth their time; smaller searches are over before they pay.
const manyColumns = 40

// large tells that the search is for cuts and a scout, which need a linear
// problem.
func (b *integerSearch) large() bool { return len(b.columns) >= manyColumns && !b.p.curved() }

// plungeNodes bounds the dive for points before cuts are added.
const plungeNodes = 60

// aside searches a part for points, and tells whether it saw all of it. If
// not, what it proved of it is forgotten.
func (b *integerSearch) aside(part *node, nodes int) bool {
	open, closed, unsure := b.open, b.closed, b.unsure
	b.open, b.end = nil, b.nodes+nodes
	b.explore(part, b.solve(part))
	all := len(b.open) == 0 && !b.over()
	b.end = 0
	if !all {
		b.closed, b.unsure = closed, unsure
	}
	b.open = open
	return all
}

// left is what the search may still spend, and whether that is anything.
func (b *integerSearch) left() (effort, bool) {
	e := b.effort
	if e.steps > 0 {
		if e.steps -= b.steps; e.steps <= 0 {
			return e, false
		}
	}
	return e, !b.cut && !e.over()
}

// relax solves a relaxation with what is left of the effort. One that meets a
// limit ends the search.
func (b *integerSearch) relax(lower, upper []float64) relaxed {
	r := relaxed{status: LimitHit}
	if e, ok := b.left(); ok {
		r = b.engine.solve(lower, upper, e.steps)
		b.steps += r.steps
	}
	b.cut = b.cut || r.status == LimitHit
	return r
}

// solve relaxes a node.
func (b *integerSearch) solve(n *node) relaxed {
	b.nodes++
	lower, upper := b.bounds(n)
	for k := range n.lower {
		if n.lower[k] > n.upper[k] {
			return relaxed{status: Infeasible}
		}
	}
	r := b.relax(lower, upper)
	if r.status == Optimal && n.column >= 0 && !math.IsInf(n.cost, -1) {
		b.guess.learn(n, r.cost-n.cost)
	}
	if r.status == Optimal {
		n.cost = max(n.cost, b.lift(r.cost))
	}
	return r
}

// bounds writes the bounds of a node into those of the problem.
func (b *integerSearch) bounds(n *node) (lower, upper []float64) {
	lower, upper = slices.Clone(b.p.Lower), slices.Clone(b.p.Upper)
	for k, j := range b.columns {
		lower[j], upper[j] = n.lower[k], n.upper[k]
	}
	return lower, upper
}

// dive branches from a node whose relaxation is r, follows the nearer child
// and keeps the other for later, until nothing is left here.
func (b *integerSearch) dive(n *node, r relaxed) {
	defer func() { b.diving = math.Inf(1) }()
	for !b.over() {
		b.diving = n.cost
		b.tell()
		if r.status == Infeasible {
			return
		}
		if b.hopeless(n.cost) {
			b.closed = min(b.closed, n.cost)
			return
		}
		if r.status == LimitHit {
			heap.Push(&b.open, n)
			return
		}
		if r.status != Optimal { // rounding stopped it: no bound, but perhaps a point
			b.unsure = min(b.unsure, n.cost)
			return
		}
		b.scouting(n, r.x)
		b.narrow(n, r)
		k := b.choose(n, r.x)
		if k < 0 {
			if !b.take(n, r.x) {
				if b.cut {
					heap.Push(&b.open, n)
					return
				}
				b.unsure = min(b.unsure, n.cost)
			}
			return
		}
		if n.depth%8 == 0 && (b.x == nil || b.nodes >= b.rounding) {
			b.rounding = b.nodes + roundEvery
			x := slices.Clone(r.x)
			b.take(n, x)
			r.x = x
		}
		v := r.x[b.columns[k]]
		down, up := n.child(k, v, false), n.child(k, v, true)
		near, far := down, up
		if v-math.Floor(v) > 0.5 {
			near, far = up, down
		}
		heap.Push(&b.open, far)
		n = near
		r = b.solve(n)
	}
	heap.Push(&b.open, n)
}

// roundEvery is the number of nodes from one rounding of a relaxation to the
// next, once there is a point.
const roundEvery = 50

// copy is the same part once more, as a root.
func (n *node) copy() *node {
	return &node{lower: slices.Clone(n.lower), upper: slices.Clone(n.upper), cost: n.cost, column: -1}
}

// child is the part of n in which the k-th integer column, now v, is whole
// below or above.
func (n *node) child(k int, v float64, up bool) *node {
	c := &node{
		lower: slices.Clone(n.lower), upper: slices.Clone(n.upper),
		cost: n.cost, depth: n.depth + 1, column: k, up: up,
	}
	if up {
		c.lower[k] = math.Floor(v) + 1
		c.by = c.lower[k] - v
	} else {
		c.upper[k] = math.Floor(v)
		c.by = v - c.upper[k]
	}
	return c
}

// narrow uses the reduced costs: a column at its bound cannot move further
// than the cost may still rise.
func (b *integerSearch) narrow(n *node, r relaxed) {
	if b.x == nil || r.rate == nil {
		return
	}
	room := b.cost - r.cost
	for k, j := range b.columns {
		switch d := r.rate[j]; {
		case d > 1e-9 && r.x[j] <= n.lower[k]+whole:
			n.upper[k] = min(n.upper[k], n.lower[k]+math.Floor(room/d+whole))
		case d < -1e-9 && r.x[j] >= n.upper[k]-whole:
			n.lower[k] = max(n.lower[k], n.upper[k]-math.Floor(room/-d+whole))
		}
	}
}

// choose is the integer column to branch on; -1 when all are whole.
func (b *integerSearch) choose(n *node, x []float64) int {
	best, at := 0.0, -1
	for k, j := range b.columns {
		f := x[j] - math.Floor(x[j])
		if f < whole || f > 1-whole {
			continue
		}
		if score := b.guess.score(k, f); score > best {
			best, at = score, k
		}
	}
	return at
}

// take fixes the integer columns at the whole numbers nearest to x, solves for
// the others, and keeps the point when it is the best so far. It reports
// whether there is such a point.
func (b *integerSearch) take(n *node, x []float64) bool {
	lower, upper := b.bounds(n)
	for k, j := range b.columns {
		v := math.Round(x[j])
		v = min(max(v, n.lower[k]), n.upper[k])
		lower[j], upper[j] = v, v
	}
	r := b.relax(lower, upper)
	if w, warm := b.engine.(*warmEngine); warm && r.status == Optimal && r.cost < b.cost {
		r = w.polished() // rounding adds up along chains of rows
		b.steps += r.steps
	}
	if r.status != Optimal {
		return false
	}
	point := slices.Clone(r.x)
	for _, j := range b.columns {
		point[j] = lower[j]
	}
	if !(b.p.worstViolation(point) <= whole) {
		return false
	}
	if r.cost < b.cost {
		b.x, b.cost = point, r.cost
		b.announce()
	}
	return true
}

// announce reports a better point at once.
func (b *integerSearch) announce() {
	b.told = time.Time{}
	b.tell()
}

// hopeless tells that no point costing at least cost is worth finding.
func (b *integerSearch) hopeless(cost float64) bool {
	if math.IsInf(b.cost, 1) {
		return false
	}
	return cost >= b.cost-max(b.set.AbsoluteGap, b.set.Gap*math.Abs(b.cost))
}

// lift raises a bound to the next cost that a whole point can have.
func (b *integerSearch) lift(cost float64) float64 {
	if b.grain == 0 {
		return cost
	}
	return max(cost, math.Ceil(cost/b.grain-whole)*b.grain)
}

func (b *integerSearch) over() bool {
	return b.set.Nodes > 0 && b.nodes >= b.set.Nodes || b.end > 0 && b.nodes >= b.end || b.cut || b.effort.over()
}

// least is the cost below which no point is left.
func (b *integerSearch) least() float64 {
	least := min(b.closed, b.unsure, b.cost, b.diving)
	if len(b.open) > 0 {
		least = min(least, b.open[0].cost)
	}
	return least
}

// tell reports progress at most ten times a second.
func (b *integerSearch) tell() {
	if b.set.Progress == nil || b.nodes%16 != 0 && !b.told.IsZero() {
		return
	}
	now := time.Now()
	if now.Sub(b.told) < time.Second/10 {
		return
	}
	b.told = now
	b.set.Progress(Progress{Nodes: b.nodes, Cost: b.cost, Bound: b.least(), Elapsed: now.Sub(b.started)})
}

// grain is a number of which the cost at every whole point is a multiple, when
// only integer columns cost anything and their costs share one; else 0.
func (p *Problem) grain() float64 {
	if p.curved() {
		return 0
	}
	least := math.Inf(1)
	for j, c := range p.Cost {
		if c != 0 && !p.Integer[j] {
			return 0
		}
		if c != 0 {
			least = min(least, math.Abs(c))
		}
	}
	for _, c := range p.Cost {
		if ratio := c / least; math.Abs(ratio-math.Round(ratio)) > 1e-12*math.Abs(ratio) {
			return 0
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}
