package solver

import (
	"math"
	"slices"
)

// Limits of the rounds in which cuts are added to a relaxation.
const (
	cutRounds   = 20
	cutPatience = 3    // rounds that may gain next to nothing
	cutGain     = 0.02 // share of what all rounds gained that is next to nothing
	cutPivots   = 3    // pivots for each row that all rounds may take
)

// strengthen adds rows to the relaxation of the root, whose answer is r: first
// those that the caller knows of, then cuts. They hold in all the search. In
// between it dives for points, since among cuts whole points are harder to
// come by. It returns the answer then, and whether the dive was all of the
// search.
func (b *integerSearch) strengthen(root *node, r relaxed) (relaxed, bool) {
	w, ok := b.engine.(*warmEngine)
	if !ok || r.status != Optimal {
		return r, false
	}
	r = b.addCuts(root, r, b.asked)
	if r.status != Optimal || !b.large() || b.over() {
		return r, false
	}
	if b.aside(root.copy(), plungeNodes) {
		return r, true
	}
	if b.over() { // what is left of r belongs to another node
		return r, false
	}
	if r = b.solve(root); r.status != Optimal {
		return r, false
	}
	lower, upper := b.bounds(root)
	return b.addCuts(root, r, func(x []float64) []*cut {
		if found := b.asked(x); len(found) > 0 {
			return found
		}
		return w.cuts(lower, upper, x)
	}), false
}

// addCuts adds what find gives until it gains no more.
func (b *integerSearch) addCuts(root *node, r relaxed, find func(x []float64) []*cut) relaxed {
	w := b.engine.(*warmEngine)
	began, idle, pivots := r.cost, 0, 0
	for round := 0; round < cutRounds && idle < cutPatience && pivots < cutPivots*b.p.Rows.RowCount; round++ {
		if b.choose(root, r.x) < 0 || b.over() {
			return r
		}
		found := find(r.x)
		if len(found) == 0 {
			return r
		}
		before := *w
		w.extend(b.p, found)
		next := b.solve(root)
		if next.status == Stalled { // better a weak root than none
			*w = before
			return r
		}
		if next.status != Optimal {
			return next
		}
		pivots += next.steps
		if idle++; next.cost-r.cost > cutGain*(next.cost-began) {
			idle = 0
		}
		r = next
	}
	return r
}

// asked are the cuts that the caller knows of.
func (b *integerSearch) asked(x []float64) []*cut {
	if b.set.Tighten == nil {
		return nil
	}
	var found []*cut
	for _, row := range b.set.Tighten(x) {
		k := &cut{most: row.Most}
		for _, t := range row.Terms {
			k.index, k.value = append(k.index, t.Column), append(k.value, t.Coefficient)
		}
		k.measure(x)
		found = append(found, k)
	}
	return found
}

// cuts looks for cuts in the tableau rows of the integer columns that are not
// whole at x, the point that was found last.
func (w *warmEngine) cuts(lower, upper, x []float64) []*cut {
	s := w.s
	p := w.p
	p.Lower, p.Upper = lower, upper
	c := newCutter(&p)
	point := append(slices.Clone(x), p.Activity(x)...)
	var found []*cut
	u := make([]float64, s.m)
	for i, v := range s.basic {
		if v >= s.n || !p.Integer[v] || math.Abs(x[v]-math.Round(x[v])) < cutLeast {
			continue
		}
		clear(s.rho)
		s.rho[i] = 1
		s.lu.backward(s.rho)
		for k, a := range s.rho {
			u[k] = 0
			if math.Abs(a) >= dropped {
				u[k] = a * w.factors.row[k] * w.factors.column[v]
			}
		}
		c.add(u)
		if k := c.best(point); k != nil {
			found = append(found, k)
		}
	}
	return deepest(found, s.n)
}

// extend gives the engine p with its cuts and more of them as further rows. Of
// those that it has the ones go that do not hold with equality.
func (w *warmEngine) extend(p *Problem, more []*cut) {
	n, m := len(p.Cost), p.Rows.RowCount
	var kept []*cut
	for k, c := range w.added {
		if w.s.where[n+m+k] < 0 {
			kept = append(kept, c)
		}
	}
	added := append(kept, more...)
	q := *p
	q.RowLower, q.RowUpper = slices.Clone(p.RowLower), slices.Clone(p.RowUpper)
	var entries []Entry
	for j := range n {
		index, value := p.Rows.Column(j)
		for k, i := range index {
			entries = append(entries, Entry{i, j, value[k]})
		}
	}
	for k, c := range added {
		for e, j := range c.index {
			entries = append(entries, Entry{m + k, j, c.value[e] / c.size})
		}
		q.RowLower, q.RowUpper = append(q.RowLower, math.Inf(-1)), append(q.RowUpper, c.most/c.size)
	}
	q.Rows = NewMatrix(m+len(added), n, entries)
	*w = *w.successor(&q, n+m)
	w.added = added
}

// successor is an engine for p that begins with w's basis, as far as the first
// so many variables go; the logicals of the last rows fill it up.
func (w *warmEngine) successor(p *Problem, shared int) *warmEngine {
	old := w.s
	next := newWarmEngine(p, old.effort)
	next.added = w.added
	s := next.s
	s.pivots = old.pivots
	for v := range s.where {
		s.where[v] = -1
	}
	place := 0
	enter := func(v int) {
		s.basic[place], s.where[v], s.norm[v] = v, place, 1
		place++
	}
	for v := range shared {
		if old.where[v] >= 0 {
			enter(v)
		}
	}
	for v := s.n + s.m - 1; place < s.m; v-- {
		if s.where[v] < 0 {
			enter(v)
		}
	}
	for v := range s.where {
		if s.where[v] >= 0 {
			continue
		}
		s.x[v] = s.lower[v]
		if v < shared && old.x[v] == old.upper[v] || math.IsInf(s.x[v], -1) {
			s.x[v] = s.upper[v]
		}
		if math.IsInf(s.x[v], 1) {
			s.x[v] = 0
		}
	}
	s.factored, s.derived = false, false
	return next
}
