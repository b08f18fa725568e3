package season

import "heapwright/solver"

// FirstProgram is the program of the season's first aim, before any rows are
// added to it.
func FirstProgram(s *Season) *solver.Problem {
	p := s.newProgram()
	for _, t := range p.objectives()[0].terms {
		p.model.SetCost(t.Column, t.Coefficient)
	}
	return p.model.Problem()
}

// Watch has every aim's program, with what was found for it, handed to see.
func (set Settings) Watch(see func(aim Aim, constant float64, p *solver.Problem)) Settings {
	set.see = see
	return set
}
