package season

import (
	"context"
	"fmt"
	"slices"
	"sort"
	"time"
)

// Limit is what one more of something would bring, found by planning again.
type Limit struct {
	Change string // "one more bay like north"
	// ServedM3 is the shortage that it would take away, SpoiledKg what it
	// would save from spoiling.
	ServedM3, SpoiledKg float64
	// Proven tells that both plans are proved the best within their gap.
	Proven bool
}

// limitTime bounds one planning with a change.
const limitTime = 3 * time.Second

// Limits plans again with one more bay of each size, a tenth more of each
// material that comes, and a tenth more work, and lists what helps, the most
// first.
func (p *Plan) Limits(ctx context.Context, set Settings) ([]Limit, error) {
	s := p.Season
	type change struct {
		words string
		to    Season
	}
	var changes []change
	try := func(words string, alter func(*Season)) {
		to := *s
		to.Bays, to.Arrivals = slices.Clone(s.Bays), slices.Clone(s.Arrivals)
		alter(&to)
		changes = append(changes, change{words, to})
	}
	seen := map[Bay]bool{}
	for _, b := range s.Bays {
		like := b
		like.Name, like.FreeFrom = "", 0
		if seen[like] {
			continue
		}
		seen[like] = true
		try("one more bay like "+b.Name, func(to *Season) {
			like.Name, like.FreeFrom = b.Name+" (one more)", s.from()
			to.Bays = append(to.Bays, like)
		})
	}
	for i, m := range s.Materials {
		comes := false
		for _, a := range s.Arrivals {
			comes = comes || a.Material == i && a.Week >= s.from()
		}
		if comes {
			try("a tenth more "+m.Name, func(to *Season) {
				for k := range to.Arrivals {
					if to.Arrivals[k].Material == i && to.Arrivals[k].Week >= s.from() {
						to.Arrivals[k].Kg *= 1.1
					}
				}
			})
		}
	}
	if s.WorkM3 > 0 || s.WorkKg > 0 {
		try("a tenth more work a week", func(to *Season) { to.WorkM3 *= 1.1; to.WorkKg *= 1.1 })
	}
	set.Time = min(limitTime, max(set.Time, time.Second))
	set.aims = 3 // what is told of: shortage and spoilage, with what is bought between
	var out []Limit
	for _, c := range changes {
		plan, err := Solve(ctx, &c.to, set)
		if err != nil {
			return nil, err
		}
		l := Limit{Change: c.words, ServedM3: p.ShortM3() - plan.ShortM3(), SpoiledKg: p.SpoiledKg() - plan.SpoiledKg()}
		l.Proven = p.Aims[0].Proven && plan.Aims[0].Proven
		if l.ServedM3 < max(negligible, p.unproved(0)) && -l.ServedM3 < max(negligible, plan.unproved(0)) {
			l.ServedM3 = 0
		}
		if l.SpoiledKg < max(1, p.unproved(2)) && -l.SpoiledKg < max(1, plan.unproved(2)) {
			l.SpoiledKg = 0
		}
		out = append(out, l)
	}
	sort.SliceStable(out, func(a, b int) bool {
		if out[a].ServedM3 != out[b].ServedM3 {
			return out[a].ServedM3 > out[b].ServedM3
		}
		return out[a].SpoiledKg > out[b].SpoiledKg
	})
	return out, nil
}

// unproved is how much better than the plan a like one may be in an aim: by so
// much less of it a change has brought nothing.
func (p *Plan) unproved(aim int) float64 {
	a := p.Aims[aim]
	return (a.Value - a.Bound) * (1 + lastDigits)
}

// String puts a limit in words.
func (l Limit) String() string {
	switch {
	case l.ServedM3 > 0:
		return fmt.Sprintf("%s would give beds %.2f m3 more", l.Change, l.ServedM3)
	case l.SpoiledKg > 0:
		return fmt.Sprintf("%s would save %.0f kg from spoiling", l.Change, l.SpoiledKg)
	}
	return l.Change + " would change nothing"
}
