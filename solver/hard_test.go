package solver_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

// hardPrograms invents linear programs of the kinds that classic collections
// are made of, each with an optimum.
var hardPrograms = []struct {
	name  string
	build func(r *rand.Rand, size int) *solver.Problem
}{
	{"staircase", staircase},
	{"transport", transport},
	{"pilot", pilot},
	{"dependent", dependent},
	{"covering", covering},
	{"network", network},
}

// staircase is production and stock over periods: each block is coupled to
// the next by what is carried over, and units differ by five orders.
func staircase(r *rand.Rand, size int) *solver.Problem {
	var m solver.Model
	periods := 4 + size/4
	products, machines := 6, 4
	units := make([]float64, products)
	for k := range units {
		units[k] = math.Pow(10, float64(r.IntN(6)-2))
	}
	hours := grid(machines, products)
	for i := range hours {
		for k := range hours[i] {
			if r.IntN(2) == 0 {
				hours[i][k] = (0.2 + r.Float64()) / units[k]
			}
		}
	}
	before := make([]int, products)
	for t := range periods {
		make1, stock := make([]int, products), make([]int, products)
		for k := range products {
			make1[k] = m.Column((1+r.Float64())/units[k], 0, inf)
			stock[k] = m.Column(0.1/units[k], 0, 80*units[k])
			buy := m.Column(20/units[k], 0, inf)
			terms := []solver.Term{term(make1[k], 1), term(buy, 1), term(stock[k], -1)}
			if t > 0 {
				terms = append(terms, term(before[k], 0.98))
			}
			demand := math.Round(50*r.Float64()) * units[k]
			m.Row(demand, demand, terms...)
		}
		for i := range machines {
			var terms []solver.Term
			for k, h := range hours[i] {
				if h != 0 {
					terms = append(terms, term(make1[k], h))
				}
			}
			m.Row(5, 90, append(terms, term(m.Column(3, 0, inf), -1), term(m.Column(0.01, 0, inf), 1))...)
		}
		before = stock
	}
	return m.Problem()
}

// transport has equal supplies and demands, so that nearly every vertex is
// degenerate, and one equation too many.
func transport(r *rand.Rand, size int) *solver.Problem {
	var m solver.Model
	n := 4 + size/3
	from, to := make([][]solver.Term, n), make([][]solver.Term, n)
	for a := range n {
		for b := range n {
			j := m.Column(float64(1+r.IntN(20)), 0, inf)
			from[a] = append(from[a], term(j, 1))
			to[b] = append(to[b], term(j, 1))
		}
	}
	for a := range n {
		m.Row(10, 10, from[a]...)
		m.Row(10, 10, to[a]...)
	}
	return m.Problem()
}

// pilot is badly scaled: growth over periods, entries over nine orders, free
// columns and rows, ranges, and bounds that fix columns.
func pilot(r *rand.Rand, size int) *solver.Problem {
	var m solver.Model
	n := 20 + 8*size
	x := make([]float64, n) // a point to build the rows around
	for j := range n {
		unit := math.Pow(10, 6*r.Float64()-3)
		x[j] = unit * r.Float64()
		switch r.IntN(8) {
		case 0:
			m.Column(0, -inf, inf)
		case 1:
			m.Column(0, x[j], x[j])
		case 2:
			m.Column(0, x[j], x[j]+unit)
		case 3:
			x[j] = 0
			m.Column(0, 0, inf)
		default:
			m.Column(0, 0, unit*5)
		}
	}
	cost := make([]float64, n) // in the cone of the rows and bounds: no ray
	for range n * 2 / 3 {
		var terms []solver.Term
		at := 0.0
		for range 2 + r.IntN(6) {
			j := r.IntN(n)
			v := r.NormFloat64() * math.Pow(10, 5*r.Float64()-3)
			terms = append(terms, term(j, v))
			at += v * x[j]
		}
		slack := (1 + math.Abs(at)) * r.Float64()
		dual := r.NormFloat64()
		switch r.IntN(5) {
		case 0:
			m.Row(at, at, terms...)
		case 1:
			m.Row(at, at+slack, terms...)
			dual = math.Abs(dual)
		case 2:
			m.Row(-inf, at+slack*float64(r.IntN(2)), terms...)
			dual = -math.Abs(dual)
		case 3:
			m.Row(at-slack*float64(r.IntN(2)), inf, terms...)
			dual = math.Abs(dual)
		default:
			m.Row(-inf, inf, terms...)
			dual = 0
		}
		for _, t := range terms {
			cost[t.Column] += dual * t.Coefficient
		}
	}
	p := m.Problem()
	for j := range n {
		low, high := p.Lower[j], p.Upper[j]
		reduced := r.NormFloat64() * float64(r.IntN(2))
		switch {
		case math.IsInf(low, -1):
			reduced = 0
		case math.IsInf(high, 1):
			reduced = math.Abs(reduced)
		}
		p.Cost[j] = cost[j] + reduced
	}
	return p
}

// dependent has more equations than their rank.
func dependent(r *rand.Rand, size int) *solver.Problem {
	var m solver.Model
	n := 15 + 3*size
	x := make([]float64, n)
	for j := range n {
		m.Column(r.Float64(), 0, inf)
		x[j] = float64(r.IntN(3))
	}
	var rows [][]float64
	for range n / 3 {
		a := make([]float64, n)
		for range 5 {
			a[r.IntN(n)] = float64(r.IntN(7) - 3)
		}
		rows = append(rows, a)
	}
	for range n / 6 {
		a := make([]float64, n)
		for range 3 {
			by, b := float64(1+r.IntN(3)), rows[r.IntN(n/3)]
			for j := range a {
				a[j] += by * b[j]
			}
		}
		rows = append(rows, a)
	}
	for _, a := range rows {
		var terms []solver.Term
		for j, v := range a {
			if v != 0 {
				terms = append(terms, term(j, v))
			}
		}
		b := dot(a, x)
		m.Row(b, b, terms...)
	}
	return m.Problem()
}

// covering has rows of ones and a great many ties.
func covering(r *rand.Rand, size int) *solver.Problem {
	var m solver.Model
	n, rows := 20+6*size, 10+4*size
	for range n {
		m.Column(float64(1+r.IntN(3)), 0, 1)
	}
	for range rows {
		var terms []solver.Term
		for _, j := range r.Perm(n)[:min(n, 3+r.IntN(8))] {
			terms = append(terms, term(j, 1))
		}
		m.Row(1, inf, terms...)
	}
	return m.Problem()
}

// network sends several goods over shared arcs.
func network(r *rand.Rand, size int) *solver.Problem {
	var m solver.Model
	nodes, goods := 6+size/2, 4
	arcs := 3 * nodes
	balance := make([][][]solver.Term, goods)
	for g := range goods {
		balance[g] = make([][]solver.Term, nodes)
	}
	for range arcs {
		a, b := r.IntN(nodes), r.IntN(nodes)
		cost := float64(1 + r.IntN(9))
		var shared []solver.Term
		for g := range goods {
			j := m.Column(cost, 0, inf)
			balance[g][a] = append(balance[g][a], term(j, 1))
			balance[g][b] = append(balance[g][b], term(j, -1))
			shared = append(shared, term(j, 1))
		}
		m.Row(-inf, float64(5+r.IntN(20)), shared...)
	}
	for g := range goods {
		from, to := r.IntN(nodes), r.IntN(nodes)
		for v := range nodes {
			supply := 0.0
			if v == from {
				supply += 8
			}
			if v == to {
				supply -= 8
			}
			lost := []solver.Term{term(m.Column(100, 0, inf), 1), term(m.Column(100, 0, inf), -1)}
			m.Row(supply, supply, append(balance[g][v], lost...)...)
		}
	}
	return m.Problem()
}

// TestHardPrograms solves them by Solve and by each engine alone, verifies
// every answer and compares the objective with glpsol's where installed.
func TestHardPrograms(t *testing.T) {
	for _, kind := range hardPrograms {
		t.Run(kind.name, func(t *testing.T) {
			for size := 2; size <= *hardSize; size *= 2 {
				r := rand.New(rand.NewPCG(*sweepSeed, uint64(size)))
				p := kind.build(r, size)
				began := time.Now()
				s := solve(t, p)
				took := time.Since(began)
				require.Equal(t, solver.Optimal, s.Status)
				verifyOptimal(t, p, s, 1e-7)
				began = time.Now()
				exact := solver.Simplex(t.Context(), p)
				tookSimplex := time.Since(began)
				began = time.Now()
				inner := solver.Interior(t.Context(), p)
				t.Logf("%d x %d, %d entries: %v, %d steps; simplex %v %d pivots %v; interior %v %d steps %v", p.Rows.RowCount, len(p.Cost), p.Rows.Entries(),
					took, s.Iterations, tookSimplex, exact.Iterations, exact.Status, time.Since(began), inner.Iterations, inner.Status)
				assert.Equal(t, solver.Optimal, exact.Status)
				assert.InEpsilon(t, 1+abs(exact.Objective), 1+abs(s.Objective), 1e-8)
				var b bytes.Buffer
				require.NoError(t, writeMPS(&b, p, nil))
				file := filepath.Join(t.TempDir(), "p.mps")
				require.NoError(t, os.WriteFile(file, b.Bytes(), 0o600))
				status, objective := glpkOptimum(t, file)
				if assert.Equal(t, "OPTIMAL", status) {
					assert.InDelta(t, objective, s.Objective, 1e-8*(1+abs(objective)), fmt.Sprint(kind.name, size))
				}
			}
		})
	}
}
