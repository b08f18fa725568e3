package solver

import "math"

// factor is a sparse LDL' factorisation of a symmetric quasi-definite matrix
// in a fill-reducing order: P K P' = L D L' with L unit lower triangular and
// D diagonal. Such a matrix has this factorisation in any order (Vanderbei
// 1995, "Symmetric quasidefinite matrices", SIAM J. Optim. 5:100-113, from
// memory), so the order is chosen once for sparsity and kept.
type factor struct {
	n       int
	order   []int // order[k] is the row eliminated k-th
	place   []int // the inverse
	matrix  *Matrix
	entry   []int  // of each entry of the permuted matrix: where it stands in the given one
	sign    []int8 // expected sign of D, in elimination order
	parent  []int  // elimination tree
	start   []int  // of the columns of L
	index   []int32
	value   []float64
	d       []float64
	scratch factorScratch
}

type factorScratch struct {
	y       []float64
	flag    []int
	pattern []int
	chain   []int
	next    []int
	rhs     []float64
}

// newFactor analyses the pattern of the upper triangle K; sign[i] is +1 or -1
// as row i belongs to the positive or the negative block.
func newFactor(upper *Matrix, sign []int8) *factor {
	n := upper.ColumnCount
	f := &factor{n: n, order: minimumFill(upper)}
	f.place = make([]int, n)
	f.sign = make([]int8, n)
	for k, i := range f.order {
		f.place[i] = k
		f.sign[k] = sign[i]
	}
	f.permute(upper)
	f.scratch = factorScratch{
		y: make([]float64, n), flag: make([]int, n), pattern: make([]int, n),
		chain: make([]int, n), next: make([]int, n), rhs: make([]float64, n),
	}
	f.analyse()
	return f
}

// permute lays out the upper triangle in elimination order and remembers
// where each entry came from.
func (f *factor) permute(upper *Matrix) {
	m := &Matrix{RowCount: f.n, ColumnCount: f.n, Start: make([]int, f.n+1)}
	count := upper.Entries()
	m.Index, m.Value = make([]int, count), make([]float64, count)
	f.entry = make([]int, count)
	for j := range f.n {
		index, _ := upper.Column(j)
		for _, i := range index {
			m.Start[max(f.place[i], f.place[j])+1]++
		}
	}
	for j := range f.n {
		m.Start[j+1] += m.Start[j]
	}
	next := append([]int{}, m.Start[:f.n]...)
	for j := range f.n {
		for q := upper.Start[j]; q < upper.Start[j+1]; q++ {
			a, b := f.place[upper.Index[q]], f.place[j]
			if a > b {
				a, b = b, a
			}
			m.Index[next[b]] = a
			f.entry[next[b]] = q
			next[b]++
		}
	}
	f.matrix = m
}

// analyse finds the elimination tree and the size of each column of L.
func (f *factor) analyse() {
	f.parent = make([]int, f.n)
	counts := make([]int, f.n)
	flag := f.scratch.flag
	for k := range f.n {
		f.parent[k] = -1
		flag[k] = k
		index, _ := f.matrix.Column(k)
		for _, i := range index {
			for ; flag[i] != k; i = f.parent[i] {
				if f.parent[i] < 0 {
					f.parent[i] = k
				}
				counts[i]++
				flag[i] = k
			}
		}
	}
	f.start = make([]int, f.n+1)
	for k := range f.n {
		f.start[k+1] = f.start[k] + counts[k]
	}
	f.index = make([]int32, f.start[f.n])
	f.value = make([]float64, f.start[f.n])
	f.d = make([]float64, f.n)
}

// products counts the multiplications of one factorisation.
func (f *factor) products() int {
	sum := 0
	for k := range f.n {
		count := f.start[k+1] - f.start[k]
		sum += count * count
	}
	return sum
}

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

// refactor computes L and D from the values of the matrix given to newFactor,
// row by row of L (the up-looking method of Davis 2005, "Algorithm 849: a
// concise sparse Cholesky factorization package", from memory).
func (f *factor) refactor(values []float64) {
	s := &f.scratch
	y, flag, next := s.y, s.flag, s.next
	copy(next, f.start[:f.n])
	for k := range f.n {
		flag[k] = -1
	}
	for k := range f.n {
		top := f.n
		flag[k] = k
		pivot, size := 0.0, 0.0
		for q := f.matrix.Start[k]; q < f.matrix.Start[k+1]; q++ {
			i := f.matrix.Index[q]
			v := values[f.entry[q]]
			if i == k {
				pivot += v
				size += math.Abs(v)
				continue
			}
			y[i] += v
			length := 0
			for ; flag[i] != k; i = f.parent[i] {
				s.chain[length] = i
				length++
				flag[i] = k
			}
			for length > 0 {
				length--
				top--
				s.pattern[top] = s.chain[length]
			}
		}
		for ; top < f.n; top++ {
			c := s.pattern[top]
			yc := y[c]
			y[c] = 0
			from, to := f.start[c], next[c]
			rows, vals := f.index[from:to], f.value[from:to]
			for t, i := range rows {
				y[i] -= vals[t] * yc
			}
			l := yc / f.d[c]
			pivot -= l * yc
			size += math.Abs(l * yc)
			f.index[to] = int32(k)
			f.value[to] = l
			next[c]++
		}
		if sign := float64(f.sign[k]); pivot*sign < pivotFloor+lostDigits*size {
			pivot = sign * (pivotLift + liftShare*size)
		}
		f.d[k] = pivot
	}
}

// solve replaces b by the solution of L D L' x = b, in the given order.
func (f *factor) solve(b []float64) {
	x := f.scratch.rhs
	for k, i := range f.order {
		x[k] = b[i]
	}
	for k := range f.n {
		v := x[k]
		if v == 0 {
			continue
		}
		from, to := f.start[k], f.start[k+1]
		vals := f.value[from:to]
		for t, i := range f.index[from:to] {
			x[i] -= vals[t] * v
		}
	}
	for k := f.n - 1; k >= 0; k-- {
		sum := x[k] / f.d[k]
		from, to := f.start[k], f.start[k+1]
		vals := f.value[from:to]
		for t, i := range f.index[from:to] {
			sum -= vals[t] * x[i]
		}
		x[k] = sum
	}
	for k, i := range f.order {
		b[i] = x[k]
	}
}
