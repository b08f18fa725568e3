package solver

import (
	"math"
	"slices"
)

// scout looks for better points near the best one, in a goroutine beside the
// search. It sets out from what the search knows at one number of nodes and
// comes back at a later one, so that the answer does not depend on which of
// them is the faster. What it proves of so small a part of the space counts
// for nothing. A search that is given a number of nodes or steps goes alone,
// since the two could not share it out.
type scout struct {
	search *integerSearch // its own, with an engine of its own
	back   chan struct{}  // closed when it is done; nil while it rests
	due    int            // the number of nodes at which it comes back
	looks  int            // so far
	free   float64        // share of the integer columns that a window leaves free
	window int            // where the next window begins
}

const (
	scoutNodes  = 100  // that it takes before it comes back, and the search meanwhile
	freeFirst   = 0.25 // see scout.free
	freeLeast   = 0.1  // and its bounds
	freeMost    = 0.8
	freeWiden   = 1.3    // by which it grows when a look has seen all there is, in vain
	freeNarrow  = 0.8    // and shrinks when one had to be cut short
	lookInTurn  = 3      // of so many looks one is not a window
	agreedLeast = 1. / 3 // share of the integer columns that one must hold to be worth it
)

// scouting takes in what the scout found, when it is due, and sends it out
// again; x is the relaxation of n.
func (b *integerSearch) scouting(n *node, x []float64) {
	if b.scout == nil || b.nodes < b.scout.due || b.x == nil {
		return
	}
	b.recall()
	e, ok := b.left()
	if !ok {
		return
	}
	b.scout.setOut(b, e, n.copy(), slices.Clone(x))
	b.scout.due = b.nodes + scoutNodes
}

// setOut sends the scout out with all that it needs to know.
func (c *scout) setOut(b *integerSearch, e effort, n *node, x []float64) {
	if c.search == nil {
		own := *b
		own.scout, own.open, own.set.Progress, own.guess, own.root = nil, nil, nil, newPseudoCosts(len(b.columns)), b.root.copy()
		w := b.engine.(*warmEngine)
		own.engine = w.successor(&w.p, w.s.n+w.s.m)
		c.search = &own
	}
	s := c.search
	s.effort, s.nodes, s.steps, s.cut, s.x, s.cost = e, 0, 0, false, b.x, b.cost
	s.set.Nodes = scoutNodes
	c.back = make(chan struct{})
	go func() {
		defer close(c.back)
		for !s.over() {
			c.look(n, x)
		}
	}()
}

// look searches one part: in turn the points that share with the best one the
// integer columns in which it agrees with x, the relaxation of n, and those
// that differ from it in a window.
func (c *scout) look(n *node, x []float64) {
	s := c.search
	part := s.root.copy()
	c.looks++
	if c.looks%lookInTurn == 1 {
		part = n.copy()
		s.holdAgreed(part, x)
		if float64(part.held()) < agreedLeast*float64(len(s.columns)) {
			return
		}
	} else {
		c.holdOutside(part)
	}
	before := s.cost
	all := s.aside(part, scoutNodes)
	switch {
	case s.cost < before:
	case all:
		c.free = min(freeMost, c.free*freeWiden)
	default:
		c.free = max(freeLeast, c.free*freeNarrow)
	}
}

// recall waits for the scout, if it is out, and takes in what it found.
func (b *integerSearch) recall() {
	c := b.scout
	if c == nil || c.back == nil {
		return
	}
	<-c.back
	c.back = nil
	b.nodes += c.search.nodes
	b.steps += c.search.steps
	if c.search.cost < b.cost {
		b.x, b.cost = c.search.x, c.search.cost
		b.announce()
	}
}

// held is the number of integer columns that have one value left.
func (n *node) held() int {
	held := 0
	for k := range n.lower {
		if n.lower[k] == n.upper[k] {
			held++
		}
	}
	return held
}

// holdAgreed holds the integer columns in which the best point agrees with x
// (Danna, Rothberg and Le Pape 2005, "Exploring relaxation induced
// neighborhoods to improve MIP solutions", Math. Program. 102:71-90, from
// memory).
func (b *integerSearch) holdAgreed(part *node, x []float64) {
	for k, j := range b.columns {
		if v := b.x[j]; math.Abs(v-x[j]) < whole && v >= part.lower[k] && v <= part.upper[k] {
			part.lower[k], part.upper[k] = v, v
		}
	}
}

// holdOutside holds the integer columns outside the next window: a number of
// columns that stand side by side, which in most models have to do with each
// other. The one after overlaps it by half.
func (c *scout) holdOutside(part *node) {
	s := c.search
	count := len(s.columns)
	width := int(c.free * float64(count))
	for k, j := range s.columns {
		if (k-c.window+count)%count >= width {
			part.lower[k], part.upper[k] = s.x[j], s.x[j]
		}
	}
	c.window = (c.window + width/2) % count
}
