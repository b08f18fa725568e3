package blend

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"heapwright/feedstocks"
)

// Reasons say why a recipe is as it is: what limits it, what cannot hold
// together, how far the materials reach, and what would mend it.
type Reasons struct {
	Reach    *Reach      // nil when no mix is allowed
	Conflict []Statement // a smallest set that cannot hold together; empty when all can
	Limits   []Limit     // most telling first
	Idle     []string    // materials on hand of which more would change nothing
	Repairs  []Repair    // cheapest or least bulky first
}

// Explain works out the reasons for a recipe of [Formulate]. candidates are
// what might be got to mend it, with OnHandKg the most that can be had;
// [Problem.Candidates] lists those of a library.
func Explain(ctx context.Context, r *Recipe, candidates []Material) (*Reasons, error) {
	p, out := r.Problem, &Reasons{}
	reach, ok, err := p.reach(ctx, p.allowed())
	if err != nil {
		return nil, err
	}
	if ok {
		out.Reach = &reach
	}
	if r.Status == OutOfReach {
		if out.Conflict, err = p.conflict(ctx); err != nil {
			return nil, err
		}
		if out.Repairs, err = Repairs(ctx, r, candidates); err != nil {
			return nil, err
		}
	}
	out.Limits, out.Idle, err = Limits(ctx, r)
	return out, err
}

// Sentence puts the conflict in words; "" when there is none.
func (r *Reasons) Sentence() string {
	if len(r.Conflict) == 0 {
		return ""
	}
	if len(r.Conflict) == 1 && r.Reach != nil {
		if s := r.Conflict[0].beyond(r.Reach); s != "" {
			return s
		}
	}
	var texts []string
	for _, s := range r.Conflict {
		texts = append(texts, s.Text)
	}
	if len(texts) == 1 {
		return fmt.Sprintf("With what is on hand there is no mix with %s.", texts[0])
	}
	return fmt.Sprintf("With what is on hand these cannot hold together: %s. Give up any one of them, and the others can.", list(texts))
}

// beyond says how far the mixes reach towards a demand on C:N or moisture that
// they fall short of; "" for another statement.
func (s Statement) beyond(reach *Reach) string {
	name, unit, extent, scale, digits := "C:N", "", reach.CarbonToNitrogen, 1.0, 1
	switch s.Key {
	case "carbon_to_nitrogen":
	case "moisture":
		name, unit, extent, scale, digits = "moisture", " %", reach.Moisture, 100, 0
	default:
		return ""
	}
	end, side := extent.Low, "more"
	if s.least() {
		end, side = extent.High, "less"
	}
	// As many digits as tell the bound from the demand.
	same := func(digits int) bool {
		scaleOf := math.Pow10(digits)
		return strings.HasSuffix(s.Text, fmt.Sprintf(" %.4g%s", math.Round(scale*end*scaleOf)/scaleOf, unit))
	}
	for digits < 6 && same(digits) {
		digits++
	}
	bound := fmt.Sprintf("%.*f", digits, scale*end)
	return fmt.Sprintf("Everything that can be mixed from what is on hand has a %s of %s%s or %s, so %s cannot be reached.", name, bound, unit, side, s.Text)
}

// least reports whether the statement sets a lower bound.
func (s Statement) least() bool { return len(s.rows) == 1 && s.rows[0].lower == 0 }

// candidateMost is how much of a candidate of the library is taken to be had,
// over the mass on hand.
const candidateMost = 100

// Candidates lists what might be got to mend a mix: the plan's MayGet, or else
// more of what is on hand and the materials of the library whose figures
// suffice; only the everyday ones unless all are asked for. Those of the
// library that have a bulk density are counted in the unit given, if it is a
// volume, the others in kg.
func (p *Problem) Candidates(lib *feedstocks.Library, unit feedstocks.Unit, all bool) []Material {
	if len(p.MayGet) > 0 {
		return p.MayGet
	}
	most := 0.0
	for _, m := range p.Materials {
		most += candidateMost * m.OnHandKg
	}
	var out []Material
	for _, m := range p.Materials {
		if m.OnHandKg > 0 {
			m.OnHandKg, m.AtLeastKg = most, 0
			out = append(out, m)
		}
	}
	for _, f := range lib.All() {
		onHand := slices.ContainsFunc(p.Materials, func(m Material) bool { return m.Feedstock != nil && m.Feedstock.Name == f.Name || m.Name == f.Name })
		c, err := f.Composition()
		if onHand || err != nil || !f.Everyday && !all {
			continue
		}
		m := Material{Name: f.Name, Feedstock: f, Composition: c, OnHandKg: most}
		m.OnHand = feedstocks.Quantity{Number: 1, Unit: feedstocks.Unit{Name: "kg", Plural: "kg", Dimension: feedstocks.Mass, Factor: 1}}
		if known(c.DensityKgM3) && unit.Dimension == feedstocks.Volume {
			m.OnHand.Unit = unit
		}
		out = append(out, m)
	}
	return out
}
