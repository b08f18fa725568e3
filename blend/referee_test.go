package blend_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"heapwright/blend"
)

// referee judges a recipe by gonum's simplex method and a formulation of its
// own, which shares no code with the package.
//
// Its unknowns are those of a mix that holds as much nitrogen as a kilogram of
// the average stock: kilograms u_j of each material, of water, and the size s,
// one over the pile's scale. A limit "at most B in a pile" reads "at most B s".
type referee struct {
	p       *blend.Problem
	index   []int // materials with a stock
	mass    float64
	width   int // columns: materials, water, size
	rows    [][]float64
	bound   []float64 // rows . x <= bound
	some    []float64 // some . x >= atLeast: there is something in the pile
	atLeast float64
}

func newReferee(p *blend.Problem) *referee {
	r := &referee{p: p}
	nitrogen := 0.0
	for j, m := range p.Materials {
		if m.OnHandKg > 0 {
			r.index = append(r.index, j)
			r.mass += m.OnHandKg
			nitrogen += m.OnHandKg * (1 - m.Composition.Moisture) * m.Composition.Nitrogen
		}
	}
	r.width = len(r.index) + 2
	perKg := nitrogen / r.mass
	n := r.nitrogen()
	r.some = make([]float64, r.width)
	for i, v := range n {
		r.some[i] = v / perKg
	}
	r.atLeast = 1
	if slices.ContainsFunc(r.index, func(j int) bool { return p.Materials[j].Composition.Nitrogen == 0 }) {
		r.less(combine(-1, n, leastNitrogen*perKg, r.over(0, func(blend.Material) float64 { return 1 })))
	}
	r.limits()
	return r
}

// leastNitrogen is the least nitrogen in a kg of the materials of a mix, beside
// that in a kg of the stock, where some material has none: a pile of next to
// nothing but ash has a C:N in name only.
const leastNitrogen = 1e-3

// over lists a quantity per kg of each material, then of water, then none for
// the size.
func (r *referee) over(water float64, of func(blend.Material) float64) []float64 {
	v := make([]float64, r.width)
	for i, j := range r.index {
		v[i] = of(r.p.Materials[j])
	}
	v[r.width-2] = water
	return v
}

func (r *referee) nitrogen() []float64 {
	return r.over(0, func(m blend.Material) float64 { return m.Composition.Nitrogen * (1 - m.Composition.Moisture) })
}

func (r *referee) carbon() []float64 {
	return r.over(0, func(m blend.Material) float64 { return m.Composition.Carbon * (1 - m.Composition.Moisture) })
}

func (r *referee) volume() []float64 {
	return r.over(0, func(m blend.Material) float64 { return 1 / m.Composition.DensityKgM3 })
}

func combine(a float64, u []float64, b float64, v []float64) []float64 {
	out := make([]float64, len(u))
	for i := range u {
		out[i] = a * u[i]
		if b != 0 {
			out[i] += b * v[i]
		}
	}
	return out
}

// less adds row . x <= 0.
func (r *referee) less(row []float64) {
	r.rows, r.bound = append(r.rows, row), append(r.bound, 0)
}

// lessThanSize adds row . x <= limit * s, with the limit in real kg or m3 and
// the size counted in stocks.
func (r *referee) lessThanSize(row []float64, limit float64) {
	row = combine(1, row, 0, nil)
	row[r.width-1] -= limit / r.mass
	r.less(row)
}

func (r *referee) unit(i int) []float64 {
	v := make([]float64, r.width)
	v[i] = 1
	return v
}

func (r *referee) limits() {
	pile := r.p.Pile
	for i, j := range r.index {
		m := r.p.Materials[j]
		r.lessThanSize(r.unit(i), m.OnHandKg)
		if m.AtLeastKg > 0 {
			r.lessThanSize(combine(-1, r.unit(i), 0, nil), -m.AtLeastKg)
		}
		if m.ShareAtMost > 0 && m.ShareAtMost < 1 {
			own := r.unit(i)
			own[i] = 1 / m.Composition.DensityKgM3
			r.less(combine(1, own, -m.ShareAtMost, r.volume()))
		}
	}
	// Unlimited water is ten thousand times the stock: wetter than any target.
	r.lessThanSize(r.unit(r.width-2), min(pile.WaterKg, 1e4*r.mass))
	for _, most := range []float64{pile.SizeM3, pile.LargestM3} {
		if most > 0 {
			r.lessThanSize(combine(1-pile.Shrink, r.volume(), 0, nil), most)
		}
	}
	mass := r.over(1, func(blend.Material) float64 { return 1 })
	if pile.DensestKgM3 > 0 {
		r.less(combine(1/pile.DensestKgM3, mass, -(1 - pile.Shrink), r.volume()))
	}
	if pile.AirAtLeast > 0 {
		solid := r.over(1e-3, func(m blend.Material) float64 {
			c := m.Composition
			return c.Moisture/1000 + (1-c.Moisture)*(c.VolatileSolids/1600+(1-c.VolatileSolids)/2500)
		})
		r.less(combine(1, solid, -(1-pile.AirAtLeast)*(1-pile.Shrink), r.volume()))
	}
}

// with returns a referee with further rows.
func (r *referee) with(rows ...[]float64) *referee {
	c := *r
	c.rows = append(append([][]float64{}, r.rows...), rows...)
	c.bound = make([]float64, len(c.rows))
	return &c
}

// ratioBand gives the rows low <= C:N <= high; moistureBand those of moisture.
func (r *referee) ratioBand(low, high float64) [][]float64 {
	return [][]float64{
		combine(1, r.carbon(), -high, r.nitrogen()),
		combine(-1, r.carbon(), low, r.nitrogen()),
	}
}

func (r *referee) moistureBand(low, high float64) [][]float64 {
	water := r.over(1, func(m blend.Material) float64 { return m.Composition.Moisture })
	all := r.over(1, func(blend.Material) float64 { return 1 })
	return [][]float64{combine(1, water, -high, all), combine(-1, water, low, all)}
}

// within gives the rows of a distance of at most d.
func (r *referee) within(d float64) [][]float64 {
	cn, m := r.p.Target.CarbonToNitrogen, r.p.Target.Moisture
	return append(
		r.ratioBand(cn.Aim-d*(cn.Aim-cn.Low), cn.Aim+d*(cn.High-cn.Aim)),
		r.moistureBand(m.Aim-d*(m.Aim-m.Low), m.Aim+d*(m.High-m.Aim))...)
}

// Outcomes of the referee.
type verdict int

const (
	failed verdict = iota // an error of the simplex method that is no answer
	possible
	impossible
)

// A row holds up to rowSlack of its largest term, and up to termSlack of the
// largest term that its numbers and the unknowns in it could make.
const (
	rowSlack  = 1e-9
	termSlack = 1e-12
)

// obeys checks a point against every row by plain arithmetic.
func (r *referee) obeys(x []float64) bool {
	for _, v := range x {
		if v < -termSlack*slices.Max(x) {
			return false
		}
	}
	holds := func(row []float64, low, high float64) bool {
		value, term, number, unknown := 0.0, 0.0, 0.0, 0.0
		for i, a := range row {
			value += a * x[i]
			term = max(term, math.Abs(a*x[i]))
			if a != 0 {
				number, unknown = max(number, math.Abs(a)), max(unknown, x[i])
			}
		}
		slack := max(rowSlack*term, termSlack*number*unknown)
		return value <= high+slack && value >= low-slack
	}
	for i, row := range r.rows {
		if !holds(row, math.Inf(-1), r.bound[i]) {
			return false
		}
	}
	return holds(r.some, r.atLeast, math.Inf(1))
}

// dear is the price of a unit of violation, over the largest cost of an unknown.
const dear = 1e5

// least minimises a cost. Every row may be violated by one elastic unknown, so
// that the simplex method starts at a point: nothing of anything, violated by
// the one row that asks for something. A point that the method returns counts
// only if it obeys the rows.
func (r *referee) least(cost []float64) (value float64, v verdict) {
	for _, trifle := range trifles {
		if value, v = r.try(cost, trifle); v != failed {
			break
		}
	}
	return value, v
}

func (r *referee) try(cost []float64, trifle float64) (float64, verdict) {
	rows, bound := r.rows, r.bound
	rows = append(rows[:len(rows):len(rows)], combine(-1, r.some, 0, nil))
	bound = append(bound[:len(bound):len(bound)], -r.atLeast)
	var kept []int
	for i, row := range rows {
		if slices.ContainsFunc(row, func(v float64) bool { return v != 0 }) {
			kept = append(kept, i)
		}
	}
	m, elastic := len(kept), r.width
	n := r.width + 1 + m
	a := mat.NewDense(m, n, nil)
	b, c := make([]float64, m), make([]float64, n)
	copy(c, cost)
	basis := make([]int, m)
	worst := 0
	// The unknowns and then the rows are scaled to have one as their largest
	// number.
	unit := make([]float64, r.width)
	for _, i := range kept {
		for j, v := range rows[i] {
			unit[j] = max(unit[j], math.Abs(v))
		}
	}
	jitter := rand.New(rand.NewPCG(1, uint64(m)))
	for k, i := range kept {
		size := 0.0
		for j, v := range rows[i] {
			size = max(size, math.Abs(v)/unit[j])
		}
		for j, v := range rows[i] {
			a.Set(k, j, v/unit[j]/size)
		}
		a.Set(k, elastic, -1)
		a.Set(k, elastic+1+k, 1)
		b[k] = bound[i]/size + trifle*(1+jitter.Float64())
		basis[k] = elastic + 1 + k
		if b[k] < b[worst] {
			worst = k
		}
	}
	costly := 0.0
	for j := range unit {
		c[j] /= unit[j]
		costly = max(costly, math.Abs(c[j]))
	}
	c[elastic] = 1
	if costly > 0 {
		c[elastic] = dear * costly
	}
	basis[worst] = elastic
	value, x, err := simplex(c, a, b, basis)
	if err != nil || len(x) < n {
		return 0, failed
	}
	violation := x[elastic]
	for j := range unit {
		x[j] /= unit[j]
	}
	switch {
	case r.obeys(x[:r.width]):
		return value - c[elastic]*violation, possible
	case violation > surelyViolated:
		return 0, impossible
	}
	return 0, failed
}

// trifles are the sizes by which rows are loosened, each row by its own share,
// in one try after the other: limits that meet in one point make the method
// cycle. Whatever it returns is judged by the rows as they are.
var trifles = [...]float64{0, 1e-13, 1e-12, 1e-11}

// surelyViolated is the elastic unknown, in rows whose largest number is one,
// above which the rows cannot all hold.
const surelyViolated = 1e-11

// steps bounds the simplex method, which has no bound of its own and cycles
// now and then.
const steps = 1000

// counted is a matrix that panics when it has been read for too long.
type counted struct {
	*mat.Dense
	left int
}

func (c *counted) At(i, j int) float64 {
	if c.left--; c.left < 0 {
		panic("the simplex method does not end")
	}
	return c.Dense.At(i, j)
}

func simplex(c []float64, a *mat.Dense, b []float64, basis []int) (value float64, x []float64, err error) {
	defer func() {
		if e := recover(); e != nil {
			err = fmt.Errorf("the simplex method panicked: %v", e)
		}
	}()
	m, n := a.Dims()
	// Only At is offered, so that every column read is counted.
	return lp.Simplex(c, struct{ mat.Matrix }{&counted{a, 4*m*n + steps*m}}, b, 1e-12, basis)
}

// point is a recipe in the referee's unknowns.
func (r *referee) point(mix blend.Mixture) []float64 {
	x := make([]float64, r.width)
	n := 0.0
	for i, j := range r.index {
		x[i] = mix.Parts[j].MassKg
		n += x[i] * r.some[i]
	}
	x[r.width-2] = mix.AddedWaterKg
	for i := range x {
		x[i] /= n
	}
	x[r.width-1] = r.mass / n
	return x
}
