package solver

import (
	"cmp"
	"math"
	"slices"
)

// basisFactor is a sparse LU factorisation of a simplex basis, kept current
// through pivots in product form. Rows and columns that stand alone go first
// and cause no fill; what remains is eliminated column by column (Gilbert and
// Peierls 1988, "Sparse partial pivoting in time proportional to arithmetic
// operations", SIAM J. Sci. Stat. Comput. 9:862-874, from memory), the pivot
// being, of the entries of fair size, that in the row with the fewest others.
//
// The basic variable that pivots on row r is moved to place r of the basis, so
// that vectors over rows and over basic variables share their numbering.
type basisFactor struct {
	m     int
	pivot []int     // the row of each pivot, in the order of elimination
	place []int     // the inverse; -1 for none yet
	diag  []float64 // of U, by pivot

	lower   sparseList // columns of L below the diagonal, by pivot: rows
	lowerOf []int      // the pivots whose column is not empty
	upper   sparseList // columns of U above the diagonal, by pivot: rows
	across  sparseList // U by rows, by pivot: rows of the later pivots

	eta      sparseList // pivots since then: rows and values of the entering columns
	etaRow   []int
	etaPivot []float64

	// scratch of factorise
	columnCount, starts, byRow, next, queue, left, members []int

	gone     []bool
	work     []float64
	rowCount []int // entries of each row in the columns not yet eliminated
	reached  []int
	loose    []int
	mark     []int
	stamp    int
}

// sparseList is a growing list of sparse vectors.
type sparseList struct {
	start []int
	index []int
	value []float64
}

func (l *sparseList) reset() {
	l.start = append(l.start[:0], 0)
	l.index, l.value = l.index[:0], l.value[:0]
}

func (l *sparseList) add(i int, v float64) {
	l.index = append(l.index, i)
	l.value = append(l.value, v)
}

func (l *sparseList) close() { l.start = append(l.start, len(l.index)) }

func (l *sparseList) at(k int) ([]int, []float64) {
	from, to := l.start[k], l.start[k+1]
	return l.index[from:to], l.value[from:to]
}

const (
	pivotLeast = 1e-9  // the smallest pivot of a factorisation
	pivotShare = 0.1   // of the largest entry of its column that a pivot must reach
	dropped    = 1e-14 // entries not kept
)

func newBasisFactor(m int) *basisFactor {
	return &basisFactor{
		m: m, pivot: make([]int, 0, m), place: make([]int, m), diag: make([]float64, m),
		columnCount: make([]int, m), starts: make([]int, m+1), next: make([]int, m), members: make([]int, m), gone: make([]bool, m),
		work: make([]float64, m), mark: make([]int, m), rowCount: make([]int, m),
	}
}

// factorise eliminates the basis whose members are the variables basic, with
// column giving their entries, and reorders basic. Members that depend on the
// others are replaced by the logical of a row left over, logical(row), and
// returned.
func (f *basisFactor) factorise(basic []int, column func(v int) ([]int, []float64), logical func(row int) int) (replaced []int) {
	f.pivot = f.pivot[:0]
	f.lower.reset()
	f.upper.reset()
	f.eta.reset()
	f.etaRow, f.etaPivot, f.lowerOf = f.etaRow[:0], f.etaPivot[:0], f.lowerOf[:0]
	for i := range f.place {
		f.place[i] = -1
	}
	members := f.members // the variable of each pivot
	left := f.peelSingletons(basic, column, members)
	for _, q := range left {
		if !f.eliminate(basic[q], column, members) {
			replaced = append(replaced, basic[q])
		}
	}
	for i, k := range f.place {
		if k < 0 {
			members[len(f.pivot)] = logical(i)
			f.accept(i, -1)
		}
	}
	for k, i := range f.pivot {
		basic[i] = members[k]
	}
	f.transposeUpper()
	return replaced
}

// accept closes the pivot on row i.
func (f *basisFactor) accept(i int, pivot float64) {
	k := len(f.pivot)
	f.place[i] = k
	f.diag[k] = pivot
	f.pivot = append(f.pivot, i)
	f.upper.close()
	f.lower.close()
	if f.lower.start[k+1] > f.lower.start[k] {
		f.lowerOf = append(f.lowerOf, k)
	}
}

// peelSingletons eliminates columns with one entry in the rows that are left,
// then rows with one entry in the columns that are left, and returns the
// positions that remain, those with the fewest entries first.
func (f *basisFactor) peelSingletons(basic []int, column func(int) ([]int, []float64), members []int) []int {
	columnCount, rowCount, gone := f.columnCount, f.rowCount, f.gone
	clear(rowCount)
	clear(gone)
	for q, v := range basic {
		index, _ := column(v)
		columnCount[q] = len(index)
		for _, i := range index {
			rowCount[i]++
		}
	}
	starts := f.starts
	for i, c := range rowCount {
		starts[i+1] = starts[i] + c
	}
	f.byRow = slices.Grow(f.byRow[:0], starts[f.m])[:starts[f.m]]
	byRow, next := f.byRow, f.next
	copy(next, starts)
	for q, v := range basic {
		index, _ := column(v)
		for _, i := range index {
			byRow[next[i]] = q
			next[i]++
		}
	}
	queue := f.queue[:0]
	for q, c := range columnCount {
		if c == 1 {
			queue = append(queue, q)
		}
	}
	for len(queue) > 0 {
		q := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if gone[q] || columnCount[q] != 1 {
			continue
		}
		index, value := column(basic[q])
		row, pivot := -1, 0.0
		for k, i := range index {
			if f.place[i] < 0 {
				row, pivot = i, value[k]
			}
		}
		if math.Abs(pivot) < pivotLeast {
			continue
		}
		for k, i := range index {
			if i != row {
				f.upper.add(i, value[k])
			}
		}
		members[len(f.pivot)] = basic[q]
		f.accept(row, pivot)
		gone[q] = true
		for _, r := range byRow[starts[row]:starts[row+1]] {
			columnCount[r]--
			if columnCount[r] == 1 && !gone[r] {
				queue = append(queue, r)
			}
		}
	}
	clear(rowCount)
	for q, v := range basic {
		if !gone[q] {
			index, _ := column(v)
			for _, i := range index {
				rowCount[i]++
			}
		}
	}
	for i, c := range rowCount {
		if c == 1 && f.place[i] < 0 {
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		row := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if f.place[row] >= 0 || rowCount[row] != 1 {
			continue
		}
		q := -1
		for _, r := range byRow[starts[row]:starts[row+1]] {
			if !gone[r] {
				q = r
			}
		}
		index, value := column(basic[q])
		pivot, largest := 0.0, 0.0
		for k, i := range index {
			if i == row {
				pivot = value[k]
			}
			if f.place[i] < 0 {
				largest = max(largest, math.Abs(value[k]))
			}
		}
		if math.Abs(pivot) < max(pivotLeast, 0.01*largest) {
			continue
		}
		for k, i := range index {
			switch {
			case f.place[i] >= 0:
				f.upper.add(i, value[k])
			case i != row:
				f.lower.add(i, value[k]/pivot)
				rowCount[i]--
				if rowCount[i] == 1 {
					queue = append(queue, i)
				}
			}
		}
		members[len(f.pivot)] = basic[q]
		f.accept(row, pivot)
		gone[q] = true
	}
	f.queue = queue
	left := f.left[:0]
	for q := range basic {
		if !gone[q] {
			left = append(left, q)
		}
	}
	slices.SortFunc(left, func(a, b int) int {
		return cmp.Or(cmp.Compare(columnCount[a], columnCount[b]), cmp.Compare(a, b))
	})
	f.left = left
	return left
}

// eliminate adds the column of variable v to the factors. It reports false
// when nothing of it is left beside the columns before.
func (f *basisFactor) eliminate(v int, column func(int) ([]int, []float64), members []int) bool {
	index, value := column(v)
	f.stamp++
	f.reached, f.loose = f.reached[:0], f.loose[:0]
	see := func(i int) {
		if f.mark[i] == f.stamp {
			return
		}
		f.mark[i] = f.stamp
		if k := f.place[i]; k >= 0 {
			f.reached = append(f.reached, k)
		} else {
			f.loose = append(f.loose, i)
		}
	}
	for k, i := range index {
		see(i)
		f.work[i] = value[k]
	}
	for t := 0; t < len(f.reached); t++ {
		rows, _ := f.lower.at(f.reached[t])
		for _, i := range rows {
			see(i)
		}
	}
	slices.Sort(f.reached) // a pivot changes only rows of later ones
	for _, k := range f.reached {
		x := f.work[f.pivot[k]]
		f.work[f.pivot[k]] = 0
		if math.Abs(x) < dropped {
			continue
		}
		f.upper.add(f.pivot[k], x)
		rows, values := f.lower.at(k)
		for t, i := range rows {
			f.work[i] -= values[t] * x
		}
	}
	largest := 0.0
	for _, i := range f.loose {
		largest = max(largest, math.Abs(f.work[i]))
	}
	row := -1
	for _, i := range f.loose {
		if a := math.Abs(f.work[i]); a >= pivotLeast && a >= pivotShare*largest &&
			(row < 0 || f.rowCount[i] < f.rowCount[row] || f.rowCount[i] == f.rowCount[row] && a > math.Abs(f.work[row])) {
			row = i
		}
	}
	if row < 0 {
		for _, i := range f.loose {
			f.work[i] = 0
		}
		f.upper.index = f.upper.index[:f.upper.start[len(f.pivot)]]
		f.upper.value = f.upper.value[:len(f.upper.index)]
		return false
	}
	pivot := f.work[row]
	for _, i := range f.loose {
		if x := f.work[i]; i != row && math.Abs(x) >= dropped {
			f.lower.add(i, x/pivot)
		}
		f.work[i] = 0
	}
	members[len(f.pivot)] = v
	f.accept(row, pivot)
	return true
}

// transposeUpper copies U by rows.
func (f *basisFactor) transposeUpper() {
	count := len(f.upper.index)
	f.across.start = slices.Grow(f.across.start[:0], f.m+1)[:f.m+1]
	clear(f.across.start)
	f.across.index = slices.Grow(f.across.index[:0], count)[:count]
	f.across.value = slices.Grow(f.across.value[:0], count)[:count]
	starts := f.across.start
	for _, i := range f.upper.index {
		starts[f.place[i]+1]++
	}
	for k := range f.m {
		starts[k+1] += starts[k]
	}
	next := f.rowCount
	copy(next, starts[:f.m])
	for k, row := range f.pivot {
		rows, values := f.upper.at(k)
		for t, i := range rows {
			p := f.place[i]
			f.across.index[next[p]] = row
			f.across.value[next[p]] = values[t]
			next[p]++
		}
	}
}

// forward replaces x by the solution of B x = b.
func (f *basisFactor) forward(x []float64) {
	for _, k := range f.lowerOf {
		if t := x[f.pivot[k]]; t != 0 {
			rows, values := f.lower.at(k)
			for s, i := range rows {
				x[i] -= values[s] * t
			}
		}
	}
	for k := f.m - 1; k >= 0; k-- {
		t := x[f.pivot[k]]
		if t == 0 {
			continue
		}
		t /= f.diag[k]
		x[f.pivot[k]] = t
		rows, values := f.upper.at(k)
		for s, i := range rows {
			x[i] -= values[s] * t
		}
	}
	for e, r := range f.etaRow {
		if t := x[r]; t != 0 {
			t /= f.etaPivot[e]
			rows, values := f.eta.at(e)
			for s, i := range rows {
				x[i] -= values[s] * t
			}
			x[r] = t
		}
	}
}

// backward replaces y by the solution of B'y = c.
func (f *basisFactor) backward(y []float64) {
	for e := len(f.etaRow) - 1; e >= 0; e-- {
		r := f.etaRow[e]
		t := y[r]
		rows, values := f.eta.at(e)
		for s, i := range rows {
			t -= values[s] * y[i]
		}
		y[r] = t / f.etaPivot[e]
	}
	for k, r := range f.pivot {
		if t := y[r]; t != 0 {
			t /= f.diag[k]
			y[r] = t
			rows, values := f.across.at(k)
			for s, i := range rows {
				y[i] -= values[s] * t
			}
		}
	}
	for e := len(f.lowerOf) - 1; e >= 0; e-- {
		k := f.lowerOf[e]
		t := y[f.pivot[k]]
		rows, values := f.lower.at(k)
		for s, i := range rows {
			t -= values[s] * y[i]
		}
		y[f.pivot[k]] = t
	}
}

// replace records that the variable whose column is B^-1 a = x takes the
// place of the basic variable of row r.
func (f *basisFactor) replace(r int, x []float64) {
	for i, v := range x {
		if i != r && math.Abs(v) >= dropped {
			f.eta.add(i, v)
		}
	}
	f.eta.close()
	f.etaRow = append(f.etaRow, r)
	f.etaPivot = append(f.etaPivot, x[r])
}

// stale tells that the pivots since the factorisation have made it slow.
func (f *basisFactor) stale() bool {
	return len(f.etaRow) >= 100 || len(f.eta.index) > 3*(len(f.upper.index)+len(f.lower.index)+f.m)
}
