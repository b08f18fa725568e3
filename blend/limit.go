package blend

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"heapwright/solver"
)

// Limit is a demand of the plan that keeps the pile from being larger or
// nearer to its target, and what giving way a little would bring. The gains
// were found by formulating the plan anew with the demand moved.
type Limit struct {
	Statement
	Change     string  // in words: "one more sack of leaves"
	VolumeM3   float64 // by which the built pile grows; NaN where it is planned by weight
	MassKg     float64 // by which the pile without added water grows
	Distance   float64 // by which the distance falls
	Recipe     *Recipe // with the demand moved
	Multiplier float64 // dual, over the largest of the same stage
}

// Limits finds what limits a recipe. The demands with a multiplier in the
// program of its stage (distance, then bulk) are candidates; each is moved by
// one measure, or one step, and the plan formulated anew. A larger pile is no
// gain where the target is out of reach. idle names the materials that are on
// hand and not used up: more of them would change neither the distance nor the
// size.
func Limits(ctx context.Context, r *Recipe) (limits []Limit, idle []string, err error) {
	if r.Conflict {
		return nil, nil, nil
	}
	p := r.Problem
	var demands []Statement
	for _, s := range p.statements() {
		if s.Key != "carbon_to_nitrogen" && s.Key != "moisture" {
			demands = append(demands, s)
		}
	}
	multipliers, err := r.multipliers(ctx, demands)
	if err != nil {
		return nil, nil, err
	}
	for k, s := range demands {
		if math.Abs(multipliers[k]) < tellingMultiplier {
			continue
		}
		moved, change := p.moved(s)
		if moved == nil {
			continue
		}
		after, err := Formulate(ctx, moved)
		if err != nil {
			return nil, nil, err
		}
		l := Limit{
			Statement: s, Change: change, Multiplier: multipliers[k], Recipe: after,
			VolumeM3: after.Figures.VolumeM3 - r.Figures.VolumeM3,
			MassKg:   after.solidsKg() - r.solidsKg(),
			Distance: r.Distance - after.Distance,
		}
		larger := l.Distance > -tellingDistance && l.growth(r) > tellingShare
		if l.Distance > tellingDistance || larger && r.Status != OutOfReach {
			limits = append(limits, l)
		}
	}
	slices.SortStableFunc(limits, func(a, b Limit) int {
		return cmp.Or(-cmp.Compare(a.Distance, b.Distance), -cmp.Compare(a.growth(r), b.growth(r)))
	})
	for j, part := range r.Mixture.Parts {
		m := p.Materials[j]
		if m.OnHandKg-part.MassKg > tellingShare*m.OnHandKg {
			idle = append(idle, m.Name)
		}
	}
	return limits, idle, nil
}

// What is worth telling.
const (
	tellingMultiplier = 1e-6  // of a demand, over the largest
	noMultiplier      = 1e-9  // the largest of a stage in which no demand counts
	tellingDistance   = 0.005 // by which a distance falls
	tellingShare      = 0.001 // of the pile by which it grows
)

// growth is the share of the pile of r by which it grows, by volume where that
// is known.
func (l Limit) growth(r *Recipe) float64 {
	if known(l.VolumeM3) {
		return l.VolumeM3 / r.Figures.VolumeM3
	}
	return l.MassKg / r.solidsKg()
}

// solidsKg is the mass of the materials, without added water.
func (r *Recipe) solidsKg() float64 { return r.Mixture.MassKg() - r.Mixture.AddedWaterKg }

// multipliers solves the two stages of a formulation once more, with every
// demand a row of its own, and returns each demand's multiplier, over the
// largest of its stage.
func (r *Recipe) multipliers(ctx context.Context, demands []Statement) ([]float64, error) {
	p := r.Problem
	out := make([]float64, len(demands))
	add := func(answer *solver.Solution, owner [][]int) {
		largest := 0.0
		for _, mine := range owner {
			for _, i := range mine {
				largest = max(largest, math.Abs(answer.RowDual[i]))
			}
		}
		for k, mine := range owner {
			for _, i := range mine {
				if v := answer.RowDual[i]; largest > noMultiplier && math.Abs(v/largest) > math.Abs(out[k]) {
					out[k] = v / largest
				}
			}
		}
	}
	bulk := p.bulk()
	sizeFirst := r.Status != OutOfReach && (p.Pile.Prefer == PreferLargest || p.Pile.Prefer == PreferCheapest)
	if r.Distance > onTarget {
		held := demands
		if sizeFirst { // only a pile as large may be nearer
			least := bulk
			least.lower = (1 - heldTolerance) * bulk.value(r.Mixture.amounts(), 0)
			held = append(slices.Clone(demands), Statement{Key: "size", rows: []row{least}})
		}
		answer, owner, err := p.together(ctx, held, func(model *solver.Model) {
			search := &distanceSearch{problem: p, criteria: p.criteria(), held: make([]bool, 2)}
			search.sides(model, r.Distance, search.stockScale())
		})
		if err != nil {
			return nil, err
		}
		if answer.Status == solver.Optimal {
			add(answer, owner[:len(demands)])
		}
	}
	// The largest pile at the values that the recipe has, or, where size comes
	// first, within the ranges.
	model := &solver.Model{}
	for j := range p.Materials {
		model.Column(-bulk.material[j], 0, solver.Inf())
	}
	model.Column(0, 0, solver.Inf())
	amounts := r.Mixture.amounts()
	for _, c := range p.criteria() {
		if sizeFirst {
			model.Row(0, solver.Inf(), c.limit(c.aim.Low, 0, 0).terms()...)
			model.Row(-solver.Inf(), 0, c.limit(c.aim.High, 0, 0).terms()...)
			continue
		}
		row := c.at(amounts, r.Mixture.AddedWaterKg)
		model.Row(0, 0, row.times(1/c.stock).terms()...)
	}
	var owner [][]int
	for _, s := range demands {
		var mine []int
		for _, row := range s.rows {
			mine = append(mine, model.Row(row.lower, row.upper, row.terms()...))
		}
		owner = append(owner, mine)
	}
	answer, err := solve(ctx, model)
	if err != nil {
		return nil, err
	}
	if answer.Status == solver.Optimal {
		add(answer, owner)
	}
	return out, nil
}

// Steps by which a demand that is not counted in measures gives way.
const (
	waterStepKg   = 10
	shareStep     = 0.05
	airStep       = 0.05
	densityStepKg = 50
)

// moved is the problem with one demand given way by a step, and the step in
// words.
func (p *Problem) moved(s Statement) (*Problem, string) {
	q := *p
	q.Materials = slices.Clone(p.Materials)
	j := slices.IndexFunc(q.Materials, func(m Material) bool { return m.Name == s.Material })
	switch s.Key {
	case "stock":
		m := &q.Materials[j]
		step := m.step(m.OnHandKg)
		if m.OnHandKg == 0 {
			return nil, ""
		}
		m.OnHandKg += step
		return &q, m.more(step)
	case "at_least":
		m := &q.Materials[j]
		step := min(m.AtLeastKg, m.step(m.AtLeastKg))
		m.AtLeastKg -= step
		return &q, fmt.Sprintf("asking for %s less of %s", m.words(step), m.Name)
	case "share_at_most":
		m := &q.Materials[j]
		m.ShareAtMost = min(1, m.ShareAtMost+shareStep)
		return &q, fmt.Sprintf("a share of %.3g %% for %s", 100*m.ShareAtMost, m.Name)
	case "water":
		q.Pile.WaterKg += waterStepKg
		return &q, fmt.Sprintf("%d L more water", waterStepKg)
	case "size":
		if q.Pile.Prefer == PreferCheapest {
			return nil, "" // it needs one
		}
		q.Pile.SizeM3, q.Pile.LargestM3 = 0, 0
		return &q, "no limit on the size"
	case "densest":
		q.Pile.DensestKgM3 += densityStepKg
		return &q, fmt.Sprintf("allowing a bulk density of %.4g kg/m3", q.Pile.DensestKgM3)
	case "air_at_least":
		q.Pile.AirAtLeast = max(0, q.Pile.AirAtLeast-airStep)
		return &q, fmt.Sprintf("allowing %.3g %% air", 100*q.Pile.AirAtLeast)
	}
	return nil, ""
}

// more names one more step of a material: "one more sack of leaves", "10 kg more
// of hen litter".
func (m Material) more(step float64) string {
	if unit, one := m.unit(); unit.Measure && step == one {
		return "one more " + unit.Name + " of " + m.Name
	}
	return m.words(step) + " more of " + m.Name
}
