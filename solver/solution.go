package solver

import "time"

// Status says why a solve stopped.
type Status uint8

const (
	Optimal    Status = iota + 1 // an optimal primal and dual pair within tolerance
	Infeasible                   // no point obeys the constraints; the duals are a Farkas vector
	Unbounded                    // the cost falls without end; X is a ray
	LimitHit                     // iterations or time ran out, or the context was cancelled
	Stalled                      // rounding stopped progress short of the tolerance
)

func (s Status) String() string {
	switch s {
	case Optimal:
		return "optimal"
	case Infeasible:
		return "infeasible"
	case Unbounded:
		return "unbounded"
	case LimitHit:
		return "limit hit"
	case Stalled:
		return "stalled"
	}
	return "unsolved"
}

// Vector says what a vector of a Solution is.
type Vector uint8

const (
	NoVector      Vector = iota // not computed; do not use
	Answer                      // feasible and, with Status Optimal, optimal within tolerance
	NearestSoFar                // the best iterate when the solve stopped early
	InfeasibleRay               // a certificate: a Farkas vector (dual) or a ray (primal)
)

// Settings steer a solve. The zero value works.
type Settings struct {
	// Tolerance is the largest relative residual and gap of an optimal
	// answer, unitless, from 1e-12 to 1e-3; 0 means 1e-9.
	Tolerance float64
	// Iterations bounds the interior-point steps; 0 means 200.
	Iterations int
	// Time bounds the solve; 0 means no bound.
	Time time.Duration
}

const (
	defaultTolerance  = 1e-9
	defaultIterations = 200
)

func (s Settings) filled() (Settings, error) {
	switch {
	case s.Tolerance == 0:
		s.Tolerance = defaultTolerance
	case !(s.Tolerance >= 1e-12 && s.Tolerance <= 1e-3):
		return s, &ProblemError{"Settings.Tolerance", -1, "is outside 1e-12 to 1e-3"}
	}
	switch {
	case s.Iterations == 0:
		s.Iterations = defaultIterations
	case s.Iterations < 0:
		return s, &ProblemError{"Settings.Iterations", -1, "is negative"}
	}
	if s.Time < 0 {
		return s, &ProblemError{"Settings.Time", -1, "is negative"}
	}
	return s, nil
}

// Solution is what a solve found.
type Solution struct {
	Status       Status
	Primal, Dual Vector // what X and the duals are

	X           []float64 // length n
	RowActivity []float64 // Ax, length m
	RowDual     []float64 // y, length m
	ColumnDual  []float64 // z = Qx + c - A'y, or -A'y in a Farkas vector; length n

	Objective     float64 // at X; NaN unless Primal is a point
	DualObjective float64 // the bound that the duals prove; NaN unless Dual is a point
	Residuals     Residuals
	Iterations    int
}

// Residuals measure how far a primal and dual pair is from the optimality
// conditions; each is relative and unitless, and zero is exact.
type Residuals struct {
	Primal float64 // largest violation of a bound, over 1 + the size of the bound
	Dual   float64 // largest dual of the wrong sign or without a bound to stand on, over 1 + the largest cost
	Gap    float64 // |objective - dual objective|, over 1 + |objective|
}

// Worst is the largest of the three.
func (r Residuals) Worst() float64 { return max(r.Primal, r.Dual, r.Gap) }
