package solver_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"heapwright/solver"
)

// TestInfeasible proves problems without a point infeasible, one of each kind.
func TestInfeasible(t *testing.T) {
	for _, c := range []struct {
		name  string
		build func(*solver.Model)
	}{
		{"crossed column bounds", func(m *solver.Model) { m.Column(1, 2, 1) }},
		{"crossed row bounds", func(m *solver.Model) { m.Column(1, 0, 5); m.Row(2, 1, term(0, 1)) }},
		{"empty row that asks for something", func(m *solver.Model) { m.Column(1, 0, 5); m.Row(1, 2) }},
		{"row beyond what the columns can give", func(m *solver.Model) {
			m.Column(0, 0, 1)
			m.Column(0, 0, 1)
			m.Row(3, inf, term(0, 1), term(1, 1))
		}},
		{"two rows against each other", func(m *solver.Model) {
			m.Column(1, -inf, inf)
			m.Column(1, -inf, inf)
			m.Row(1, inf, term(0, 1), term(1, 1))
			m.Row(-inf, 0, term(0, 2), term(1, 2))
		}},
		{"equations of low rank against each other", func(m *solver.Model) {
			for range 3 {
				m.Column(1, 0, inf)
			}
			m.Row(1, 1, term(0, 1), term(1, 1))
			m.Row(1, 1, term(1, 1), term(2, 1))
			m.Row(3, 3, term(0, 1), term(1, 2), term(2, 1))
		}},
		{"every ratio too low", func(m *solver.Model) {
			for range 4 {
				m.Column(-1, 0, 10)
			}
			m.Row(0, 0, term(0, -3), term(1, -2), term(2, -1), term(3, -0.5))
			m.Row(1, inf, term(0, 1), term(1, 1), term(2, 1), term(3, 1))
		}},
		{"fixed columns against a row", func(m *solver.Model) {
			m.Column(1, 2, 2)
			m.Column(1, 0, 1)
			m.Row(-inf, 1.5, term(0, 1), term(1, 1))
		}},
		{"quadratic", func(m *solver.Model) {
			m.Column(1, 0, inf)
			m.Column(-1, 0, inf)
			m.Square(1, term(0, 1), term(1, -1))
			m.Row(-inf, -1, term(0, 1), term(1, 1))
		}},
		{"badly scaled", func(m *solver.Model) {
			m.Column(1, 0, 1e-6)
			m.Column(1, 0, 1e6)
			m.Row(3, inf, term(0, 1e6), term(1, 1e-6))
		}},
		{"primal and dual infeasible", func(m *solver.Model) {
			m.Column(-1, 0, inf)
			m.Column(-1, 0, inf)
			m.Row(1, inf, term(0, 1), term(1, -1))
			m.Row(1, inf, term(0, -1), term(1, 1))
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var m solver.Model
			c.build(&m)
			p := m.Problem()
			s := solve(t, p)
			verifyFarkas(t, p, s)
		})
	}
}

// TestUnbounded gives a ray for problems whose cost falls for ever.
func TestUnbounded(t *testing.T) {
	for _, c := range []struct {
		name  string
		build func(*solver.Model)
	}{
		{"no rows", func(m *solver.Model) { m.Column(-1, 0, inf) }},
		{"free column", func(m *solver.Model) { m.Column(1, -inf, inf); m.Column(0, 0, 1); m.Row(-inf, 1, term(1, 1)) }},
		{"two columns along an equation", func(m *solver.Model) {
			m.Column(-1, 0, inf)
			m.Column(0, 0, inf)
			m.Row(1, 1, term(0, 1), term(1, -1))
		}},
		{"opposite rates", func(m *solver.Model) {
			m.Column(-1, 0, inf)
			m.Column(-1, 0, inf)
			m.Row(-2, 2, term(0, 1), term(1, -1))
		}},
		{"flat direction of a quadratic", func(m *solver.Model) {
			m.Column(-1, 0, inf)
			m.Column(-1, 0, inf)
			m.Square(1, term(0, 1), term(1, -1))
			m.Row(0, inf, term(0, 1))
		}},
		{"beside a fixed column", func(m *solver.Model) {
			m.Column(3, 4, 4)
			m.Column(-1, 0, inf)
			m.Row(0, inf, term(0, 1), term(1, 1))
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var m solver.Model
			c.build(&m)
			p := m.Problem()
			verifyRay(t, p, solve(t, p))
		})
	}
}

// TestRankDeficient solves problems whose equations repeat each other.
func TestRankDeficient(t *testing.T) {
	p := full([]float64{1, 2, 3},
		equals(2, 1, 1, 0), equals(2, 0, 1, 1), equals(4, 1, 2, 1), equals(4, 2, 2, 0), equals(0, 1, 0, -1), row{})
	s := solve(t, p)
	verifyOptimal(t, p, s, 1e-8)
	assert.InDelta(t, 4, s.Objective, 1e-7) // x = (0, 2, 0)
}

// TestDegenerate solves a vertex through which far more constraints pass than
// there are dimensions.
func TestDegenerate(t *testing.T) {
	var m solver.Model
	for range 3 {
		m.Column(-1, 0, inf)
	}
	for a := range 4 {
		for b := range 4 {
			m.Row(-inf, float64(1+a+b), term(0, 1), term(1, float64(a)), term(2, float64(b)))
		}
	}
	p := m.Problem()
	s := solve(t, p)
	verifyOptimal(t, p, s, 1e-8)
}
