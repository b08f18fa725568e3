package solver

import "slices"

// minimumDegree returns an elimination order of a symmetric matrix (upper
// triangle given) that keeps the factor sparse: at each step the variable with
// the fewest neighbours in what is left goes next. The graph is kept as a
// quotient graph, in which an eliminated variable stands for the clique of its
// neighbours, so that the work and memory stay near the size of the matrix;
// degrees are the upper bounds of Amestoy, Davis and Duff (1996), "An
// approximate minimum degree ordering algorithm", SIAM J. Matrix Anal. Appl.
// 17:886-905 (from memory).
func minimumDegree(upper *Matrix) []int {
	n := upper.ColumnCount
	g := quotientGraph{
		variables: make([][]int, n),
		elements:  make([][]int, n),
		members:   make([][]int, n),
		degree:    make([]int, n),
		mark:      make([]int, n),
		outside:   make([]int, n),
		met:       make([]int, n),
		next:      make([]int, n),
		before:    make([]int, n),
		head:      slices.Repeat([]int{-1}, n+1),
		done:      make([]bool, n),
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
	room := make([]int, 2*upper.Entries())
	for v, d := range g.degree {
		g.variables[v], room = room[:0:d], room[d:]
	}
	for j := range n {
		index, _ := upper.Column(j)
		for _, i := range index {
			if i != j {
				g.variables[i] = append(g.variables[i], j)
				g.variables[j] = append(g.variables[j], i)
			}
		}
	}
	for v := n - 1; v >= 0; v-- {
		g.degree[v] = len(g.variables[v])
		g.link(v)
	}
	order := make([]int, 0, n)
	for len(order) < n {
		v := g.least()
		order = append(order, v)
		g.eliminate(v, n-len(order))
	}
	return order
}

// quotientGraph is the state of minimumDegree. Lists of variables by degree
// are doubly linked through next and before.
type quotientGraph struct {
	variables [][]int // of a variable: neighbours not yet covered by an element
	elements  [][]int // of a variable: the cliques that it is in
	members   [][]int // of an element: its variables; nil when absorbed
	degree    []int
	mark      []int // stamps of the current step
	stamp     int
	outside   []int // of an element: members outside the current clique
	met       []int // of an element: the stamp of the step that counted them
	seen      []int // the elements that it met
	next      []int
	before    []int
	head      []int
	low       int
	done      []bool
}

func (g *quotientGraph) link(v int) {
	d := g.degree[v]
	g.next[v], g.before[v] = g.head[d], -1
	if h := g.head[d]; h >= 0 {
		g.before[h] = v
	}
	g.head[d] = v
	g.low = min(g.low, d)
}

func (g *quotientGraph) unlink(v int) {
	if b := g.before[v]; b >= 0 {
		g.next[b] = g.next[v]
	} else {
		g.head[g.degree[v]] = g.next[v]
	}
	if a := g.next[v]; a >= 0 {
		g.before[a] = g.before[v]
	}
}

func (g *quotientGraph) least() int {
	for g.head[g.low] < 0 {
		g.low++
	}
	v := g.head[g.low]
	g.unlink(v)
	return v
}

// eliminate turns v into an element; left is the number of variables after it.
func (g *quotientGraph) eliminate(v, left int) {
	g.done[v] = true
	g.stamp++
	stamp := g.stamp
	g.mark[v] = stamp
	size := len(g.variables[v])
	for _, e := range g.elements[v] {
		size += len(g.members[e])
	}
	clique := make([]int, 0, size)
	gather := func(list []int) {
		for _, u := range list {
			if !g.done[u] && g.mark[u] != stamp {
				g.mark[u] = stamp
				clique = append(clique, u)
			}
		}
	}
	gather(g.variables[v])
	for _, e := range g.elements[v] {
		gather(g.members[e])
		g.members[e] = nil // absorbed into v
	}
	g.members[v] = clique
	g.variables[v], g.elements[v] = nil, nil

	// outside[e] = |members of e that are not in the new clique|
	g.seen = g.seen[:0]
	for _, u := range clique {
		for _, e := range g.elements[u] {
			if g.members[e] == nil {
				continue
			}
			if g.met[e] != stamp {
				g.met[e] = stamp
				g.seen = append(g.seen, e)
				live := g.members[e][:0]
				for _, w := range g.members[e] {
					if !g.done[w] {
						live = append(live, w)
					}
				}
				g.members[e] = live
				g.outside[e] = len(live)
			}
			g.outside[e]--
		}
	}
	for _, u := range clique {
		g.unlink(u)
		kept := g.elements[u][:0]
		reach := len(clique) - 1
		for _, e := range g.elements[u] {
			if g.members[e] == nil {
				continue
			}
			if g.outside[e] == 0 { // covered by the new clique
				continue
			}
			kept = append(kept, e)
			reach += g.outside[e]
		}
		g.elements[u] = append(kept, v)
		apart := g.variables[u][:0]
		for _, w := range g.variables[u] {
			if !g.done[w] && g.mark[w] != stamp {
				apart = append(apart, w)
			}
		}
		g.variables[u] = apart
		g.degree[u] = min(left-1, g.degree[u]+len(clique)-1, reach+len(apart))
		g.link(u)
	}
	for _, e := range g.seen {
		if g.members[e] != nil && g.outside[e] == 0 {
			g.members[e] = nil
		}
	}
}
