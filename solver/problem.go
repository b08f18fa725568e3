package solver

import (
	"fmt"
	"math"
)

// Problem is a linear or convex quadratic program; see the package comment
// for the mathematics. Its slices are read, never changed. That Q is positive
// semidefinite is the caller's word: only a negative diagonal is refused, and
// the answer to another concave cost may be wrong.
type Problem struct {
	Cost               []float64 // c, length n
	Quadratic          *Matrix   // upper triangle of Q, n x n; nil for a linear program
	Rows               *Matrix   // A, m x n
	RowLower, RowUpper []float64 // L, U, length m; may be infinite
	Lower, Upper       []float64 // l, u, length n; may be infinite
	Integer            []bool    // the columns that must be whole, length n; nil for none

	apart float64 // the cost of what reduce took out; Objective does not hold it
}

// ProblemError says which part of a problem cannot be understood.
type ProblemError struct {
	Part   string // the field, such as "RowLower"
	Index  int    // the entry in it; -1 for the whole field
	Reason string
}

func (e *ProblemError) Error() string {
	if e.Index < 0 {
		return fmt.Sprintf("solver: %s %s", e.Part, e.Reason)
	}
	return fmt.Sprintf("solver: %s[%d] %s", e.Part, e.Index, e.Reason)
}

// Validate checks layouts, lengths and numbers, and of the convexity of the
// cost only the diagonal. Lower bounds above upper ones are not an error: such
// a problem is infeasible, and Solve proves it.
func (p *Problem) Validate() error {
	n := len(p.Cost)
	if p.Rows == nil {
		return &ProblemError{"Rows", -1, "is nil; an empty matrix has zero rows"}
	}
	if fault := p.Rows.fault(); fault != "" {
		return &ProblemError{"Rows", -1, fault}
	}
	if p.Quadratic != nil {
		if fault := p.Quadratic.fault(); fault != "" {
			return &ProblemError{"Quadratic", -1, fault}
		}
	}
	m := p.Rows.RowCount
	switch {
	case p.Rows.ColumnCount != n:
		return &ProblemError{"Rows", -1, fmt.Sprintf("has %d columns for %d costs", p.Rows.ColumnCount, n)}
	case p.Quadratic != nil && (p.Quadratic.RowCount != n || p.Quadratic.ColumnCount != n):
		return &ProblemError{"Quadratic", -1, fmt.Sprintf("is %d x %d for %d columns", p.Quadratic.RowCount, p.Quadratic.ColumnCount, n)}
	}
	for _, f := range []struct {
		name   string
		values []float64
		length int
		infOK  int // the sign of infinity that is allowed
	}{
		{"Cost", p.Cost, n, 0},
		{"Lower", p.Lower, n, -1}, {"Upper", p.Upper, n, 1},
		{"RowLower", p.RowLower, m, -1}, {"RowUpper", p.RowUpper, m, 1},
	} {
		if len(f.values) != f.length {
			return &ProblemError{f.name, -1, fmt.Sprintf("has length %d, not %d", len(f.values), f.length)}
		}
		for i, v := range f.values {
			if math.IsNaN(v) {
				return &ProblemError{f.name, i, "is not a number"}
			}
			if math.IsInf(v, 0) && (f.infOK == 0 || !math.IsInf(v, f.infOK)) {
				return &ProblemError{f.name, i, fmt.Sprintf("is %v", v)}
			}
		}
	}
	if p.Integer != nil && len(p.Integer) != n {
		return &ProblemError{"Integer", -1, fmt.Sprintf("has length %d, not %d", len(p.Integer), n)}
	}
	if e, ok := p.Rows.finite(); !ok {
		return &ProblemError{"Rows", e.Column, fmt.Sprintf("has %v in row %d", e.Value, e.Row)}
	}
	if p.Quadratic != nil {
		if e, ok := p.Quadratic.finite(); !ok {
			return &ProblemError{"Quadratic", e.Column, fmt.Sprintf("has %v in row %d", e.Value, e.Row)}
		}
		for j := range n {
			index, value := p.Quadratic.Column(j)
			for k, i := range index {
				if i > j {
					return &ProblemError{"Quadratic", j, fmt.Sprintf("has an entry in row %d, below the diagonal", i)}
				}
				if i == j && value[k] < 0 {
					return &ProblemError{"Quadratic", j, "has a negative diagonal, so the cost is not convex"}
				}
			}
		}
	}
	return nil
}

// Objective is 1/2 x'Qx + c'x.
func (p *Problem) Objective(x []float64) float64 {
	sum := 0.0
	for j, c := range p.Cost {
		sum += c * x[j]
	}
	return sum + p.curvature(x)/2
}

// curved tells that the cost is not linear.
func (p *Problem) curved() bool { return p.Quadratic != nil && p.Quadratic.Entries() > 0 }

// curvature is x'Qx.
func (p *Problem) curvature(x []float64) float64 {
	if p.Quadratic == nil {
		return 0
	}
	qx := make([]float64, len(x))
	p.Quadratic.addMulSym(qx, 1, x)
	sum := 0.0
	for j := range x {
		sum += qx[j] * x[j]
	}
	return sum
}

// Activity is Ax.
func (p *Problem) Activity(x []float64) []float64 {
	r := make([]float64, p.Rows.RowCount)
	p.Rows.addMul(r, 1, x)
	return r
}
