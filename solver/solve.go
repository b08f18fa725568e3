package solver

import (
	"context"
	"math"
	"slices"
	"time"
)

// Solve minimises p. The error is a *[ProblemError] when p or the settings
// cannot be understood; every other outcome is a Solution with its Status.
// A cancelled context ends the solve with the best iterate and LimitHit.
func Solve(ctx context.Context, p *Problem, settings Settings) (*Solution, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	set, err := settings.filled()
	if err != nil {
		return nil, err
	}
	if err := set.startFault(p); err != nil {
		return nil, err
	}
	if p.crossedBounds() > 0 {
		return finish(p, &Solution{
			Status: Infeasible, X: make([]float64, len(p.Cost)), RowDual: make([]float64, p.Rows.RowCount),
		}), nil
	}
	e := newEffort(ctx, set)
	if slices.Contains(p.Integer, true) {
		return finishWhole(p, searchIntegers(p, e, set)), nil
	}
	s := solveBy(presolve(p), e)
	if s.Status == Stalled {
		if plain := solveBy(unpresolved(p), e); plain.Status != Stalled || plain.Residuals.Worst() < s.Residuals.Worst() {
			s = plain
		}
	}
	return s, nil
}

// solveBy solves a problem by its core.
func solveBy(q *presolved, e effort) *Solution {
	p := q.whole
	s := finish(p, q.restore(relax(q.core.problem, e)))
	switch {
	case s.Status == Unbounded && p.curved():
		if ray := exactRay(p, e); ray != nil { // cleaner than the interior point's
			s.X = ray
			s.RowActivity = p.Activity(ray)
		}
	case s.Status == Optimal && (!(max(s.Residuals.Primal, s.Residuals.Dual) <= untrue*e.tolerance) || math.IsNaN(s.Residuals.Gap)):
		// Numbers beyond all proportion, which the core's units hid.
		s.Status, s.Primal, s.Dual = Stalled, NearestSoFar, NearestSoFar
	}
	return s
}

// untrue is the multiple of the tolerance at which an answer to the core of a
// problem is none to the whole.
const untrue = 100

// effort is what a solve may spend, and how exact it has to be.
type effort struct {
	ctx       context.Context
	deadline  time.Time // zero for none
	steps     int       // of either engine; 0 for its own default
	tolerance float64
}

func newEffort(ctx context.Context, set Settings) effort {
	e := effort{ctx: ctx, steps: set.Iterations, tolerance: set.Tolerance}
	if set.Time > 0 {
		e.deadline = time.Now().Add(set.Time)
	}
	return e
}

// over tells that the time is up or the context cancelled.
func (e *effort) over() bool {
	return e.ctx.Err() != nil || !e.deadline.IsZero() && time.Now().After(e.deadline)
}

// pivotable is the number of rows and columns up to which the simplex methods
// go first whatever the problem: blending problems are two to five times
// faster there. Above it the two are weighed by what they are likely to cost
// in nanoseconds: an interior point some 25 steps, each a factorisation, at a
// fifth of a nanosecond for each product, and a dozen solves with their
// residuals, at 30 for each entry of the factor; the simplex methods some 3
// pivots a row, each about 5 nanoseconds for every row and column (measured on
// the programs of the tests, within a factor of four either way).
const (
	pivotable       = 1500
	likelySteps     = 25
	productsPerNano = 5
	entryCost       = 30
	pivotsPerRow    = 3
	pivotCost       = 5
)

// favoursPivots tells that the simplex methods are likely to be the faster.
func favoursPivots(in *interior) bool {
	step := in.f.products()/productsPerNano + entryCost*in.f.entries()
	return likelySteps*step > pivotsPerRow*in.m*pivotCost*(in.n+in.m)
}

// relax solves a problem without integer columns, one engine standing in
// where rounding stops the other.
func relax(p *Problem, e effort) *Solution {
	if p.curved() {
		s := interiorPoint(p, e)
		if s.Status == Unbounded || s.Status == Stalled {
			return decide(p, e, s)
		}
		return s
	}
	var in *interiorMethod
	pivot := len(p.Cost)+p.Rows.RowCount <= pivotable
	if !pivot {
		in = newInteriorMethod(p)
		pivot = favoursPivots(in.interior)
	}
	if pivot {
		s := simplexMethod(p, e)
		if s.Status == Stalled {
			return better(s, interiorPoint(p, e))
		}
		return s
	}
	s := in.run(e)
	if s.Status == Unbounded || s.Status == Stalled {
		return better(s, simplexMethod(p, e))
	}
	return s
}

// better is the answer of the second engine, unless it has none and the first
// came nearer.
func better(first, second *Solution) *Solution {
	if second.Status == Stalled && (first.Status != Stalled || first.Residuals.Worst() < second.Residuals.Worst()) {
		return first
	}
	return second
}

// decide settles by two linear programs what a quadratic one without an
// answer is: whether any point obeys the constraints, and whether the cost
// falls for ever along a direction that meets no bound and no curvature.
func decide(p *Problem, e effort, s *Solution) *Solution {
	point := *p
	point.Cost, point.Quadratic = make([]float64, len(p.Cost)), nil
	if f := simplexMethod(&point, e); f.Status == Infeasible {
		return f
	}
	if s.Status == Unbounded {
		return s
	}
	if ray := exactRay(p, e); ray != nil {
		return &Solution{Status: Unbounded, X: ray, RowDual: make([]float64, p.Rows.RowCount), Iterations: s.Iterations}
	}
	return s
}

// exactRay is a direction without end for p, a vertex among them; nil if there
// is none.
func exactRay(p *Problem, e effort) []float64 {
	ray := simplexMethod(p.recession(), e)
	if ray.Status != Optimal || !(ray.Objective < 0) {
		return nil
	}
	if fall, fault := p.RayFault(ray.X); fall > 0 && fault <= certificateFault*fall {
		return ray.X
	}
	return nil
}

// recession is the linear program over the directions, of entries up to 1,
// that meet no bound of p and no curvature of its cost.
func (p *Problem) recession() *Problem {
	n, m := len(p.Cost), p.Rows.RowCount
	q := &Problem{Cost: p.Cost}
	cone := func(lower, upper float64, most float64) (float64, float64) {
		low, high := 0.0, 0.0
		if math.IsInf(lower, -1) {
			low = -most
		}
		if math.IsInf(upper, 1) {
			high = most
		}
		return low, high
	}
	for j := range n {
		low, high := cone(p.Lower[j], p.Upper[j], 1)
		q.Lower, q.Upper = append(q.Lower, low), append(q.Upper, high)
	}
	var entries []Entry
	for j := range n {
		index, value := p.Rows.Column(j)
		for k, i := range index {
			entries = append(entries, Entry{i, j, value[k]})
		}
		index, value = p.Quadratic.Column(j)
		for k, i := range index {
			entries = append(entries, Entry{m + i, j, value[k]})
			if i != j {
				entries = append(entries, Entry{m + j, i, value[k]})
			}
		}
	}
	q.Rows = NewMatrix(m+n, n, entries)
	for i := range m {
		low, high := cone(p.RowLower[i], p.RowUpper[i], math.Inf(1))
		q.RowLower, q.RowUpper = append(q.RowLower, low), append(q.RowUpper, high)
	}
	q.RowLower = append(q.RowLower, make([]float64, n)...)
	q.RowUpper = append(q.RowUpper, make([]float64, n)...)
	return q
}

// finish fills in what follows from the vectors of s.
func finish(p *Problem, s *Solution) *Solution {
	s.RowActivity = p.Activity(s.X)
	switch s.Status {
	case Infeasible:
		s.Primal, s.Dual = NoVector, InfeasibleRay
		s.ColumnDual = make([]float64, len(p.Cost))
		p.Rows.addMulT(s.ColumnDual, -1, s.RowDual)
		s.Objective, s.DualObjective, s.Bound, s.Gap = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		return s
	case Unbounded:
		s.Primal, s.Dual = InfeasibleRay, NoVector
		s.Objective, s.DualObjective, s.Bound, s.Gap = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		s.ColumnDual = make([]float64, len(p.Cost))
		return s
	case Optimal:
		s.Primal, s.Dual = Answer, Answer
	default:
		s.Primal, s.Dual = NearestSoFar, NearestSoFar
	}
	s.ColumnDual = p.ColumnDual(s.X, s.RowDual)
	s.Residuals, s.Objective, s.DualObjective = p.Check(s.X, s.RowDual)
	s.Bound, s.Gap = s.DualObjective, s.Residuals.Gap
	return s
}

// finishWhole does so for the answer of an integer search, whose Primal and
// Dual say what its vectors are.
func finishWhole(p *Problem, s *Solution) *Solution {
	if s.Primal == InfeasibleRay || s.Dual == InfeasibleRay {
		return finish(p, s)
	}
	status, primal, dual, bound := s.Status, s.Primal, s.Dual, s.Bound
	held := *p
	if primal == Answer {
		held.Lower, held.Upper = slices.Clone(p.Lower), slices.Clone(p.Upper)
		for j, is := range p.Integer {
			if is {
				held.Lower[j], held.Upper[j] = s.X[j], s.X[j]
			}
		}
	}
	s = finish(&held, s)
	s.Status, s.Primal, s.Dual, s.Bound = status, primal, dual, bound
	if dual == NoVector {
		s.DualObjective = math.NaN()
		s.Residuals.Dual, s.Residuals.Gap = math.NaN(), math.NaN()
	}
	if primal == NoVector {
		s.Objective, s.Gap, s.Residuals.Primal = math.NaN(), math.NaN(), math.NaN()
		return s
	}
	s.Bound = min(bound, s.Objective)
	s.Gap = (s.Objective - s.Bound) / (1 + math.Abs(s.Objective))
	return s
}
