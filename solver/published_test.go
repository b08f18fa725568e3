package solver_test

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

var inf = solver.Inf()

// row is a row of a problem written out in full.
type row struct {
	lower float64
	a     []float64
	upper float64
}

// full builds a problem over x >= 0 from dense rows.
func full(cost []float64, rows ...row) *solver.Problem {
	var m solver.Model
	for _, c := range cost {
		m.Column(c, 0, inf)
	}
	for _, r := range rows {
		var terms []solver.Term
		for j, v := range r.a {
			terms = append(terms, solver.Term{Column: j, Coefficient: v})
		}
		m.Row(r.lower, r.upper, terms...)
	}
	return m.Problem()
}

func equals(b float64, a ...float64) row { return row{b, a, b} }
func atMost(b float64, a ...float64) row { return row{-inf, a, b} }

// TestCycling solves the classic examples on which a simplex method without a
// rule against it goes round for ever.
func TestCycling(t *testing.T) {
	for _, c := range []struct {
		name    string
		source  string
		problem *solver.Problem
		optimum float64
	}{
		{"Beale", "E. M. L. Beale, Naval Res. Logist. Q. 2 (1955) 269-275; data from memory",
			full([]float64{-0.75, 150, -0.02, 6},
				atMost(0, 0.25, -60, -0.04, 9), atMost(0, 0.5, -90, -0.02, 3), atMost(1, 0, 0, 1, 0)),
			-0.05},
		{"Hoffman", "A. J. Hoffman, Nat. Bur. Stand. Rep. 2974 (1953), rounded to four places; data from memory",
			full([]float64{0, 0, 0, -2.2361, 2, 0, 4, 3.6180, 3.236, 3.6180, 0.764},
				equals(1, 1),
				equals(0, 0, 1, 0, 0.3090, -0.6180, -0.8090, -0.3820, 0.8090, 0.3820, 0.3090, 0.6180),
				equals(0, 0, 0, 1, 1.4635, 0.3090, 1.4635, -0.8090, -0.9045, -0.8090, 0.4635, 0.3090)),
			0},
		{"Kuhn", "H. W. Kuhn, in Balinski and Tucker, SIAM Rev. 11 (1969) 347-377; data from memory",
			full([]float64{0, 0, 0, -2, -3, 1, 12},
				equals(0, 1, 0, 0, -2, -9, 1, 9), equals(0, 0, 1, 0, 1./3, 1, -1./3, -2), equals(2, 0, 0, 1, 2, 3, -1, -12)),
			-2},
		{"Marshall and Suurballe", "K. T. Marshall and J. W. Suurballe, Naval Res. Logist. Q. 16 (1969) 121-137; data from memory",
			full([]float64{0, 0, 0, 0, -0.4, -0.4, 1.8, 0},
				equals(0, 1, 0, 0, 0, 0.6, -6.4, 4.8), equals(0, 0, 1, 0, 0, 0.2, -1.8, 0.6),
				equals(0, 0, 0, 1, 0, 0.4, -1.6, 0.2), equals(1, 0, 0, 0, 1, 0, 1)),
			-2},
		{"Chvatal", "V. Chvatal, Linear Programming (1983) chapter 3; data from memory",
			full([]float64{-10, 57, 9, 24},
				atMost(0, 0.5, -5.5, -2.5, 9), atMost(0, 0.5, -1.5, -0.5, 1), atMost(1, 1)),
			-1},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := solve(t, c.problem)
			verifyOptimal(t, c.problem, s, 1e-8)
			assert.InDelta(t, c.optimum, s.Objective, 1e-8)
			assertSameAsGLPK(t, c.problem, s)
		})
	}
}

// TestKleeMinty walks the squeezed cube of V. Klee and G. J. Minty, "How good
// is the simplex algorithm?", in Inequalities III (1972), in the form with
// powers of ten and of a hundred (from memory): the optimum is 100^(n-1).
func TestKleeMinty(t *testing.T) {
	for n := 2; n <= 8; n++ {
		cost := make([]float64, n)
		rows := make([]row, n)
		for j := range n {
			cost[j] = -math.Pow10(n - 1 - j)
			a := make([]float64, n)
			for i := range j {
				a[i] = 2 * math.Pow10(j-i)
			}
			a[j] = 1
			rows[j] = atMost(math.Pow10(2*j), a...)
		}
		p := full(cost, rows...)
		s := solve(t, p)
		verifyOptimal(t, p, s, 1e-8)
		assert.InEpsilon(t, -math.Pow10(2*(n-1)), s.Objective, 1e-8)
	}
}

// stigler reads the table of foods of Stigler (1945).
func stigler(t *testing.T) *solver.Problem {
	file, err := os.Open("testdata/stigler-1945.tsv")
	require.NoError(t, err)
	defer file.Close()
	var need []float64
	var foods [][]float64
	for lines := bufio.NewScanner(file); lines.Scan(); {
		name, rest, _ := strings.Cut(lines.Text(), "\t")
		if strings.HasPrefix(name, "#") {
			continue
		}
		var values []float64
		for word := range strings.SplitSeq(rest, "\t") {
			v, err := strconv.ParseFloat(word, 64)
			require.NoError(t, err)
			values = append(values, v)
		}
		require.Len(t, values, 9)
		if name == "need" {
			need = values
		} else {
			foods = append(foods, values)
		}
	}
	require.Len(t, foods, 77)
	var m solver.Model
	for range foods {
		m.Column(1, 0, inf) // a dollar of it a day
	}
	for k, least := range need {
		var terms []solver.Term
		for j, f := range foods {
			terms = append(terms, solver.Term{Column: j, Coefficient: f[k]})
		}
		m.Row(least, inf, terms...)
	}
	return m.Problem()
}

// TestStigler finds the cheapest diet, whose cost J. Laderman first worked out
// in 1947 as $39.69 a year and exact arithmetic puts at $39.66 (G. B. Dantzig,
// Interfaces 20 (1990) 43-47, from memory); in it five foods, from Stigler's
// own list: flour, liver, cabbage, spinach, navy beans.
func TestStigler(t *testing.T) {
	p := stigler(t)
	s := solve(t, p)
	verifyOptimal(t, p, s, 1e-8)
	assert.InDelta(t, 39.66, 365*s.Objective, 0.005)
	var bought []int
	for j, v := range s.X {
		if v > 1e-6 {
			bought = append(bought, j)
		}
	}
	assert.Equal(t, []int{0, 29, 45, 51, 68}, bought)
	assertSameAsGLPK(t, p, s)
}

// TestBadlyScaled turns Stigler's rows and columns to units up to 12 orders
// of magnitude apart. The cost in dollars must not notice.
func TestBadlyScaled(t *testing.T) {
	plain := stigler(t)
	want := solve(t, plain).Objective
	var m solver.Model
	unit := func(k int) float64 { return math.Pow10(k%13 - 6) }
	for j := range plain.Cost {
		m.Column(plain.Cost[j]*unit(5*j), 0, inf)
	}
	terms := make([][]solver.Term, plain.Rows.RowCount)
	for j := range plain.Cost {
		index, value := plain.Rows.Column(j)
		for k, i := range index {
			terms[i] = append(terms[i], solver.Term{Column: j, Coefficient: value[k] * unit(5*j) * unit(3*i)})
		}
	}
	for i := range terms {
		m.Row(plain.RowLower[i]*unit(3*i), inf, terms[i]...)
	}
	s := solve(t, m.Problem())
	require.Equal(t, solver.Optimal, s.Status)
	assert.InEpsilon(t, want, s.Objective, 1e-8)
}
