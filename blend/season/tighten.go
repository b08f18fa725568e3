package season

import "heapwright/solver"

// A mix may not draw on a stock in a week in which no batch is begun. The
// program says so through the volume of the batches alone; with parts of
// batches allowed that is weak, and the rows here are not. Only those that a
// point breaks are added: there are some thousands in a season.

// tighten returns the rows, true of every plan of whole batches, that x breaks:
//
//	used_t <= usable_t begun_t
//	used_t <= left_t-1 + came_t begun_t
func (p *program) tighten(x []float64) []solver.Inequality {
	s := p.season
	first := s.from() - 1
	var rows []solver.Inequality
	for c := range p.classes {
		for k, st := range p.stocks {
			for t := first; t < s.Weeks; t++ {
				use := p.use[c][k][t]
				if use < 0 {
					continue
				}
				begun, some := 0.0, []solver.Term{}
				for h := range p.begun[c] {
					if y := p.begun[c][h][t]; y >= 0 {
						begun += x[y]
						some = append(some, solver.Term{Column: y})
					}
				}
				most := p.model.Upper(use)
				came := most
				left, rest := -1, 0.0
				if t > first && p.left[k][t-1] >= 0 && len(st.offers) == 0 {
					left = p.left[k][t-1]
					rest = x[left]
					came = min(most, st.arrives[t])
				}
				cut := func(most, rest float64, left int) {
					if x[use] <= rest+most*min(begun, 1)+enoughBroken*p.model.Upper(use) {
						return
					}
					terms := []solver.Term{{Column: use, Coefficient: 1}}
					for _, y := range some {
						terms = append(terms, solver.Term{Column: y.Column, Coefficient: -most})
					}
					if left >= 0 {
						terms = append(terms, solver.Term{Column: left, Coefficient: -1})
					}
					rows = append(rows, solver.Inequality{Terms: terms})
				}
				cut(most, 0, -1)
				if left >= 0 {
					cut(came, rest, left)
				}
			}
		}
	}
	return rows
}

// enoughBroken is the share of the most that can be used by which a row must
// be broken to be added.
const enoughBroken = 0.02
