package season

import (
	"math"
	"time"

	"heapwright/solver"
)

const (
	// tidyTime bounds the gathering of orders; of a limit on time, one part in
	// tidyShare is kept for it.
	tidyTime  = time.Second
	tidyShare = 40
	// earliness is what an order in the first week counts more than one after
	// the last, as a share of an order, and is sought to its half.
	earliness = 1e-3
)

// tidy gathers what is bought into few orders, each as late as will do: the aims
// leave it open when what keeps is bought, and a little of it every week is no
// plan. The batches stay, and every aim keeps what it came to.
func (f *search) tidy() error {
	p, s := f.program, f.program.season
	m := &p.model
	orders := 0
	var some []solver.Term // whether an offer is taken up in a week
	for o := range s.Offers {
		total := 0.0
		for _, b := range p.buy[o] {
			if b >= 0 {
				total += f.x[b]
			}
		}
		most := min(total*(1+f.gap), s.Offers[o].WeeklyKg)
		for t, b := range p.buy[o] {
			if b < 0 {
				continue
			}
			if f.x[b] > 0 {
				orders++
			}
			early := earliness * float64(s.Weeks-t) / float64(s.Weeks)
			y := m.Column(0, 0, 1)
			m.Integer(y)
			m.Row(-solver.Inf(), 0, solver.Term{Column: b, Coefficient: 1}, solver.Term{Column: y, Coefficient: -most})
			some = append(some, solver.Term{Column: y, Coefficient: 1 + early})
		}
	}
	if orders < 2 {
		return nil
	}
	for j := range m.Columns() {
		m.SetCost(j, 0)
	}
	start := make([]float64, m.Columns())
	copy(start, f.x)
	for _, y := range some {
		m.SetCost(y.Column, y.Coefficient)
		start[y.Column] = 1
	}
	held := m.Problem()
	for _, y := range p.integers {
		v := math.Round(f.x[y])
		held.Lower[y], held.Upper[y] = v, v
	}
	rest := time.Until(f.ends) + f.ends.Sub(f.started)/(tidyShare-1)
	answer, err := f.solve(held, solver.Settings{Start: start, AbsoluteGap: earliness / 2, Time: min(tidyTime, left(time.Now().Add(rest)))})
	if err == nil && answer.Primal == solver.Answer && len(answer.X) > 0 {
		f.x = answer.X
	}
	return err
}
