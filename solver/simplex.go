package solver

import "math"

// simplex is a linear program in the form of the bounded simplex methods:
//
//	minimise c'x   subject to   A x_1..n - x_n+1..n+m = 0,   l <= x <= u
//
// with a logical variable n+i for each row i, whose bounds are the row's and
// whose reduced cost is the row's dual. m of the variables are basic; the
// others sit at a bound, or at zero when they have none.
type simplex struct {
	n, m   int
	a      *Matrix
	across sparseList // A by rows

	cost         []float64 // of the problem, length n+m
	lower, upper []float64
	working      []float64 // the costs in use: cost, perturbed or shifted at need
	moved        bool      // working differs from cost

	x, d  []float64 // values and reduced costs, length n+m
	basic []int     // the variable of each place, length m
	where []int     // of a variable: its place, or -1
	norm  []float64 // of a variable while basic: its dual steepest edge weight
	lu    *basisFactor

	factored bool // lu belongs to basic
	derived  bool // values and reduced costs come from no pivot since

	rho, column, extra []float64 // by place, length m
	row                []float64 // of the tableau, by variable; zero but at touched
	touched            []int
	ratio              []candidate
	side               float64 // of the row in rho that cannot be met: +1 beyond its upper bound, -1 its lower
	random             uint64

	feasible float64 // tolerance of values, relative to 1 + the bound
	dualFeas float64 // tolerance of reduced costs

	pivots, turns, limit int
	effort               effort
}

// verdict says how a run of a simplex method ended.
type verdict uint8

const (
	atOptimum verdict = iota + 1
	noPoint           // the row in rho cannot be met
	noEnd             // the ray in x is without end
	outOfTime
	inTrouble // rounding stopped it
)

// Tolerances of the simplex methods, for matrix entries near 1.
const (
	usual       = 1e-9  // violation of a bound, relative to 1 + the bound, or of a reduced cost
	tight       = 1e-12 // the same when the units of the problem turn out to ask for more
	harris      = 1e-7  // by which a reduced cost may overstep to win a better pivot
	pivotSmall  = 1e-9  // a tableau entry not to pivot on
	pivotAgrees = 1e-6  // relative difference allowed between two computations of a pivot
)

// newSimplex takes over a problem, with the basis of its logicals.
func newSimplex(p *Problem, e effort) *simplex {
	n, m := len(p.Cost), p.Rows.RowCount
	vector := func() []float64 { return make([]float64, n+m) }
	s := &simplex{
		n: n, m: m, a: p.Rows, effort: e, limit: pivotsEnough(n, m), random: 1,
		feasible: usual, dualFeas: usual,
		cost: vector(), lower: vector(), upper: vector(), working: vector(),
		x: vector(), d: vector(), norm: vector(), row: vector(),
		basic: make([]int, m), where: make([]int, n+m), lu: newBasisFactor(m),
		rho: make([]float64, m), column: make([]float64, m), extra: make([]float64, m),
	}
	copy(s.cost, p.Cost)
	copy(s.working, p.Cost)
	copy(s.lower, p.Lower)
	copy(s.upper, p.Upper)
	copy(s.lower[n:], p.RowLower)
	copy(s.upper[n:], p.RowUpper)
	s.across = byRows(p.Rows)
	s.logicalBasis()
	return s
}

// pivotsEnough is a number of pivots that only a method going round in circles
// would exceed.
func pivotsEnough(n, m int) int { return 10000 + 50*(n+m) }

// byRows lists a matrix by rows.
func byRows(a *Matrix) sparseList {
	l := sparseList{start: make([]int, a.RowCount+1), index: make([]int, a.Entries()), value: make([]float64, a.Entries())}
	for _, i := range a.Index {
		l.start[i+1]++
	}
	for i := range a.RowCount {
		l.start[i+1] += l.start[i]
	}
	next := append([]int{}, l.start[:a.RowCount]...)
	for j := range a.ColumnCount {
		index, value := a.Column(j)
		for k, i := range index {
			l.index[next[i]], l.value[next[i]] = j, value[k]
			next[i]++
		}
	}
	return l
}

// logicalBasis makes the logicals basic and puts the columns where their cost
// wants them, or at the bound nearest to zero.
func (s *simplex) logicalBasis() {
	for j := range s.n {
		s.where[j], s.d[j] = -1, s.cost[j]
		s.settle(j)
	}
	for i := range s.m {
		s.basic[i], s.where[s.n+i], s.norm[s.n+i] = s.n+i, i, 1
	}
}

// entriesOf are the rows and values of the column of a variable.
func (s *simplex) entriesOf(v int) ([]int, []float64) {
	if v < s.n {
		return s.a.Column(v)
	}
	return []int{v - s.n}, []float64{-1}
}

// refactor factorises the basis anew and derives values and reduced costs.
func (s *simplex) refactor() {
	replaced := s.lu.factorise(s.basic, s.entriesOf, func(i int) int { return s.n + i })
	for _, v := range replaced {
		s.where[v] = -1
	}
	for i, v := range s.basic {
		if s.where[v] < 0 {
			s.norm[v] = 1
		}
		s.where[v] = i
	}
	for _, v := range replaced {
		if s.where[v] < 0 {
			s.settle(v)
		}
	}
	s.factored = true
	s.price()
	s.place()
	s.derived = true
}

// update derives values and reduced costs from the factors there are, or from
// new ones when these are stale.
func (s *simplex) update() {
	if !s.factored || s.lu.stale() {
		s.refactor()
		return
	}
	s.price()
	s.place()
	s.derived = true
}

// settle puts a nonbasic variable where its reduced cost wants it.
func (s *simplex) settle(v int) {
	low, high := s.lower[v], s.upper[v]
	switch {
	case s.d[v] < -s.dualFeas && !math.IsInf(high, 1):
		s.x[v] = high
	case s.d[v] > s.dualFeas && !math.IsInf(low, -1):
		s.x[v] = low
	case s.x[v] == low || s.x[v] == high:
	case math.IsInf(low, -1) && math.IsInf(high, 1):
		s.x[v] = 0
	case math.Abs(low) <= math.Abs(high):
		s.x[v] = low
	default:
		s.x[v] = high
	}
}

// price computes the reduced costs from the working costs; rho is left
// holding the row duals.
func (s *simplex) price() {
	y := s.rho
	for i, v := range s.basic {
		y[i] = s.working[v]
	}
	s.lu.backward(y)
	worst := 0.0
	for i, v := range s.basic { // what rounding has left on the basic ones
		s.extra[i] = s.reducedCost(v, y)
		worst = max(worst, math.Abs(s.extra[i]))
	}
	if worst > roundingLeft {
		s.lu.backward(s.extra)
		for i, e := range s.extra {
			y[i] += e
		}
	}
	for v := range s.d {
		s.d[v] = 0
		if s.where[v] < 0 {
			s.d[v] = s.reducedCost(v, y)
		}
	}
}

// roundingLeft is the residual of a solve with the basis at which a second
// one, for the residual, is worth its time.
const roundingLeft = 1e-13

// reducedCost is the working cost of v less y times its column.
func (s *simplex) reducedCost(v int, y []float64) float64 {
	if v < s.n {
		return s.working[v] - s.a.columnDot(v, y)
	}
	return s.working[v] + y[v-s.n]
}

// place computes the values of the basic variables from the others.
func (s *simplex) place() {
	for _, v := range s.basic {
		s.x[v] = 0
	}
	for range 2 {
		b := s.column
		worst := s.imbalance(b)
		if worst <= roundingLeft {
			return
		}
		s.lu.forward(b)
		for i, v := range s.basic {
			s.x[v] += b[i]
		}
	}
}

// imbalance writes r - Ax, which is zero at a point of the equations, into b,
// and returns its largest entry.
func (s *simplex) imbalance(b []float64) float64 {
	copy(b, s.x[s.n:])
	for j := range s.n {
		if x := s.x[j]; x != 0 {
			index, value := s.a.Column(j)
			for k, i := range index {
				b[i] -= value[k] * x
			}
		}
	}
	worst := 0.0
	for _, v := range b {
		worst = max(worst, math.Abs(v))
	}
	return worst
}

// tableauRow computes row = rho'(A, -I) over the nonbasic variables.
func (s *simplex) tableauRow() {
	for _, v := range s.touched {
		s.row[v] = 0
	}
	s.touched = s.touched[:0]
	for i, r := range s.rho {
		if math.Abs(r) < dropped {
			continue
		}
		if v := s.n + i; s.where[v] < 0 {
			s.row[v] = -r
			s.touched = append(s.touched, v)
		}
		index, value := s.across.at(i)
		for k, j := range index {
			if s.where[j] >= 0 {
				continue
			}
			if s.row[j] == 0 {
				s.row[j] = math.SmallestNonzeroFloat64 // in the list even if it cancels
				s.touched = append(s.touched, j)
			}
			s.row[j] += r * value[k]
		}
	}
}

// enter computes the column B^-1 a of a variable.
func (s *simplex) enter(v int) {
	clear(s.column)
	index, value := s.entriesOf(v)
	for k, i := range index {
		s.column[i] = value[k]
	}
	s.lu.forward(s.column)
}

// exchange makes v basic at place p; the variable that leaves keeps its value.
func (s *simplex) exchange(p, v int) {
	s.lu.replace(p, s.column)
	s.where[s.basic[p]] = -1
	s.basic[p], s.where[v] = v, p
	s.pivots++
	s.derived = false
}

// excess is how far a variable's value lies above (positive) or below
// (negative) its bounds, beyond tolerance; zero within.
func (s *simplex) excess(v int) float64 {
	x := s.x[v]
	if low := s.lower[v]; x < low-s.feasible*(1+math.Abs(low)) {
		return x - low
	}
	if high := s.upper[v]; x > high+s.feasible*(1+math.Abs(high)) {
		return x - high
	}
	return 0
}

// mayImprove tells whether moving nonbasic v off its bound lowers the cost.
func (s *simplex) mayImprove(v int) bool {
	d := s.d[v]
	return d < -s.dualFeas && s.x[v] < s.upper[v] || d > s.dualFeas && s.x[v] > s.lower[v]
}

// spent tells that a limit is reached. It counts the turns of the loops too,
// since one that ends without a pivot might go on for ever.
func (s *simplex) spent() bool {
	s.turns++
	if s.pivots >= s.limit || s.turns >= 4*s.limit {
		return true
	}
	return s.turns%16 == 1 && s.effort.over()
}

// chance is a number in [0, 1) from a generator that is the same every time.
func (s *simplex) chance() float64 {
	s.random ^= s.random << 13
	s.random ^= s.random >> 7
	s.random ^= s.random << 17
	return float64(s.random>>11) / (1 << 53)
}
