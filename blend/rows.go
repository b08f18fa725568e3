package blend

import (
	"fmt"
	"math"

	"heapwright/solver"
)

// row is a limit on the amounts that holds whatever the target:
//
//	lower <= sum_j material[j] x_j + water w <= upper
//
// with x_j and w in kg. A row whose bounds are zero or infinite speaks of
// proportions alone and holds at any scale.
type row struct {
	material     []float64
	water        float64
	lower, upper float64
}

// value is the row's sum for given amounts.
func (r row) value(amounts []float64, water float64) float64 {
	sum := r.water * water
	for j, a := range amounts {
		sum += r.material[j] * a
	}
	return sum
}

// terms lists the row for a model whose columns are the materials and then
// the added water.
func (r row) terms() []solver.Term {
	terms := make([]solver.Term, 0, len(r.material)+2)
	for j, a := range r.material {
		if a != 0 {
			terms = append(terms, solver.Term{Column: j, Coefficient: a})
		}
	}
	if r.water != 0 {
		terms = append(terms, solver.Term{Column: len(r.material), Coefficient: r.water})
	}
	return terms
}

// size is the largest coefficient.
func (r row) size() float64 {
	size := math.Abs(r.water)
	for _, a := range r.material {
		size = max(size, math.Abs(a))
	}
	return size
}

// times returns the row's coefficients, not its bounds, multiplied by f.
func (r row) times(f float64) row {
	scaled := row{material: make([]float64, len(r.material)), water: r.water * f, lower: r.lower, upper: r.upper}
	for j, a := range r.material {
		scaled.material[j] = a * f
	}
	return scaled
}

// per returns a row over the materials with the given coefficients.
func (p *Problem) per(of func(m Material) float64) []float64 {
	c := make([]float64, len(p.Materials))
	for j, m := range p.Materials {
		c[j] = of(m)
	}
	return c
}

// loose is the loose volume of a kg of each material; of one that is not on
// hand nothing, whether its density is known or not.
func (p *Problem) loose() []float64 {
	return p.per(func(m Material) float64 {
		if m.OnHandKg == 0 {
			return 0
		}
		return 1 / m.Composition.DensityKgM3
	})
}

// built is the built volume of the amounts.
func (p *Problem) built() row {
	r := row{material: p.loose(), lower: 0, upper: math.Inf(1)}
	for j := range r.material {
		r.material[j] *= 1 - p.Pile.Shrink
	}
	return r
}

// bulk is the size of the amounts that stage two enlarges: built volume in
// m3, or mass in kg where a density is missing.
func (p *Problem) bulk() row {
	if len(p.withoutDensity()) > 0 {
		return row{material: p.per(func(Material) float64 { return 1 }), upper: math.Inf(1)}
	}
	return p.built()
}

// stock is the amount on hand of each material.
func (p *Problem) stock() []float64 {
	return p.per(func(m Material) float64 { return m.OnHandKg })
}

// limits lists the rows that the plan puts on every mix: size, density, air
// space and shares.
func (p *Problem) limits() []row {
	var rows []row
	for _, s := range p.limitStatements() {
		rows = append(rows, s.rows...)
	}
	return rows
}

// likelyM3 is about the volume of the pile: rows over it are in shares of the
// pile, so that what the optimiser takes for nothing is nothing to it.
func (p *Problem) likelyM3() float64 {
	return min(p.Pile.most(), p.built().value(p.stock(), 0))
}

// limitStatements are the limits with their words.
func (p *Problem) limitStatements() []Statement {
	var out []Statement
	if most := p.Pile.most(); !math.IsInf(most, 1) {
		r := p.built().times(1 / most)
		r.lower, r.upper = math.Inf(-1), 1
		out = append(out, Statement{"size", "", fmt.Sprintf("a pile of at most %.4g m3", most), []row{r}})
	}
	if d := p.Pile.DensestKgM3; d > 0 {
		// mass <= d * built volume
		r := row{material: p.built().material, water: 1, lower: math.Inf(-1)}
		for j := range r.material {
			r.material[j] = 1 - d*r.material[j]
		}
		r = r.times(1 / (d * p.likelyM3()))
		out = append(out, Statement{"densest", "", fmt.Sprintf("a bulk density of at most %.4g kg/m3", d), []row{r}})
	}
	if air := p.Pile.AirAtLeast; air > 0 {
		// volume of the particles <= (1 - air) * built volume
		r := row{material: p.built().material, water: 1 / waterDensity, lower: math.Inf(-1)}
		for j, m := range p.Materials {
			r.material[j] = ParticleVolume(m.Composition.Moisture, m.Composition.VolatileSolids) - (1-air)*r.material[j]
		}
		r = r.times(1 / p.likelyM3())
		out = append(out, Statement{"air_at_least", "", fmt.Sprintf("at least %.4g %% air", 100*air), []row{r}})
	}
	for j, m := range p.Materials {
		if m.ShareAtMost > 0 {
			// its volume <= share * all volume
			r := row{material: p.loose(), lower: math.Inf(-1)}
			own := r.material[j]
			for k := range r.material {
				r.material[k] *= -m.ShareAtMost
			}
			r.material[j] += own
			r = r.times(1 / p.likelyM3())
			out = append(out, Statement{"share_at_most", m.Name, fmt.Sprintf("%s at most %.4g %% of the volume", m.Name, 100*m.ShareAtMost), []row{r}})
		}
	}
	return out
}

// criterion is one of the two values that a target is about, as a ratio of
// two sums over the amounts.
type criterion struct {
	aim        Aim
	top, under row
	stock      float64 // under at the whole stock
}

// criteria are C:N and moisture.
func (p *Problem) criteria() []criterion {
	dry := func(of func(m Material) float64) []float64 {
		return p.per(func(m Material) float64 { return (1 - m.Composition.Moisture) * of(m) })
	}
	criteria := []criterion{
		{
			aim:   p.Target.CarbonToNitrogen,
			top:   row{material: dry(func(m Material) float64 { return m.Composition.Carbon })},
			under: row{material: dry(func(m Material) float64 { return m.Composition.Nitrogen })},
		},
		{
			aim:   p.Target.Moisture,
			top:   row{material: p.per(func(m Material) float64 { return m.Composition.Moisture }), water: 1},
			under: row{material: p.per(func(Material) float64 { return 1 }), water: 1},
		},
	}
	for k := range criteria {
		criteria[k].stock = criteria[k].under.value(p.stock(), 0)
	}
	return criteria
}

// versus is the row top - ratio*under, which is zero where the criterion has
// that ratio, positive above it and negative below.
func (c criterion) versus(ratio, lower, upper float64) row {
	r := row{material: make([]float64, len(c.top.material)), lower: lower, upper: upper}
	for j := range r.material {
		r.material[j] = difference(c.top.material[j], ratio*c.under.material[j])
	}
	r.water = difference(c.top.water, ratio*c.under.water)
	return r
}

// difference is a - b, and zero where that is the rounding of the last digits.
func difference(a, b float64) float64 {
	if d := a - b; math.Abs(d) > lastDigits*(math.Abs(a)+math.Abs(b)) {
		return d
	}
	return 0
}

const lastDigits = 1e-14

// limit is versus in units of distance, at the size of the stock: what the
// optimiser takes for nothing is then nothing to the distance, too, however
// narrow the range.
func (c criterion) limit(ratio, lower, upper float64) row {
	return c.versus(ratio, lower, upper).times(1 / (c.stock * c.aim.narrow()))
}

// value is the criterion at the given amounts.
func (c criterion) value(amounts []float64, water float64) float64 {
	return c.top.value(amounts, water) / c.under.value(amounts, water)
}

// at is the row that keeps the criterion at its value in the given mix. A
// material that has that value itself, but for rounding, takes no part in the
// row: where only such materials are left, the value holds by itself.
func (c criterion) at(amounts []float64, water float64) row {
	value := c.value(amounts, water)
	r := c.versus(value, 0, 0)
	cut := func(v *float64, top, under float64) {
		if math.Abs(*v) <= sameValue*(math.Abs(top)+math.Abs(value*under)) {
			*v = 0
		}
	}
	for j := range r.material {
		cut(&r.material[j], c.top.material[j], c.under.material[j])
	}
	cut(&r.water, c.top.water, c.under.water)
	return r
}

// sameValue is the relative difference below which two values of a criterion
// are taken to be one; it covers heldTolerance for the usual ranges.
const sameValue = 3e-8
