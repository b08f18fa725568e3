package solver

import (
	"math"
	"slices"
)

// minimumFill returns an elimination order of a symmetric matrix (upper
// triangle given) that keeps the factor sparse: at each step the variable that
// promises to add least to it goes next. The graph is kept as a quotient graph,
// in which an eliminated variable stands for the clique of its neighbours, so
// that the work and memory stay near the size of the matrix, and variables with
// the same neighbours go together as one. Degrees are the upper bounds of
// Amestoy, Davis and Duff (1996), "An approximate minimum degree ordering
// algorithm", SIAM J. Matrix Anal. Appl. 17:886-905; that fill serves better
// than degree is after Rothberg and Eisenstat (1998), "Node selection
// strategies for bottom-up sparse matrix ordering", SIAM J. Matrix Anal. Appl.
// 19:682-695 (both from memory).
func minimumFill(upper *Matrix) []int32 {
	g, crowded := newQuotientGraph(upper)
	n := upper.ColumnCount
	order := make([]int32, 0, n)
	for rest := n - len(crowded); len(order) < rest; {
		v := g.least()
		g.eliminate(v, rest-len(order))
		for u := v; u >= 0; u = g.follow[u] {
			order = append(order, u)
		}
	}
	return append(order, crowded...)
}

// quotientGraph is the state of minimumFill. Lists of variables by score are
// doubly linked through next and before.
type quotientGraph struct {
	variables [][]int32 // of a variable: neighbours not covered by an element
	elements  [][]int32 // of a variable: the cliques that it is in
	members   [][]int32 // of an element: its variables; nil when absorbed
	weight    []int     // of a variable: how many go with it; 0 once it is eliminated or goes with another
	follow    []int32   // the next of those that go together; -1 at the end
	tail      []int32   // the last of those that go with a variable
	degree    []int     // of a variable: bound on its neighbours' weight; of an element: its members' weight
	mark      []int     // stamps of variables and elements
	stamp     int
	outside   []int // of an element: weight of its members outside the current clique
	met       []int // of an element: the stamp of the step that counted them
	hash      []int32
	bucket    []int32 // by hash: the first of the variables with it
	chain     []int32 // the next with the same hash
	score     []int
	next      []int32
	before    []int32
	head      []int32
	low       int
}

// newQuotientGraph also returns the variables with neighbours so many that they
// would go last anyhow; they are left out, since every step would look at them.
func newQuotientGraph(upper *Matrix) (g *quotientGraph, crowded []int32) {
	n := upper.ColumnCount
	g = &quotientGraph{
		variables: make([][]int32, n),
		elements:  make([][]int32, n),
		members:   make([][]int32, n),
		weight:    slices.Repeat([]int{1}, n),
		follow:    slices.Repeat([]int32{-1}, n),
		tail:      make([]int32, n),
		degree:    make([]int, n),
		mark:      make([]int, n),
		outside:   make([]int, n),
		met:       make([]int, n),
		hash:      make([]int32, n),
		bucket:    slices.Repeat([]int32{-1}, n),
		chain:     make([]int32, n),
		score:     make([]int, n),
		next:      make([]int32, n),
		before:    make([]int32, n),
		head:      slices.Repeat([]int32{-1}, fillScore(n, 0, 1)+1),
	}
	for j := range n {
		index, _ := upper.Column(j)
		for _, i := range index {
			if i != j {
				g.degree[i]++
				g.degree[j]++
			}
		}
	}
	// neither list of a variable is ever longer than the first one of its neighbours
	room := make([]int32, 4*upper.Entries())
	for v, d := range g.degree {
		g.variables[v], g.elements[v], room = room[:0:d], room[d:d:2*d], room[2*d:]
		g.tail[v] = int32(v)
	}
	for j := range n {
		index, _ := upper.Column(j)
		for _, i := range index {
			if i != j {
				g.variables[i] = append(g.variables[i], int32(j))
				g.variables[j] = append(g.variables[j], int32(i))
			}
		}
	}
	crowd := max(16, int(10*math.Sqrt(float64(n))))
	for v := int32(n - 1); v >= 0; v-- {
		if g.degree[v] > crowd {
			crowded = append(crowded, v)
			g.weight[v] = 0
			continue
		}
		g.link(v, 0)
	}
	return g, crowded
}

// fillScore says what eliminating variables of one weight would add to the
// factor, for each of them: pairs of neighbours that are not both in the clique
// beside them, and its own entries. It is logarithmic, in steps of a 32nd of
// the power of two: the lists by score are few, and what is near is alike.
func fillScore(degree, clique, weight int) int {
	d, c := float64(degree), float64(clique)
	fill := max(0, d*(d-1)-c*(c-1))
	return int(32 * math.Log2(1+d+fill/float64(weight)))
}

// link files v by its score; clique is the weight of the others in its newest
// element.
func (g *quotientGraph) link(v int32, clique int) {
	s := fillScore(g.degree[v], clique, g.weight[v])
	g.score[v] = s
	g.next[v], g.before[v] = g.head[s], -1
	if h := g.head[s]; h >= 0 {
		g.before[h] = v
	}
	g.head[s] = v
	g.low = min(g.low, s)
}

func (g *quotientGraph) unlink(v int32) {
	if b := g.before[v]; b >= 0 {
		g.next[b] = g.next[v]
	} else {
		g.head[g.score[v]] = g.next[v]
	}
	if a := g.next[v]; a >= 0 {
		g.before[a] = g.before[v]
	}
}

func (g *quotientGraph) least() int32 {
	for g.head[g.low] < 0 {
		g.low++
	}
	v := g.head[g.low]
	g.unlink(v)
	return v
}

// gather makes the clique of v: its live neighbours. Its elements are absorbed.
func (g *quotientGraph) gather(v int32) (clique []int32, weight int) {
	size := len(g.variables[v])
	for _, e := range g.elements[v] {
		size += len(g.members[e])
	}
	clique = make([]int32, 0, size)
	take := func(list []int32) {
		for _, u := range list {
			if g.weight[u] > 0 && g.mark[u] != g.stamp {
				g.mark[u] = g.stamp
				clique = append(clique, u)
				weight += g.weight[u]
			}
		}
	}
	take(g.variables[v])
	for _, e := range g.elements[v] {
		take(g.members[e])
		g.members[e] = nil
	}
	return clique, weight
}

// eliminate turns v into an element; left is the weight of what is left with it.
func (g *quotientGraph) eliminate(v int32, left int) {
	g.stamp++
	stamp := g.stamp
	g.mark[v] = stamp
	left -= g.weight[v]
	g.weight[v] = 0
	clique, weight := g.gather(v)
	g.members[v] = clique
	g.variables[v], g.elements[v] = nil, nil

	for _, u := range clique {
		g.unlink(u)
		for _, e := range g.elements[u] {
			if g.members[e] == nil {
				continue
			}
			if g.met[e] != stamp {
				g.met[e] = stamp
				g.outside[e] = g.degree[e]
			}
			g.outside[e] -= g.weight[u]
		}
	}
	for _, u := range clique {
		g.trim(u, v)
	}
	for _, u := range clique {
		g.merge(u)
	}
	kept, all := clique[:0], 0
	for _, u := range clique {
		if g.weight[u] > 0 {
			kept = append(kept, u)
			all += g.weight[u]
		}
	}
	left -= weight - all // those that went with v
	for _, u := range kept {
		others := all - g.weight[u]
		g.degree[u] = min(left-g.weight[u], g.degree[u]+others)
		g.link(u, others)
	}
	g.members[v], g.degree[v] = kept, all
}

// trim brings the lists of u, in the clique of the new element v, up to date,
// with the part of its degree that lies outside the clique. A variable with
// nothing outside goes with v.
func (g *quotientGraph) trim(u, v int32) {
	reach := 0
	sum := uint32(v)
	kept := g.elements[u][:0]
	for _, e := range g.elements[u] {
		if g.members[e] == nil || g.outside[e] == 0 { // the new clique covers it
			continue
		}
		kept = append(kept, e)
		reach += g.outside[e]
		sum += uint32(e)
	}
	g.elements[u] = append(kept, v)
	apart := g.variables[u][:0]
	for _, w := range g.variables[u] {
		if g.weight[w] > 0 && g.mark[w] != g.stamp {
			apart = append(apart, w)
			reach += g.weight[w]
			sum += uint32(w)
		}
	}
	g.variables[u] = apart
	if reach == 0 {
		g.stand(v, u)
		return
	}
	g.degree[u] = min(g.degree[u], reach)
	h := int32(sum % uint32(len(g.bucket)))
	g.hash[u] = h
	g.chain[u] = g.bucket[h]
	g.bucket[h] = u
}

// stand lets v stand for u and those that u stands for.
func (g *quotientGraph) stand(v, u int32) {
	if g.weight[v] > 0 {
		g.weight[v] += g.weight[u]
	}
	g.weight[u] = 0
	g.follow[g.tail[v]] = u
	g.tail[v] = g.tail[u]
	g.variables[u], g.elements[u] = nil, nil
}

// merge lets those with the hash of u that have the same neighbours go together.
func (g *quotientGraph) merge(u int32) {
	if g.weight[u] == 0 {
		return
	}
	h := g.hash[u]
	a := g.bucket[h]
	g.bucket[h] = -1
	for ; a >= 0; a = g.chain[a] {
		if g.chain[a] < 0 {
			return
		}
		g.stamp++
		for _, e := range g.elements[a] {
			g.mark[e] = g.stamp
		}
		for _, w := range g.variables[a] {
			g.mark[w] = g.stamp
		}
		last := a
		for b := g.chain[a]; b >= 0; b = g.chain[b] {
			if g.same(a, b) {
				g.degree[a] = min(g.degree[a], g.degree[b])
				g.stand(a, b)
				g.chain[last] = g.chain[b]
			} else {
				last = b
			}
		}
	}
}

// same tells that b has the neighbours of a, which are marked.
func (g *quotientGraph) same(a, b int32) bool {
	if len(g.elements[a]) != len(g.elements[b]) || len(g.variables[a]) != len(g.variables[b]) {
		return false
	}
	for _, e := range g.elements[b] {
		if g.mark[e] != g.stamp {
			return false
		}
	}
	for _, w := range g.variables[b] {
		if g.mark[w] != g.stamp {
			return false
		}
	}
	return true
}
