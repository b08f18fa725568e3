package solver

import "math"

// factor is a sparse LDL' factorisation of a symmetric quasi-definite matrix
// in a fill-reducing order: P K P' = L D L' with L unit lower triangular and
// D diagonal. Such a matrix has this factorisation in any order (Vanderbei
// 1995, "Symmetric quasidefinite matrices", SIAM J. Optim. 5:100-113, from
// memory), so the order is chosen once for sparsity and kept.
//
// Columns of L with nearly the same rows are kept as one dense block
// (supernodes), row after row: first the square with its own triangle, then
// the rows below.
type factor struct {
	n     int
	order []int32 // order[k] is the row eliminated k-th
	sign  []int8

	// the permuted matrix, by columns of what is above its diagonal
	start    []int
	above    []int32
	entry    []int32 // where each entry stands in the given one
	ownEntry []int32 // where those of the diagonal stand
	offValue []float64
	ownValue []float64

	first      []int32 // of each block: its first column; n at the end
	of         []int32 // the block of each column
	rowStart   []int   // of each block: where its rows below the triangle stand in rows
	rows       []int32
	valueStart []int // of each block: where its rows stand in value
	value      []float64
	meetStart  []int // of each row: where the blocks before its own that it has entries in stand in meet
	meet       []int32
	inverse    []float64 // of D

	next              []int // scratch
	y, rhs, left, fix []float64
}

// products counts the multiplications of one factorisation.
func (f *factor) products() int {
	sum := 0
	for s := range len(f.first) - 1 {
		below := f.rowStart[s+1] - f.rowStart[s]
		for a := range int(f.first[s+1] - f.first[s]) {
			sum += (below + a) * (below + a)
		}
	}
	return sum
}

// entries counts the numbers kept of L, the zeros within blocks among them.
func (f *factor) entries() int { return len(f.value) }

// pivotFloor is the smallest pivot taken as it is, for a matrix whose largest
// entries are near 1; smaller ones, or those of the wrong sign, are replaced
// by pivotLift with the expected sign. Iterative refinement against the true
// matrix takes the change back out of the answer.
const (
	pivotFloor = 1e-13
	pivotLift  = 1e-7
	lostDigits = 1e-14
	liftShare  = 1e-10
)

// refactor computes L and D from the values of the matrix given to newFactor
// and regular added to its diagonal with each row's sign, row by row of L (the
// up-looking method of Davis 2005, "Algorithm 849: a concise sparse Cholesky
// factorization package", from memory), a block of a row at a time.
func (f *factor) refactor(values []float64, regular float64) {
	for q, e := range f.entry {
		f.offValue[q] = values[e]
	}
	for k, e := range f.ownEntry {
		f.ownValue[k] = values[e]
	}
	y := f.y
	clear(y)
	copy(f.next, f.rowStart)
	for k := range f.n {
		sign := float64(f.sign[k])
		pivot := f.ownValue[k] + sign*regular
		size := math.Abs(pivot)
		for q := f.start[k]; q < f.start[k+1]; q++ {
			y[f.above[q]] = f.offValue[q]
		}
		divide := func(part, inverse, row []float64) {
			inverse, row = inverse[:len(part)], row[:len(part)]
			for a, v := range part {
				l := v * inverse[a]
				row[a] = l
				pivot -= l * v
				size += math.Abs(l * v)
				part[a] = 0
			}
		}
		for _, s := range f.meet[f.meetStart[k]:f.meetStart[k+1]] {
			from, to := f.first[s], f.first[s+1]
			part, width := y[from:to], int(to-from)
			value := f.value[f.valueStart[s]:f.valueStart[s+1]]
			lowerSolve(value, part, width)
			done := f.next[s] - f.rowStart[s]
			below := value[width*width:]
			subtractProducts(y, f.rows[f.rowStart[s]:f.next[s]], below, part)
			divide(part, f.inverse[from:to], below[done*width:])
			f.next[s]++
		}
		s := f.of[k]
		from, to := int(f.first[s]), int(f.first[s+1])
		part, width := y[from:k], to-from
		value := f.value[f.valueStart[s]:]
		lowerSolve(value, part, width)
		divide(part, f.inverse[from:k], value[(k-from)*width:])
		if pivot*sign < pivotFloor+lostDigits*size {
			pivot = sign * (pivotLift + liftShare*size)
		}
		f.inverse[k] = 1 / pivot
	}
}

// lowerSolve replaces x by the solution of T z = x, T the unit lower triangle
// of the rows of value, each of so many entries; four rows at a time.
func lowerSolve(value, x []float64, width int) {
	a := 0
	for ; a+4 <= len(x); a += 4 {
		head := x[:a]
		one, two, three, four := value[a*width:], value[(a+1)*width:], value[(a+2)*width:], value[(a+3)*width:]
		one, two, three, four = one[:a+4], two[:a+4], three[:a+4], four[:a+4]
		var s, t, u, w float64
		for c, v := range head {
			s += one[c] * v
			t += two[c] * v
			u += three[c] * v
			w += four[c] * v
		}
		s = x[a] - s
		t = x[a+1] - t - two[a]*s
		u = x[a+2] - u - three[a]*s - three[a+1]*t
		w = x[a+3] - w - four[a]*s - four[a+1]*t - four[a+2]*u
		x[a], x[a+1], x[a+2], x[a+3] = s, t, u, w
	}
	for ; a < len(x); a++ {
		row := value[a*width:][:a]
		sum := x[a]
		for c, v := range x[:a] {
			sum -= row[c] * v
		}
		x[a] = sum
	}
}

// subtractProducts takes from y, at each of the rows, the inner product of x
// with the row's entries; four rows at a time, which do not wait for each other.
func subtractProducts(y []float64, rows []int32, value, x []float64) {
	width := len(x)
	if width == 1 {
		v := x[0]
		value = value[:len(rows)]
		for q, i := range rows {
			y[i] -= value[q] * v
		}
		return
	}
	for len(rows) >= 4 {
		one, two, three, four := value[:width], value[width:2*width], value[2*width:3*width], value[3*width:4*width]
		one, two, three, four = one[:len(x)], two[:len(x)], three[:len(x)], four[:len(x)]
		var s, t, u, w float64
		for a, v := range x {
			s += one[a] * v
			t += two[a] * v
			u += three[a] * v
			w += four[a] * v
		}
		y[rows[0]] -= s
		y[rows[1]] -= t
		y[rows[2]] -= u
		y[rows[3]] -= w
		rows, value = rows[4:], value[4*width:]
	}
	for _, i := range rows {
		s := 0.0
		row := value[:width]
		for a, v := range x {
			s += row[a] * v
		}
		y[i] -= s
		value = value[width:]
	}
}

// solveRough replaces x, in elimination order, by the solution of L D L' z = x.
func (f *factor) solveRough(x []float64) {
	for s := range len(f.first) - 1 {
		from, to := int(f.first[s]), int(f.first[s+1])
		part, width := x[from:to], to-from
		value := f.value[f.valueStart[s]:f.valueStart[s+1]]
		lowerSolve(value, part, width)
		subtractProducts(x, f.rows[f.rowStart[s]:f.rowStart[s+1]], value[width*width:], part)
	}
	for s := len(f.first) - 2; s >= 0; s-- {
		from, to := int(f.first[s]), int(f.first[s+1])
		part, width := x[from:to], to-from
		for a, v := range f.inverse[from:to] {
			part[a] *= v
		}
		value := f.value[f.valueStart[s]:f.valueStart[s+1]]
		subtractRows(x, f.rows[f.rowStart[s]:f.rowStart[s+1]], value[width*width:], part)
		for a := width - 1; a > 0; a-- {
			v := part[a]
			row := value[a*width:][:a]
			for c := range row {
				part[c] -= row[c] * v
			}
		}
	}
}

// subtractRows takes from part each row's entries, times y at that row.
func subtractRows(y []float64, rows []int32, value, part []float64) {
	width := len(part)
	if width == 1 {
		sum := part[0]
		value = value[:len(rows)]
		for q, i := range rows {
			sum -= value[q] * y[i]
		}
		part[0] = sum
		return
	}
	for len(rows) >= 4 {
		one, two, three, four := value[:width], value[width:2*width], value[2*width:3*width], value[3*width:4*width]
		one, two, three, four = one[:len(part)], two[:len(part)], three[:len(part)], four[:len(part)]
		s, t, u, v := y[rows[0]], y[rows[1]], y[rows[2]], y[rows[3]]
		for a := range part {
			part[a] -= (one[a]*s + two[a]*t) + (three[a]*u + four[a]*v)
		}
		rows, value = rows[4:], value[4*width:]
	}
	for _, i := range rows {
		v := y[i]
		row := value[:width]
		for a := range part {
			part[a] -= row[a] * v
		}
		value = value[width:]
	}
}
