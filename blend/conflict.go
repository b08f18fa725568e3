package blend

import (
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/solver"
)

// Statement is something that a plan demands of a mix.
type Statement struct {
	Key      string // "carbon_to_nitrogen", "moisture", "stock", "at_least", "share_at_most", "size", "water", "densest" or "air_at_least"
	Material string // "" when it is not about one
	Text     string // in words, as in "at least 2 barrows of grass clippings"
	rows     []row
}

// statements lists all that the plan demands. Together they say no less than
// its limits and ranges.
func (p *Problem) statements() []Statement {
	var out []Statement
	say := func(key, material string, r row, format string, v ...any) {
		out = append(out, Statement{key, material, fmt.Sprintf(format, v...), []row{r}})
	}
	c, m := p.criteria()[0], p.criteria()[1]
	say("carbon_to_nitrogen", "", c.limit(c.aim.Low, 0, math.Inf(1)), "C:N of at least %.4g", c.aim.Low)
	say("carbon_to_nitrogen", "", c.limit(c.aim.High, math.Inf(-1), 0), "C:N of at most %.4g", c.aim.High)
	say("moisture", "", m.limit(m.aim.Low, 0, math.Inf(1)), "moisture of at least %.4g %%", 100*m.aim.Low)
	say("moisture", "", m.limit(m.aim.High, math.Inf(-1), 0), "moisture of at most %.4g %%", 100*m.aim.High)
	amount := func(material Material, kg float64) string {
		return material.words(kg) + " of " + material.Name
	}
	alone := func(j int, lower, upper float64) row {
		r := row{material: make([]float64, len(p.Materials)), lower: lower, upper: upper}
		r.material[j] = 1
		return r
	}
	for j, material := range p.Materials {
		if material.AtLeastKg > 0 {
			say("at_least", material.Name, alone(j, material.AtLeastKg, math.Inf(1)), "at least %s", amount(material, material.AtLeastKg))
		}
		say("stock", material.Name, alone(j, math.Inf(-1), material.OnHandKg), "no more than %s", amount(material, material.OnHandKg))
	}
	if w := p.Pile.WaterKg; !math.IsInf(w, 1) {
		r := row{material: make([]float64, len(p.Materials)), water: 1, lower: math.Inf(-1), upper: w}
		if w == 0 {
			say("water", "", r, "no water to add")
		} else {
			say("water", "", r, "no more than %.4g L of water to add", w)
		}
	}
	return append(out, p.limitStatements()...)
}

// conflict finds a smallest set of statements that cannot hold together: when
// any one of them is dropped, the rest can. It is nil when all can hold.
//
// The statements with a multiplier in the Farkas vector of the infeasible
// program cannot hold together already; of those each is tried without (the
// deletion filter of Chinneck and Dravnieks 1991, "Locating minimal infeasible
// constraint sets in linear programs", ORSA J. Comput. 3:157-168, from
// memory).
func (p *Problem) conflict(ctx context.Context) ([]Statement, error) {
	all := p.statements()
	answer, owner, err := p.together(ctx, all, nil)
	if err != nil || answer.Status != solver.Infeasible {
		return nil, err
	}
	var left []Statement
	for k, s := range all {
		if slices.ContainsFunc(owner[k], func(i int) bool { return answer.RowDual[i] != 0 }) {
			left = append(left, s)
		}
	}
	if check, _, err := p.together(ctx, left, nil); err != nil || check.Status != solver.Infeasible {
		left = all // the vector was too faint to go by
	}
	for k := 0; k < len(left); {
		without := slices.Delete(slices.Clone(left), k, k+1)
		answer, _, err := p.together(ctx, without, nil)
		if err != nil {
			return nil, err
		}
		if answer.Status == solver.Infeasible {
			left = without
		} else {
			k++
		}
	}
	return left, nil
}

// together asks whether statements can hold together in any mix that holds
// nitrogen, or, with an aim added to the model, how well. owner lists, for each
// statement, its rows in the program.
func (p *Problem) together(ctx context.Context, statements []Statement, aim func(*solver.Model)) (answer *solver.Solution, owner [][]int, err error) {
	free := &face{}
	for range p.Materials {
		free.lower = append(free.lower, 0)
		free.upper = append(free.upper, math.Inf(1))
	}
	free.lower = append(free.lower, 0)
	free.upper = append(free.upper, math.Inf(1))
	// What is not on hand is no statement; it is not there.
	for j, m := range p.Materials {
		if m.OnHandKg == 0 {
			free.upper[j] = 0
		}
	}
	nitrogen := p.criteria()[0]
	model := p.proportions(free, nil, nitrogen.under, nitrogen.stock)
	size := model.Column(0, 0, solver.Inf())
	for _, s := range statements {
		var mine []int
		for _, r := range s.rows {
			for _, side := range r.sides() {
				terms := append(r.terms(), solver.Term{Column: size, Coefficient: -side.bound})
				if side.lower {
					mine = append(mine, model.Row(0, solver.Inf(), terms...))
				} else {
					mine = append(mine, model.Row(-solver.Inf(), 0, terms...))
				}
			}
		}
		owner = append(owner, mine)
	}
	if aim != nil {
		aim(model)
	}
	answer, err = solve(ctx, model)
	return answer, owner, err
}

// rowSide is one finite bound of a row.
type rowSide struct {
	lower bool
	bound float64
}

func (r row) sides() []rowSide {
	var out []rowSide
	if !math.IsInf(r.lower, -1) {
		out = append(out, rowSide{true, r.lower})
	}
	if !math.IsInf(r.upper, 1) {
		out = append(out, rowSide{false, r.upper})
	}
	return out
}
