package solver_test

import (
	"math/rand/v2"

	"heapwright/solver"
)

// blending invents a blending problem such as a pile of compost makes: how
// much of each material, within its stock, so that carbon and nitrogen stand
// in a given ratio, the moisture is right, water added at need, and the volume
// is the largest below a limit. Masses in kg, volumes in m3.
//
// A degenerate one has twins, empty stocks, amounts that must be used and
// limits that meet at one point. A hopeless one has no material on one side of
// the ratio, or nothing but wet ones, and yet an amount that must be used.
func blending(r *rand.Rand, materials int, degenerate, hopeless bool) *solver.Problem {
	var m solver.Model
	ratio, moisture := 25+10*r.Float64(), 0.5+0.1*r.Float64()
	var balance, wet, volume []solver.Term
	total := 0.0
	poorOnly, wetOnly := hopeless && r.IntN(2) == 0, false
	if hopeless && !poorOnly {
		wetOnly = true
	}
	var carbon, nitrogen, water, density, stock float64
	for j := range materials {
		twin := degenerate && j > 0 && r.IntN(3) == 0
		if !twin {
			carbon = 0.3 + 0.25*r.Float64()
			share := 5 + 15*r.Float64()
			if j%2 == 1 && !poorOnly {
				share = 40 + 400*r.Float64()
			}
			nitrogen = carbon / share
			water = 0.05 + 0.85*r.Float64()
			if wetOnly {
				water = moisture + 0.02 + (0.97-moisture)*r.Float64()
			}
			density = 50 + 800*r.Float64()
			stock = 10 + 1000*r.Float64()
		}
		if degenerate && r.IntN(4) == 0 {
			stock = 100 * float64(r.IntN(4)) // zero now and then
		}
		least := 0.0
		if hopeless && j < 2 {
			stock = max(stock, 20)
			least = 10
		}
		m.Column(-1/density, least, stock)
		balance = append(balance, term(j, (1-water)*(carbon-ratio*nitrogen)))
		wet = append(wet, term(j, water-moisture))
		volume = append(volume, term(j, 1/density))
		total += stock / density
	}
	w := m.Column(0, 0, inf)
	wet = append(wet, term(w, 1-moisture))
	m.Row(0, 0, balance...)
	m.Row(0, 0, wet...)
	most := total * (0.2 + 0.8*r.Float64())
	if degenerate && r.IntN(2) == 0 {
		most = total
	}
	if hopeless {
		most = inf
	}
	m.Row(-inf, most, volume...)
	if degenerate {
		m.Row(-inf, most, volume...)
		m.Row(-inf, 0, balance...)
	}
	return m.Problem()
}
