package solver

import (
	"fmt"
	"math"
	"time"
)

// Status says why a solve stopped.
type Status uint8

const (
	Optimal    Status = iota + 1 // an optimal primal and dual pair within tolerance
	Infeasible                   // no point obeys the constraints; the duals are a Farkas vector
	Unbounded                    // the cost falls without end; X is a ray
	LimitHit                     // iterations, nodes or time ran out, or the context was cancelled
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
	// Tolerance is the largest relative residual and gap that an optimal
	// answer aims at, unitless, from 1e-12 to 1e-3; 0 means 1e-9. Where
	// rounding permits no better, ten times that is accepted.
	Tolerance float64
	// Iterations bounds the interior-point steps or simplex pivots, those of
	// an integer search taken together; 0 means as many as it takes.
	Iterations int
	// Time bounds the solve; 0 means no bound.
	Time time.Duration

	// Gap and AbsoluteGap end an integer search when no point can cost less
	// than the best one by more than that share of its cost, or that amount;
	// 0 means 1e-9 for both.
	Gap, AbsoluteGap float64
	// Nodes bounds an integer search; 0 means no bound.
	Nodes int
	// Start is a point from which an integer search begins, length n; nil for
	// none. Only its integer columns count: the others are found anew.
	Start []float64
	// Tighten, when set, is asked at the root of an integer search with linear
	// costs for rows that every point with whole integer columns obeys and x,
	// length n, breaks. A row that such a point breaks makes the answer wrong: it
	// is the caller's word. One whose columns are none of the problem's panics.
	Tighten func(x []float64) []Inequality
	// Progress, when set, is called from within an integer search: at every
	// better point, and now and then, ten times a second at the most.
	Progress func(Progress)
}

// Inequality is the row sum of the terms <= Most.
type Inequality struct {
	Terms []Term
	Most  float64
}

// Progress is the state of an integer search.
type Progress struct {
	Nodes   int
	Cost    float64 // of the best point so far; +Inf for none
	Bound   float64 // no point costs less
	Elapsed time.Duration
}

const (
	defaultTolerance = 1e-9
	defaultGap       = 1e-9
)

func (s Settings) filled() (Settings, error) {
	switch {
	case s.Tolerance == 0:
		s.Tolerance = defaultTolerance
	case !(s.Tolerance >= 1e-12 && s.Tolerance <= 1e-3):
		return s, &ProblemError{"Settings.Tolerance", -1, "is outside 1e-12 to 1e-3"}
	}
	if s.Iterations < 0 {
		return s, &ProblemError{"Settings.Iterations", -1, "is negative"}
	}
	if s.Time < 0 {
		return s, &ProblemError{"Settings.Time", -1, "is negative"}
	}
	if s.Nodes < 0 {
		return s, &ProblemError{"Settings.Nodes", -1, "is negative"}
	}
	for _, gap := range []struct {
		name  string
		value *float64
	}{{"Gap", &s.Gap}, {"AbsoluteGap", &s.AbsoluteGap}} {
		if !(*gap.value >= 0) || math.IsInf(*gap.value, 1) {
			return s, &ProblemError{"Settings." + gap.name, -1, "is not a number from 0"}
		}
		if *gap.value == 0 {
			*gap.value = defaultGap
		}
	}
	return s, nil
}

// startFault says what is wrong with Start for p.
func (s Settings) startFault(p *Problem) error {
	if len(s.Start) != 0 && len(s.Start) != len(p.Cost) {
		return &ProblemError{"Settings.Start", -1, fmt.Sprintf("has %d numbers, and the problem %d columns", len(s.Start), len(p.Cost))}
	}
	for j, v := range s.Start {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return &ProblemError{"Settings.Start", j, "is not a finite number"}
		}
	}
	return nil
}

// Solution is what a solve found. Of a problem with integer columns, the duals
// are those of the problem in which these are held at X: the rates for small
// changes that leave the whole numbers alone. Its residuals are measured there
// too. When it ends with LimitHit, Primal tells whether X is a point (Answer)
// or none was found (NoVector), and Dual whether the limit left room for the
// duals; what is not computed has NaN for its objective and residuals.
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
	Iterations    int // interior-point steps or simplex pivots

	// Bound is the least that any point can cost, as far as the solve has
	// proved, and Gap the distance to it, (Objective - Bound) / (1 +
	// |Objective|); NaN without an objective. Optimal means that the gap is
	// closed. Nodes counts the relaxations of an integer search.
	Bound, Gap float64
	Nodes      int
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
