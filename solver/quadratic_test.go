package solver_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"heapwright/solver"
)

func term(column int, coefficient float64) solver.Term {
	return solver.Term{Column: column, Coefficient: coefficient}
}

// TestHockSchittkowski solves the convex quadratic problems of W. Hock and K.
// Schittkowski, Test Examples for Nonlinear Programming Codes, Lecture Notes in
// Economics and Mathematical Systems 187 (1981), by their numbers there; data
// and optima from memory. constant is what the published cost has beside the
// quadratic and linear part.
func TestHockSchittkowski(t *testing.T) {
	type square struct {
		weight, centre float64 // weight/2 (terms - centre)^2
		terms          []solver.Term
	}
	squares := func(m *solver.Model, list ...square) (constant float64) {
		linear := map[int]float64{}
		for _, s := range list {
			m.Square(s.weight, s.terms...)
			for _, u := range s.terms {
				linear[u.Column] -= s.weight * s.centre * u.Coefficient
			}
			constant += s.weight / 2 * s.centre * s.centre
		}
		for j, c := range linear {
			m.SetCost(j, c)
		}
		return constant
	}
	for _, c := range []struct {
		name    string
		build   func(*solver.Model) (constant float64)
		optimum float64
		at      []float64
	}{
		{"21", func(m *solver.Model) float64 {
			m.Column(0, 2, 50)
			m.Column(0, -50, 50)
			m.Row(10, inf, term(0, 10), term(1, -1))
			return squares(m, square{0.02, 0, []solver.Term{term(0, 1)}}, square{2, 0, []solver.Term{term(1, 1)}}) - 100
		}, -99.96, []float64{2, 0}},
		{"28", func(m *solver.Model) float64 {
			for range 3 {
				m.Column(0, -inf, inf)
			}
			m.Row(1, 1, term(0, 1), term(1, 2), term(2, 3))
			return squares(m, square{2, 0, []solver.Term{term(0, 1), term(1, 1)}}, square{2, 0, []solver.Term{term(1, 1), term(2, 1)}})
		}, 0, []float64{0.5, -0.5, 0.5}},
		{"35", func(m *solver.Model) float64 {
			m.Column(-8, 0, inf)
			m.Column(-6, 0, inf)
			m.Column(-4, 0, inf)
			m.Row(-inf, 3, term(0, 1), term(1, 1), term(2, 2))
			// 2a2 + 2b2 + c2 + 2ab + 2ac = (a+b)2 + (a+c)2 + b2
			m.Square(2, term(0, 1), term(1, 1))
			m.Square(2, term(0, 1), term(2, 1))
			m.Square(2, term(1, 1))
			return 9
		}, 1. / 9, []float64{4. / 3, 7. / 9, 4. / 9}},
		{"48", func(m *solver.Model) float64 {
			for range 5 {
				m.Column(0, -inf, inf)
			}
			m.Row(5, 5, term(0, 1), term(1, 1), term(2, 1), term(3, 1), term(4, 1))
			m.Row(-3, -3, term(2, 1), term(3, -2), term(4, -2))
			return squares(m, square{2, 1, []solver.Term{term(0, 1)}},
				square{2, 0, []solver.Term{term(1, 1), term(2, -1)}}, square{2, 0, []solver.Term{term(3, 1), term(4, -1)}})
		}, 0, []float64{1, 1, 1, 1, 1}},
		{"51", func(m *solver.Model) float64 {
			for range 5 {
				m.Column(0, -inf, inf)
			}
			m.Row(4, 4, term(0, 1), term(1, 3))
			m.Row(0, 0, term(2, 1), term(3, 1), term(4, -2))
			m.Row(0, 0, term(1, 1), term(4, -1))
			return squares(m, square{2, 0, []solver.Term{term(0, 1), term(1, -1)}},
				square{2, 2, []solver.Term{term(1, 1), term(2, 1)}}, square{2, 1, []solver.Term{term(3, 1)}}, square{2, 1, []solver.Term{term(4, 1)}})
		}, 0, []float64{1, 1, 1, 1, 1}},
		{"52", func(m *solver.Model) float64 {
			for range 5 {
				m.Column(0, -inf, inf)
			}
			m.Row(0, 0, term(0, 1), term(1, 3))
			m.Row(0, 0, term(2, 1), term(3, 1), term(4, -2))
			m.Row(0, 0, term(1, 1), term(4, -1))
			return squares(m, square{2, 0, []solver.Term{term(0, 4), term(1, -1)}},
				square{2, 2, []solver.Term{term(1, 1), term(2, 1)}}, square{2, 1, []solver.Term{term(3, 1)}}, square{2, 1, []solver.Term{term(4, 1)}})
		}, 1859. / 349, []float64{-33. / 349, 11. / 349, 180. / 349, -158. / 349, 11. / 349}},
		{"53", func(m *solver.Model) float64 {
			for range 5 {
				m.Column(0, -10, 10)
			}
			m.Row(0, 0, term(0, 1), term(1, 3))
			m.Row(0, 0, term(2, 1), term(3, 1), term(4, -2))
			m.Row(0, 0, term(1, 1), term(4, -1))
			return squares(m, square{2, 0, []solver.Term{term(0, 1), term(1, -1)}},
				square{2, 2, []solver.Term{term(1, 1), term(2, 1)}}, square{2, 1, []solver.Term{term(3, 1)}}, square{2, 1, []solver.Term{term(4, 1)}})
		}, 176. / 43, []float64{-33. / 43, 11. / 43, 27. / 43, -5. / 43, 11. / 43}},
		{"76", func(m *solver.Model) float64 {
			for _, c := range []float64{-1, -3, 1, -1} {
				m.Column(c, 0, inf)
			}
			m.Row(-inf, 5, term(0, 1), term(1, 2), term(2, 1), term(3, 1))
			m.Row(-inf, 4, term(0, 3), term(1, 1), term(2, 2), term(3, -1))
			m.Row(1.5, inf, term(1, 1), term(2, 4))
			// a2 + b2/2 + c2 + d2/2 - ac + cd = (a - c/2)2 + (c + d)2/2 + c2/4 + b2/2
			m.Square(2, term(0, 1), term(2, -0.5))
			m.Square(1, term(2, 1), term(3, 1))
			m.Square(0.5, term(2, 1))
			m.Square(1, term(1, 1))
			return 0
		}, -4.6818181818, []float64{0.2727272727, 2.0909090909, 0, 0.5454545455}},
		{"118", func(m *solver.Model) float64 {
			cost := []float64{2.3, 1.7, 2.2}
			curve := []float64{0.0001, 0.0001, 0.00015}
			lower, upper := []float64{8, 43, 3}, []float64{21, 57, 16}
			most := []float64{90, 120, 60}
			for k := range 15 {
				if k >= 3 {
					lower[k%3], upper[k%3] = 0, most[k%3]
				}
				m.Column(cost[k%3], lower[k%3], upper[k%3])
				m.Square(2*curve[k%3], term(k, 1))
			}
			for k := 3; k < 15; k++ {
				m.Row(-7, []float64{6, 7, 6}[k%3], term(k, 1), term(k-3, -1))
			}
			for k, least := range []float64{60, 50, 70, 85, 100} {
				m.Row(least, inf, term(3*k, 1), term(3*k+1, 1), term(3*k+2, 1))
			}
			return 0
		}, 664.8204500, []float64{8, 49, 3, 1, 56, 0, 1, 63, 6, 3, 70, 12, 5, 77, 18}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var m solver.Model
			constant := c.build(&m)
			p := m.Problem()
			s := solve(t, p)
			verifyOptimal(t, p, s, 1e-8)
			assert.InDelta(t, c.optimum, s.Objective+constant, 1e-7*(1+c.optimum*c.optimum))
			assert.InDeltaSlice(t, c.at, s.X, 1e-3)
		})
	}
}
