package lesson

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"heapwright/feedstocks"
)

// Most problems on one sheet.
const Most = 40

// mostAttempts at one problem. One in a few comes out clean; the tests hold
// that none needs nearly so many.
const mostAttempts = 20_000

// Order says which sheet is wanted.
type Order struct {
	Level    Level
	Seed     uint64
	Problems int // 1 to [Most]
}

// Sheet is a sheet of problems with their answers.
type Sheet struct {
	Order
	Problems []Problem
	// Know are the formulas that the sheet gives.
	Know []string
	// Manure is true when a problem speaks of manure.
	Manure bool
}

// Name is a short name that tells one sheet from another, and the answers that
// belong to it: "bucket-7-6".
func (s *Sheet) Name() string {
	return fmt.Sprintf("%s-%d-%d", s.Level, s.Seed, s.Order.Problems)
}

// Draw makes a sheet with figures out of lib. The kinds of problem are spread
// as evenly as their number allows, and no two problems are alike. The same
// order gives the same sheet. The error tells that Problems is out of bounds,
// or that the library lacks what the sheets speak of.
func Draw(lib *feedstocks.Library, o Order) (*Sheet, error) {
	if o.Problems < 1 || o.Problems > Most {
		return nil, fmt.Errorf("lesson: %d problems: a sheet has 1 to %d", o.Problems, Most)
	}
	stock, err := stockOf(lib)
	if err != nil {
		return nil, err
	}
	s := &Sheet{Order: o}
	for i, k := range order(o) {
		p, err := draw(stock, k, rand.New(rand.NewPCG(o.Seed, uint64(o.Level)<<32|uint64(i+1))), s.Problems)
		if err != nil {
			return nil, err
		}
		s.Problems = append(s.Problems, p)
		s.Manure = s.Manure || p.speaksOf(manure)
		for _, line := range k.know {
			if !slices.Contains(s.Know, line) {
				s.Know = append(s.Know, line)
			}
		}
	}
	return s, nil
}

// order gives the kind of each problem: all kinds of the level in turn, each
// round in the order of the table, and in the last round those that the seed
// picks. The kind that joins the others is always among them.
func order(o Order) []kind {
	all := kindsOf(o.Level)
	r := rand.New(rand.NewPCG(o.Seed, uint64(o.Level)<<32))
	var out []kind
	for len(out) < o.Problems {
		places := r.Perm(len(all))
		for i, p := range places {
			if all[p].joins {
				places[0], places[i] = places[i], places[0]
			}
		}
		places = places[:min(len(all), o.Problems-len(out))]
		slices.Sort(places)
		for _, p := range places {
			out = append(out, all[p])
		}
	}
	return out
}

// draw makes one problem that is clean and not alike to those before it.
func draw(stock []material, k kind, r *rand.Rand, before []Problem) (Problem, error) {
	d := &drawing{rand: r, stock: stock}
	for range mostAttempts {
		d.unclean = false
		p := k.draw(d)
		p.Title = k.title
		if !d.unclean && !slices.ContainsFunc(before, func(b Problem) bool { return alike(p, b) }) {
			return p, nil
		}
	}
	return Problem{}, fmt.Errorf("lesson: no further problem of the kind %q comes out clean", k.title)
}
