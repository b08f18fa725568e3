package solver_test

import (
	"context"
	"fmt"

	"heapwright/solver"
)

// Two materials on hand, 300 kg and 400 kg, worth 5 and 4 a kg. Every kg of
// the first takes 2 hours and of the second 1 hour; there are 800 hours.
func ExampleSolve() {
	var m solver.Model
	first := m.Column(-5, 0, 300)
	second := m.Column(-4, 0, 400)
	hours := m.Row(-solver.Inf(), 800, solver.Term{Column: first, Coefficient: 2}, solver.Term{Column: second, Coefficient: 1})
	s, err := solver.Solve(context.Background(), m.Problem(), solver.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v: %.0f kg and %.0f kg are worth %.0f\n", s.Status, s.X[first], s.X[second], -s.Objective)
	fmt.Printf("one more hour would be worth %.1f\n", -s.RowDual[hours])
	// Output:
	// optimal: 200 kg and 400 kg are worth 2600
	// one more hour would be worth 2.5
}

// The point of a line that is nearest to (3, 1): a quadratic cost.
func ExampleModel_Square() {
	var m solver.Model
	x := m.Column(-3, -solver.Inf(), solver.Inf())
	y := m.Column(-1, -solver.Inf(), solver.Inf())
	m.Square(1, solver.Term{Column: x, Coefficient: 1})
	m.Square(1, solver.Term{Column: y, Coefficient: 1})
	m.Row(2, 2, solver.Term{Column: x, Coefficient: 1}, solver.Term{Column: y, Coefficient: 1})
	s, err := solver.Solve(context.Background(), m.Problem(), solver.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("(%.2f, %.2f)\n", s.X[x], s.X[y])
	// Output:
	// (2.00, 0.00)
}

// What cannot be met is proved: the multipliers of the rows add up to a
// contradiction.
func ExampleProblem_FarkasGap() {
	var m solver.Model
	x := m.Column(0, 0, 10)
	m.Row(20, solver.Inf(), solver.Term{Column: x, Coefficient: 1})
	p := m.Problem()
	s, err := solver.Solve(context.Background(), p, solver.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	gap, fault := p.FarkasGap(s.RowDual)
	fmt.Printf("%v: forced %.0f too far, fault %.0f\n", s.Status, gap, fault)
	// Output:
	// infeasible: forced 10 too far, fault 0
}

// Whole sacks of 90 litres and barrows of 70: the fewest that hold at least 500
// litres, four of them barrows at the most. Optimal is a proof.
func ExampleModel_Integer() {
	var m solver.Model
	sacks := m.Column(1, 0, solver.Inf())
	barrows := m.Column(1, 0, 4)
	m.Integer(sacks)
	m.Integer(barrows)
	m.Row(500, solver.Inf(), solver.Term{Column: sacks, Coefficient: 90}, solver.Term{Column: barrows, Coefficient: 70})
	s, err := solver.Solve(context.Background(), m.Problem(), solver.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v: %.0f vessels, no fewer than %.0f can do\n", s.Status, s.Objective, s.Bound)
	// Output:
	// optimal: 6 vessels, no fewer than 6 can do
}
