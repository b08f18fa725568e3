package picture

import (
	"fmt"
	"math"
	"time"

	"heapwright/feedstocks"
)

// crops outlines when cover crops are sown and marks when they are cut, as far
// as that lies in the season.
func (d *seasonDrawing) crops() {
	s := d.plan.Season
	if len(s.Beds.CoverCrops) == 0 {
		return
	}
	d.heading("Cover crops: outlined while to be sown, a mark where cut")
	// A label stands beside its mark, on the side where there is room.
	label := func(left, right float64, words string) {
		x, anchor := right+6, "start"
		if right > seasonWide-260 {
			x, anchor = left-6, "end"
		}
		fmt.Fprintf(d, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`+"\n", x, d.y+13, anchor, escaped(words))
	}
	for _, c := range s.Beds.CoverCrops {
		d.name(c.Name, d.y+13)
		if !s.Start.IsZero() {
			week := func(t time.Time) float64 { return 1 + t.Sub(s.Start).Hours()/(24*7) }
			from := math.Max(week(c.SowFrom), float64(d.first))
			to := math.Min(week(c.SowTo.AddDate(0, 0, 1)), float64(d.last+1))
			if to > from {
				fmt.Fprintf(d, `<rect x="%.1f" y="%.1f" width="%.1f" height="10" fill="none" stroke="#2f6b2f"/>`+"\n", d.x(from), d.y+4, d.x(to)-d.x(from))
				label(d.x(from), d.x(to), "sow "+c.SowFrom.Format("2 Jan")+" to "+c.SowTo.Format("2 Jan"))
			}
		}
		if c.CutWeek > 0 {
			a, x := s.Arrivals[c.Arrival], d.x(float64(c.CutWeek))
			fmt.Fprintf(d, `<path d="M%.1f %.1f l5 -5 l-5 -5 l-5 5 z" fill="#2f6b2f"/>`+"\n", x, d.y+14)
			label(x-5, x+5, "cut "+cropAmount(s.Measured(a.Material, a.Kg))+" of "+s.Materials[a.Material].Name)
		}
		d.y += 18
	}
}

func cropAmount(q feedstocks.Quantity) string {
	return fmt.Sprintf("%.3g %s", q.Number, q.Unit.Count(q.Number))
}
