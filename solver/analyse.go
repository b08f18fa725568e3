package solver

import "slices"

// newFactor analyses the pattern of the upper triangle K; sign[i] is +1 or -1
// as row i belongs to the positive or the negative block.
func newFactor(upper *Matrix, sign []int8) *factor {
	n := upper.ColumnCount
	f := &factor{
		n: n, order: minimumFill(upper), sign: make([]int8, n), inverse: make([]float64, n),
		y: make([]float64, n), rhs: make([]float64, n), left: make([]float64, n), fix: make([]float64, n),
	}
	f.permute(upper)
	parent, counts := f.tree()
	parent, counts = f.reorder(postorder(parent, counts), parent, counts)
	f.permute(upper)
	for k, i := range f.order {
		f.sign[k] = sign[i]
	}
	f.findBlocks(parent, counts)
	f.findRows(parent)
	return f
}

// permute lays out the upper triangle, with a full diagonal, in elimination
// order and remembers where each entry came from.
func (f *factor) permute(upper *Matrix) {
	place := make([]int32, f.n)
	for k, i := range f.order {
		place[i] = int32(k)
	}
	count := upper.Entries() - f.n
	f.start, f.above, f.entry = make([]int, f.n+1), make([]int32, count), make([]int32, count)
	f.ownEntry = make([]int32, f.n)
	for j := range f.n {
		index, _ := upper.Column(j)
		for _, i := range index {
			if i != j {
				f.start[max(place[i], place[j])+1]++
			}
		}
	}
	for k := range f.n {
		f.start[k+1] += f.start[k]
	}
	next := slices.Clone(f.start[:f.n])
	for j := range f.n {
		for q := upper.Start[j]; q < upper.Start[j+1]; q++ {
			a, b := place[upper.Index[q]], place[j]
			if a == b {
				f.ownEntry[a] = int32(q)
				continue
			}
			to := max(a, b)
			f.above[next[to]], f.entry[next[to]] = min(a, b), int32(q)
			next[to]++
		}
	}
	f.offValue, f.ownValue = make([]float64, count), make([]float64, f.n)
}

// tree finds the elimination tree, -1 above a root, and how many entries each
// column of L has below the diagonal.
func (f *factor) tree() (parent []int32, counts []int) {
	parent = make([]int32, f.n)
	counts = make([]int, f.n)
	flag := make([]int32, f.n)
	for k := range int32(f.n) {
		parent[k] = -1
		flag[k] = k
		for _, i := range f.above[f.start[k]:f.start[k+1]] {
			for ; flag[i] != k; i = parent[i] {
				if parent[i] < 0 {
					parent[i] = k
				}
				counts[i]++
				flag[i] = k
			}
		}
	}
	return parent, counts
}

// postorder lists the tree so that each subtree stands together before its
// root, the child with the longest column last: it is the likeliest to share a
// block with its parent.
func postorder(parent []int32, counts []int) []int32 {
	n := len(parent)
	child, sibling := slices.Repeat([]int32{-1}, n), slices.Repeat([]int32{-1}, n)
	longest := slices.Repeat([]int32{-1}, n)
	for k, p := range parent {
		if p >= 0 && (longest[p] < 0 || counts[k] >= counts[longest[p]]) {
			longest[p] = int32(k)
		}
	}
	copy(child, longest)
	for k := n - 1; k >= 0; k-- {
		if p := parent[k]; p >= 0 && longest[p] != int32(k) {
			sibling[k], child[p] = child[p], int32(k)
		}
	}
	order := make([]int32, 0, n)
	var path []int32
	for k, p := range parent {
		if p >= 0 {
			continue
		}
		path = append(path, int32(k))
		for len(path) > 0 {
			v := path[len(path)-1]
			if c := child[v]; c >= 0 {
				child[v] = sibling[c]
				path = append(path, c)
				continue
			}
			path = path[:len(path)-1]
			order = append(order, v)
		}
	}
	return order
}

// reorder puts the columns, with their tree and counts, into another order of
// the same tree.
func (f *factor) reorder(by, parent []int32, counts []int) ([]int32, []int) {
	order, above, lengths := make([]int32, f.n), make([]int32, f.n), make([]int, f.n)
	now := make([]int32, f.n)
	for k, old := range by {
		now[old] = int32(k)
	}
	for k, old := range by {
		order[k], lengths[k], above[k] = f.order[old], counts[old], -1
		if p := parent[old]; p >= 0 {
			above[k] = now[p]
		}
	}
	f.order = order
	return above, lengths
}

// blockWork estimates, in multiplications, what a block of columns with so
// many rows below it costs a factorisation with its solves: every row meets
// every earlier one in an inner product of the block's width, which takes some
// time however short it is (measured).
func blockWork(width, rows int) int {
	const start, each, solves = 5, 10, 8
	return rows*(rows+width)/2*(start+width) + (rows+width)*(each+width*width/2) + solves*(rows+width)*(start+width)
}

// findBlocks cuts the columns into blocks of neighbours along the tree. A chain
// whose columns have the same rows below its end is one; it joins its parent's
// where the work on the zeros let in is less than what is saved.
func (f *factor) findBlocks(parent []int32, counts []int) {
	type block struct{ first, width, rows int }
	var blocks []block // from the last
	for end := f.n; end > 0; {
		first := end - 1
		for first > 0 && parent[first-1] == int32(first) && counts[first-1] == counts[first]+1 {
			first--
		}
		b := block{first, end - first, counts[end-1]}
		if len(blocks) > 0 {
			above := &blocks[len(blocks)-1]
			both := blockWork(b.width+above.width, above.rows)
			if p := int(parent[end-1]); p >= 0 && p < above.first+above.width &&
				both <= blockWork(b.width, b.rows)+blockWork(above.width, above.rows) {
				above.first, above.width = first, b.width+above.width
				end = first
				continue
			}
		}
		blocks = append(blocks, b)
		end = first
	}
	slices.Reverse(blocks)
	f.first = make([]int32, 0, len(blocks)+1)
	f.of = make([]int32, f.n)
	for s, b := range blocks {
		f.first = append(f.first, int32(b.first))
		for k := range b.width {
			f.of[b.first+k] = int32(s)
		}
	}
	f.first = append(f.first, int32(f.n))
}

// findRows lists the blocks that each row meets and the rows of each block.
func (f *factor) findRows(parent []int32) {
	count := len(f.first) - 1
	up := make([]int32, count)
	for s := range count {
		up[s] = -1
		if p := parent[f.first[s+1]-1]; p >= 0 {
			up[s] = f.of[p]
		}
	}
	flag := slices.Repeat([]int32{-1}, count)
	f.meetStart = make([]int, f.n+1)
	f.rowStart = make([]int, count+1)
	for k := range int32(f.n) {
		own := f.of[k]
		flag[own] = k
		for _, i := range f.above[f.start[k]:f.start[k+1]] {
			for s := f.of[i]; flag[s] != k; s = up[s] {
				flag[s] = k
				f.meet = append(f.meet, s)
				f.rowStart[s+1]++
			}
		}
		slices.Sort(f.meet[f.meetStart[k]:]) // what a block changes stands after it
		f.meetStart[k+1] = len(f.meet)
	}
	f.valueStart = make([]int, count+1)
	for s := range count {
		width := int(f.first[s+1] - f.first[s])
		f.valueStart[s+1] = f.valueStart[s] + width*(width+f.rowStart[s+1])
		f.rowStart[s+1] += f.rowStart[s]
	}
	f.rows = make([]int32, f.rowStart[count])
	f.value = make([]float64, f.valueStart[count])
	f.next = slices.Clone(f.rowStart[:count])
	for k := range f.n {
		for _, s := range f.meet[f.meetStart[k]:f.meetStart[k+1]] {
			f.rows[f.next[s]] = int32(k)
			f.next[s]++
		}
	}
}
