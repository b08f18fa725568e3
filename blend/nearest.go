package blend

import (
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/solver"
)

// level is the best distance within reach of the limits, and where each
// criterion must be held to keep a mix at it.
type level struct {
	distance float64
	held     []holding
	mix      []float64 // one such mix: amounts and water, at any size
}

// holding is a criterion at a distance on one side of its aim.
type holding struct {
	criterion
	distance float64
	up       bool
}

// rows are a lower and an upper row for each criterion held, no further from
// its value than the slack, in distance.
func (l *level) rows(slack float64) []row {
	var rows []row
	for _, h := range l.held {
		value := h.aim.at(h.distance, h.up)
		width := h.aim.narrow()
		if h.distance > 0 {
			width = math.Abs(h.aim.at(1, h.up) - h.aim.Aim)
		}
		away := slack * max(1, h.distance) * width
		rows = append(rows,
			h.limit(value-away, 0, math.Inf(1)),
			h.limit(value+away, math.Inf(-1), 0))
	}
	return rows
}

// Tolerances of the stages.
const (
	// levelTolerance is the distance to which the best level is found.
	levelTolerance = 1e-9
	// heldTolerance is how far, in distance, a value found by one search may
	// move in the next; a value at the very edge of what can be reached would
	// otherwise be out of reach by rounding.
	heldTolerance = 1e-8
	// binding is the least weight in the optimality conditions (the weights
	// of all criteria add up to one) by which a criterion is known to be the
	// one that limits the distance.
	binding = 1e-6
	// nearestRounds bounds the steps of one search; it converges in 3 to 6.
	nearestRounds = 60
)

// nearest finds the least distance of any of the mixes, and then,
// with the criteria that limit it held, the least distance of the others: when
// C:N is out of reach, moisture need not be. A nil level means that no mix
// is allowed at all.
func (p *Problem) nearest(ctx context.Context, mixes *face) (*level, error) {
	rows := mixes.rows
	search := &distanceSearch{problem: p, mixes: mixes, rows: rows, criteria: p.criteria()}
	search.held = make([]bool, len(search.criteria))
	out := &level{}
	for round := 0; slices.Contains(search.held, false); round++ {
		found, err := search.run(ctx)
		if err != nil || !found.any {
			return nil, err
		}
		if round == 0 {
			out.distance = found.distance
		}
		out.mix = found.mix
		for k, c := range search.criteria {
			if !search.held[k] && found.weight[k] != 0 {
				out.held = append(out.held, holding{c, found.distance, found.weight[k] > 0})
				search.held[k] = true
			}
		}
		search.rows = append(rows[:len(rows):len(rows)], out.rows(heldTolerance)...)
	}
	return out, nil
}

// distanceSearch minimises the largest distance of the criteria that are not
// held. The distance is a maximum of ratios of linear functions, so it has no
// valleys but its least one; each round solves the linear program
//
//	minimise t  subject to  f_i(x) - d g_i(x) <= t g_i(x')
//
// for the current level d and last mix x', where f_i/g_i is the distance of a
// criterion on one side. t = 0 proves that d is the least; t < 0 gives a
// nearer mix, whose distance is the next d (Crouzeix and Ferland 1991,
// "Algorithms for generalized fractional programming", Math. Program.
// 52:191-207, from memory). The first round tries d = 0, which most plans
// reach.
type distanceSearch struct {
	problem  *Problem
	mixes    *face
	rows     []row // of the mixes, and those that hold a criterion
	criteria []criterion
	held     []bool
}

// foundDistance is what a search found. weight[k] is zero for a criterion that
// does not limit the distance; its sign tells the side on which it does.
type foundDistance struct {
	any      bool // some mix obeys the rows
	distance float64
	weight   []float64
	mix      []float64
}

func (s *distanceSearch) run(ctx context.Context) (foundDistance, error) {
	scale := s.stockScale() // g_i(x') but for the width of the range
	d, best := 0.0, math.Inf(1)
	for range nearestRounds {
		program := s.program(d, scale)
		answer, err := solve(ctx, program.model)
		if err != nil {
			return foundDistance{}, err
		}
		if answer.Status == solver.Infeasible {
			return foundDistance{}, nil
		}
		if d == 0 && answer.Objective <= levelTolerance {
			all := slices.Repeat([]float64{1}, len(s.criteria))
			return foundDistance{any: true, weight: all, mix: answer.X[:program.water+1]}, nil
		}
		amounts, water := answer.X[:program.water], answer.X[program.water]
		reached := 0.0
		for k, c := range s.criteria {
			scale[k] = c.under.value(amounts, water)
			if !s.held[k] {
				reached = max(reached, c.aim.Distance(c.value(amounts, water)))
			}
		}
		if d > 0 && answer.Objective >= -levelTolerance*d || reached >= best {
			return foundDistance{any: true, distance: best, weight: program.weights(answer, len(s.criteria)), mix: answer.X[:program.water+1]}, nil
		}
		d, best = reached, reached
	}
	return foundDistance{}, fmt.Errorf("blend: internal: the search for the nearest mix did not settle in %d rounds", nearestRounds)
}

// distanceProgram is one round's linear program.
type distanceProgram struct {
	model *solver.Model
	water int // column of the added water
	sides []distanceSide
}

// distanceSide is the row that speaks for a criterion on one side of its aim.
type distanceSide struct {
	row, criterion int
	up             bool
}

// program lays out a round over the proportions of the mixes, scaled so that
// they hold as much nitrogen as the stock: a mix without nitrogen has no C:N.
func (s *distanceSearch) program(d float64, scale []float64) distanceProgram {
	p := s.problem
	nitrogen := s.criteria[0].under
	dp := distanceProgram{
		model: p.proportions(s.mixes, s.rows, nitrogen, s.criteria[0].stock),
		water: len(p.Materials),
	}
	dp.sides = s.sides(dp.model, d, scale)
	return dp
}

// sides adds the column t to be minimised and, for each criterion not held,
// the rows that speak for it on either side of its aim.
func (s *distanceSearch) sides(model *solver.Model, d float64, scale []float64) []distanceSide {
	var sides []distanceSide
	t := model.Column(1, -solver.Inf(), solver.Inf())
	for k, c := range s.criteria {
		if s.held[k] {
			continue
		}
		for _, up := range []bool{true, false} {
			width := c.aim.at(1, up) - c.aim.Aim // signed, so that the row is a distance on either side
			r := c.versus(c.aim.at(d, up), 0, 0).times(1 / (width * scale[k]))
			i := model.Row(-solver.Inf(), 0, append(r.terms(), solver.Term{Column: t, Coefficient: -1})...)
			sides = append(sides, distanceSide{i, k, up})
		}
	}
	return sides
}

// stockScale is the lower sum of each criterion at the whole stock.
func (s *distanceSearch) stockScale() []float64 {
	scale := make([]float64, len(s.criteria))
	for k, c := range s.criteria {
		scale[k] = c.stock
	}
	return scale
}

// weights reads off the duals which criteria limit the distance, and on which
// side. The weights of all sides add up to one in size.
func (dp distanceProgram) weights(answer *solver.Solution, criteria int) []float64 {
	weights := make([]float64, criteria)
	for _, side := range dp.sides {
		w := -answer.RowDual[side.row]
		if w > binding && w > math.Abs(weights[side.criterion]) {
			if !side.up {
				w = -w
			}
			weights[side.criterion] = w
		}
	}
	return weights
}
