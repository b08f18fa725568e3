package solver

import (
	"cmp"
	"math"
	"slices"
)

// A cut is a row that every point with whole integer columns obeys and a point
// of the relaxation breaks. Cuts come by mixed-integer rounding of sums of rows
// (Nemhauser and Wolsey 1990, "A recursive procedure to generate all cuts for
// 0-1 mixed integer programs", Math. Program. 46:379-390), the sums being rows
// of the simplex tableau in which an integer column is not whole, times small
// whole numbers (Gomory 1960; Cornuejols, Li and Vandenbussche 2003, "K-cuts",
// INFORMS J. Comput. 15:385-396); all from memory. Whatever the multipliers of
// the sum, the cut holds: rounding errors in them cost depth, not truth.
type cut struct {
	index []int
	value []float64
	most  float64 // sum value x <= most
	depth float64 // the distance by which it cuts off the point
	size  float64 // length of value
}

const (
	cutFactors  = 8    // whole numbers by which a tableau row is multiplied, up to this one
	cutLeast    = 0.01 // least distance of a fraction to be rounded from a whole number
	cutDeep     = 1e-4 // least depth worth a row
	cutSpan     = 1e6  // of the sizes of a cut's coefficients
	cutAlike    = 0.95 // cosine of the angle between two cuts that do the same
	cutNothing  = 1e-9 // coefficient over the largest that is none
	cutsARound  = 60
	cutRelaxing = 1e-9 // by which a cut is moved out, for rounding
)

// cutter makes cuts for a problem with integer columns.
type cutter struct {
	p        *Problem
	across   sparseList
	wholeRow []bool // its activity is a whole number at whole points
	dense    int    // the most entries of a cut

	sum     []float64 // of rows, by variable; zero but at touched
	met     []bool
	touched []int
	out     []float64 // a cut, by column
	used    []int
	inUse   []bool
}

func newCutter(p *Problem) *cutter {
	n, m := len(p.Cost), p.Rows.RowCount
	c := &cutter{
		p: p, across: byRows(p.Rows), wholeRow: make([]bool, m), dense: 100 + n/5,
		sum: make([]float64, n+m), met: make([]bool, n+m), out: make([]float64, n), inUse: make([]bool, n),
	}
	for i := range m {
		c.wholeRow[i] = isWhole(p.RowLower[i]) && isWhole(p.RowUpper[i])
		index, value := c.across.at(i)
		for k, j := range index {
			c.wholeRow[i] = c.wholeRow[i] && p.Integer[j] && isWhole(value[k])
		}
	}
	return c
}

// isWhole tells that v is a whole number, or infinite.
func isWhole(v float64) bool { return v == math.Round(v) }

// add sums up the rows times u: sum_j (u'A)_j x_j - sum_i u_i r_i = 0, where
// r_i is the activity of row i.
func (c *cutter) add(u []float64) {
	n := len(c.p.Cost)
	for _, v := range c.touched {
		c.sum[v], c.met[v] = 0, false
	}
	c.touched = c.touched[:0]
	put := func(v int, a float64) {
		if !c.met[v] {
			c.met[v] = true
			c.touched = append(c.touched, v)
		}
		c.sum[v] += a
	}
	for i, w := range u {
		if w == 0 {
			continue
		}
		put(n+i, -w)
		index, value := c.across.at(i)
		for k, j := range index {
			put(j, w*value[k])
		}
	}
}

// bounds of a variable: a column or the activity of a row.
func (c *cutter) bounds(v int) (lower, upper float64, integer bool) {
	n := len(c.p.Cost)
	if v >= n {
		return c.p.RowLower[v-n], c.p.RowUpper[v-n], c.wholeRow[v-n]
	}
	return c.p.Lower[v], c.p.Upper[v], c.p.Integer[v]
}

// round turns the sum, times a factor, into a cut: with every variable
// measured from the bound nearest to x, x'_v >= 0, the sum a'x' <= b gives
//
//	sum_integer (floor a_v + max(0, f_v - f)/(1 - f)) x'_v + sum_others min(0, a_v)/(1 - f) x'_v <= floor b
//
// f and f_v being the fractions of b and a_v. It returns nil when that holds
// at x, or when its numbers are not sound.
func (c *cutter) round(factor float64, x []float64) *cut {
	b := 0.0
	for _, v := range c.touched {
		at, _, ok := c.from(v, x)
		if !ok {
			return nil
		}
		b -= factor * c.sum[v] * at
	}
	whole := math.Floor(b)
	f := b - whole
	if f < cutLeast || f > 1-cutLeast || math.Abs(b) > 1e6 {
		return nil
	}
	n := len(c.p.Cost)
	for _, j := range c.used {
		c.out[j], c.inUse[j] = 0, false
	}
	c.used = c.used[:0]
	most := whole
	put := func(j int, a float64) {
		if !c.inUse[j] {
			c.inUse[j] = true
			c.used = append(c.used, j)
		}
		c.out[j] += a
	}
	for _, v := range c.touched {
		at, sign, _ := c.from(v, x)
		low, high, integer := c.bounds(v)
		if low == high {
			continue
		}
		a := factor * c.sum[v] * sign
		g := min(0, a) / (1 - f)
		if integer {
			floor := math.Floor(a)
			g = floor + max(0, a-floor-f)/(1-f)
		}
		if g == 0 {
			continue
		}
		// g x' = g sign (x - at)
		g *= sign
		most += g * at
		if v < n {
			put(v, g)
			continue
		}
		index, value := c.across.at(v - n)
		for k, j := range index {
			put(j, g*value[k])
		}
	}
	return c.finish(most, x)
}

// from is the bound of v that is nearest to x, and the direction in which v
// leaves it.
func (c *cutter) from(v int, x []float64) (at, sign float64, ok bool) {
	low, high, _ := c.bounds(v)
	if x[v]-low <= high-x[v] {
		return low, 1, !math.IsInf(low, -1)
	}
	return high, -1, !math.IsInf(high, 1)
}

// finish gathers the coefficients into a cut. Those that are next to nothing
// give way to what they may come to at most.
func (c *cutter) finish(most float64, x []float64) *cut {
	largest, least := 0.0, math.Inf(1)
	for _, j := range c.used {
		largest = max(largest, math.Abs(c.out[j]))
	}
	if largest == 0 {
		return nil
	}
	k := &cut{}
	for _, j := range c.used {
		g := c.out[j]
		if math.Abs(g) <= cutNothing*largest {
			if g > 0 {
				most -= g * c.p.Lower[j]
			} else if g < 0 {
				most -= g * c.p.Upper[j]
			}
			continue
		}
		least = min(least, math.Abs(g))
		k.index, k.value = append(k.index, j), append(k.value, g)
	}
	k.most = most + cutRelaxing*(1+math.Abs(most))
	k.measure(x)
	if !(k.depth >= cutDeep) || largest > cutSpan*least || len(k.index) > c.dense {
		return nil
	}
	return k
}

// measure sets size and depth.
func (k *cut) measure(x []float64) {
	activity, square := 0.0, 0.0
	for i, j := range k.index {
		activity += k.value[i] * x[j]
		square += k.value[i] * k.value[i]
	}
	k.size = math.Sqrt(square)
	k.depth = (activity - k.most) / k.size
}

// best is the deepest cut that the sum gives.
func (c *cutter) best(x []float64) *cut {
	var best *cut
	for t := 1; t <= cutFactors; t++ {
		for _, factor := range [2]float64{float64(t), -float64(t)} {
			if k := c.round(factor, x); k != nil && (best == nil || k.depth > best.depth) {
				best = k
			}
		}
	}
	return best
}

// deepest takes the deepest of the cuts that are not alike.
func deepest(cuts []*cut, columns int) []*cut {
	slices.SortStableFunc(cuts, func(a, b *cut) int { return cmp.Compare(b.depth, a.depth) })
	var kept []*cut
	dense := make([]float64, columns)
next:
	for _, k := range cuts {
		if len(kept) == cutsARound {
			break
		}
		for i, j := range k.index {
			dense[j] = k.value[i]
		}
		alike := false
		for _, o := range kept {
			dot := 0.0
			for i, j := range o.index {
				dot += o.value[i] * dense[j]
			}
			alike = alike || dot > cutAlike*o.size*k.size
		}
		for _, j := range k.index {
			dense[j] = 0
		}
		if alike {
			continue next
		}
		kept = append(kept, k)
	}
	return kept
}
