package solver_test

import (
	"math/rand/v2"

	"heapwright/solver"
)

// seasonPlan invents the plan of a market garden as a linear program: every
// week materials arrive, keep for some weeks, may be bought in, and go into a
// batch whose C:N and moisture must lie between limits; a batch fills the bays
// for eight weeks; beds ask for compost by a date, and what comes late costs.
// With 52 weeks and 24 materials it has about 3,900 columns, 1,600 rows and
// 14,000 entries. Masses in kg, volumes in m3.
func seasonPlan(r *rand.Rand, weeks, materials int) *solver.Problem {
	const (
		inBay      = 8
		low, high  = 25.0, 35.0 // C:N
		dry, moist = 0.5, 0.6   // moisture
	)
	type material struct {
		carbon, nitrogen, moisture, density float64
		keeps                               int
		arrivals                            []float64
		price                               float64
	}
	kinds := make([]material, materials)
	for k := range kinds {
		share := 8 + 15*r.Float64()
		if k%2 == 1 {
			share = 40 + 200*r.Float64()
		}
		carbon := 0.35 + 0.15*r.Float64()
		kinds[k] = material{
			carbon: carbon, nitrogen: carbon / share, moisture: 0.1 + 0.75*r.Float64(),
			density: 80 + 600*r.Float64(), keeps: 1 + r.IntN(12), arrivals: make([]float64, weeks),
			price: 0.02 + 0.2*r.Float64(),
		}
		for t := range weeks {
			if r.IntN(3) == 0 {
				kinds[k].arrivals[t] = 20 + 400*r.Float64()
			}
		}
	}
	var m solver.Model
	use, stock := make([][]int, weeks), make([][]int, weeks)
	volume, water := make([]int, weeks), make([]int, weeks)
	for t := range weeks {
		use[t], stock[t] = make([]int, materials), make([]int, materials)
		volume[t] = m.Column(-1, 0, inf)
		water[t] = m.Column(0.001, 0, 3000)
		var rich, poor, wet, drier, fill []solver.Term
		for k, q := range kinds {
			use[t][k] = m.Column(0, 0, inf)
			bought := 0.0
			if r.IntN(4) == 0 {
				bought = 500
			}
			buy := m.Column(q.price, 0, bought)
			fresh := 0.0 // what arrived so lately that it still keeps
			for a := max(0, t-q.keeps+1); a <= t; a++ {
				fresh += q.arrivals[a]
			}
			stock[t][k] = m.Column(0, 0, fresh)
			waste := m.Column(0.01, 0, inf)
			balance := []solver.Term{term(stock[t][k], 1), term(use[t][k], 1), term(waste, 1), term(buy, -1)}
			if t > 0 {
				balance = append(balance, term(stock[t-1][k], -1))
			}
			m.Row(q.arrivals[t], q.arrivals[t], balance...)
			solid := 1 - q.moisture
			rich = append(rich, term(use[t][k], solid*(q.carbon-low*q.nitrogen)))
			poor = append(poor, term(use[t][k], solid*(q.carbon-high*q.nitrogen)))
			wet = append(wet, term(use[t][k], q.moisture-moist))
			drier = append(drier, term(use[t][k], q.moisture-dry))
			fill = append(fill, term(use[t][k], 0.8/q.density))
		}
		m.Row(0, inf, rich...)
		m.Row(-inf, 0, poor...)
		m.Row(-inf, 0, append(wet, term(water[t], 1-moist))...)
		m.Row(0, inf, append(drier, term(water[t], 1-dry))...)
		m.Row(0, 0, append(fill, term(volume[t], -1))...)
		var bays []solver.Term
		for a := max(0, t-inBay+1); a <= t; a++ {
			bays = append(bays, term(volume[a], 1))
		}
		m.Row(-inf, 12, bays...)
	}
	// Half of what was heaped ten weeks before is compost; beds take it, the
	// rest waits, and what is not there in time is late.
	for t := range weeks {
		waiting := m.Column(0, 0, inf)
		terms := []solver.Term{term(waiting, 1)}
		if t > 0 {
			terms = append(terms, term(waiting-2, -1))
		}
		if t >= 10 {
			terms = append(terms, term(volume[t-10], -0.5))
		}
		late := m.Column(40, 0, inf)
		wanted := 0.0
		if t >= 12 && r.IntN(3) == 0 {
			wanted = 1 + 2*r.Float64()
		}
		m.Row(-wanted, -wanted, append(terms, term(late, -1))...)
	}
	return m.Problem()
}
