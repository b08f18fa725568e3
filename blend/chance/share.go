package chance

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"heapwright/blend"
)

// Share is the part of the variance of a recipe's C:N and moisture that one
// unknown brings.
type Share struct {
	Unknown Unknown
	// First is the share that would go if this alone were known, Total the
	// share that would stay if all else were (first-order and total Sobol'
	// indices); of C:N and of moisture.
	FirstRatio, TotalRatio       float64
	FirstMoisture, TotalMoisture float64
}

// shareDraws are the base draws of the indices: their standard error is then
// about 0.02.
const shareDraws = 4096

// Shares ranks the unknowns of a recipe by the larger of their two total
// shares. Unknowns of materials that are not in the mix have none and are left
// out.
func Shares(ctx context.Context, r *blend.Recipe, seed uint64) ([]Share, error) {
	if r.Conflict {
		return nil, fmt.Errorf("chance: there is no mix to draw for")
	}
	d := newDrawer(r)
	first, total, err := sobol(ctx, d, shareDraws, max(seed, 1), 2, func(u, out []float64) {
		o := d.at(u)
		out[0], out[1] = o.CarbonToNitrogen, o.Moisture
	})
	if err != nil {
		return nil, err
	}
	var out []Share
	for k, u := range d.unknowns {
		if r.Mixture.Parts[u.material].MassKg == 0 {
			continue
		}
		out = append(out, Share{u, first[0][k], total[0][k], first[1][k], total[1][k]})
	}
	slices.SortStableFunc(out, func(a, b Share) int {
		return -cmp.Compare(max(a.TotalRatio, a.TotalMoisture), max(b.TotalRatio, b.TotalMoisture))
	})
	return out, nil
}

// sobol estimates first-order and total indices of the outputs of f over the
// unit cube of the drawer's unknowns, each with n base draws. The estimators are
// those of Saltelli et al. (2010), Comput. Phys. Commun. 181:259-270, for the
// first order, and of Jansen (1999), Comput. Phys. Commun. 117:35-43, for the
// total (both from memory). The result is indexed by output, then unknown.
func sobol(ctx context.Context, d *drawer, n int, seed uint64, outputs int, f func(u, out []float64)) (first, total [][]float64, err error) {
	k := len(d.unknowns)
	// Outputs are taken from their value in the middle of the cube, which
	// spares the products of the first order most of their noise.
	middle, centre := make([]float64, outputs), make([]float64, k)
	for j := range centre {
		centre[j] = 0.5
	}
	f(centre, middle)
	wide := &drawer{unknowns: make([]Unknown, 2*k)} // two points a draw
	type sums struct {
		mean, square   []float64   // of f at the first point, by output
		first, square2 [][]float64 // by output and unknown
	}
	zero := func() *sums {
		s := &sums{mean: make([]float64, outputs), square: make([]float64, outputs)}
		for range outputs {
			s.first = append(s.first, make([]float64, k))
			s.square2 = append(s.square2, make([]float64, k))
		}
		return s
	}
	parts := make([]*sums, (n+chunk-1)/chunk)
	for i := range parts {
		parts[i] = zero()
	}
	err = wide.each(ctx, n, seed, func(i int, u []float64) {
		s := parts[i/chunk]
		a, b := u[:k], u[k:]
		fa, fb, fm := make([]float64, outputs), make([]float64, outputs), make([]float64, outputs)
		f(a, fa)
		f(b, fb)
		mixed := slices.Clone(a)
		for j := range k {
			mixed[j] = b[j]
			f(mixed, fm)
			mixed[j] = a[j]
			for o := range outputs {
				s.first[o][j] += (fb[o] - middle[o]) * (fm[o] - fa[o])
				s.square2[o][j] += (fa[o] - fm[o]) * (fa[o] - fm[o])
			}
		}
		for o := range outputs {
			away := fa[o] - middle[o]
			s.mean[o] += away
			s.square[o] += away * away
		}
	})
	if err != nil {
		return nil, nil, fmt.Errorf("chance: stopped: %w", err)
	}
	all := zero()
	for _, s := range parts { // in order, so that rounding repeats
		for o := range outputs {
			all.mean[o] += s.mean[o]
			all.square[o] += s.square[o]
			for j := range k {
				all.first[o][j] += s.first[o][j]
				all.square2[o][j] += s.square2[o][j]
			}
		}
	}
	for o := range outputs {
		mean := all.mean[o] / float64(n)
		variance := all.square[o]/float64(n) - mean*mean
		fs, ts := make([]float64, k), make([]float64, k)
		for j := range k {
			if variance > 0 {
				fs[j] = all.first[o][j] / float64(n) / variance
				ts[j] = all.square2[o][j] / float64(2*n) / variance
			}
		}
		first, total = append(first, fs), append(total, ts)
	}
	return first, total, nil
}
