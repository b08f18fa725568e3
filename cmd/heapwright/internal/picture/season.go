package picture

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"

	"heapwright/blend/season"
	"heapwright/feedstocks"
)

// Sizes of the picture of a season, in pixels.
const (
	seasonWide  = 960
	seasonLeft  = 170 // names
	seasonRight = 20
	bayHigh     = 26
	stockHigh   = 46
)

// seasonDrawing gathers the picture of a season.
type seasonDrawing struct {
	strings.Builder
	plan        *season.Plan
	first, last int
	y           float64
}

// Season draws the bays with their batches, the weeks in which beds want
// compost, cover crops, and the stock of each material, one above the other over
// the weeks.
// Batches are told apart by their words, not by colour.
func Season(w io.Writer, p *season.Plan) error {
	s := p.Season
	d := &seasonDrawing{plan: p, first: 1, last: s.Weeks, y: 40}
	d.bays()
	d.beds()
	d.crops()
	d.stocks()
	d.axis()
	var out strings.Builder
	title := s.Title
	if title == "" {
		title = "A season's compost"
	}
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %.0f" width="%d" height="%.0f" font-family="sans-serif" font-size="12" role="img">`+"\n", seasonWide, d.y+30, seasonWide, d.y+30)
	fmt.Fprintf(&out, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"white\"/>\n", escaped(title))
	fmt.Fprintf(&out, `<text x="%d" y="24" font-size="16">%s</text>`+"\n", 12, escaped(title))
	out.WriteString(d.String())
	out.WriteString("</svg>\n")
	_, err := io.WriteString(w, out.String())
	return err
}

// escaped escapes text for SVG.
func escaped(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a Builder never fails
	return b.String()
}

// x is the place of the beginning of a week.
func (d *seasonDrawing) x(week float64) float64 {
	return seasonLeft + (week-float64(d.first))/float64(d.last+1-d.first)*(seasonWide-seasonLeft-seasonRight)
}

func (d *seasonDrawing) name(words string, y float64) {
	fmt.Fprintf(d, `<text x="%d" y="%.1f" text-anchor="end">%s</text>`+"\n", seasonLeft-8, y, escaped(shortened(words, 24)))
}

func shortened(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}

func (d *seasonDrawing) heading(words string) {
	d.y += 22
	fmt.Fprintf(d, `<text x="12" y="%.1f" font-weight="bold">%s</text>`+"\n", d.y, escaped(words))
	d.y += 8
}

// bays draws each bay's batches: the weeks in the bay filled, those of curing
// elsewhere as an outline.
func (d *seasonDrawing) bays() {
	d.heading("Bays: filled while hot, outlined while curing")
	s := d.plan.Season
	for j, bay := range s.Bays {
		d.name(bay.Name, d.y+17)
		count := 0
		for _, b := range d.plan.Batches {
			if b.Bay != j {
				continue
			}
			count++
			from, held := float64(b.Week), float64(b.Week+bay.Held())
			ready := math.Min(float64(b.Ready), float64(d.last+1))
			held = math.Min(held, float64(d.last+1))
			if ready > held {
				fmt.Fprintf(d, `<rect x="%.1f" y="%.1f" width="%.1f" height="6" fill="none" stroke="#555" stroke-dasharray="3 2"/>`+"\n", d.x(held), d.y+5+9*float64(count%2), d.x(ready)-d.x(held))
			}
			mix := s.Mixture(b)
			fmt.Fprintf(d, `<rect x="%.1f" y="%.1f" width="%.1f" height="20" fill="#c9a66b" stroke="#5b4520"><title>%s</title></rect>`+"\n",
				d.x(from)+0.5, d.y+2, d.x(held)-d.x(from)-1, escaped(fmt.Sprintf("week %d: %.2f m3, C:N %.1f, moisture %.0f %%", b.Week, mix.BuiltVolumeM3(s.Shrink), mix.CarbonToNitrogen(), 100*mix.Moisture())))
			if d.x(held)-d.x(from) > 42 {
				fmt.Fprintf(d, `<text x="%.1f" y="%.1f" text-anchor="middle">%.1f m3</text>`+"\n", (d.x(held)+d.x(from))/2, d.y+16, mix.BuiltVolumeM3(s.Shrink))
			}
		}
		d.y += bayHigh
	}
}

// beds marks what beds want and what they lack.
func (d *seasonDrawing) beds() {
	s := d.plan.Season
	if len(s.Beds.Beds) == 0 {
		return
	}
	d.heading("Beds: when they want compost")
	for i, b := range s.Beds.Beds {
		d.name(b.Name, d.y+13)
		x := d.x(float64(b.Week))
		words := fmt.Sprintf("%.2f m3", b.CompostM3)
		if v := d.plan.Served[i].ShortM3; v >= 1e-3 {
			words += fmt.Sprintf(", lacks %.2f", v)
		}
		fmt.Fprintf(d, `<path d="M%.1f %.1f l5 -9 h-10 z" fill="#2f6b2f"/>`+"\n", x, d.y+14)
		anchor, dx := "start", 8.0
		if x > seasonWide-180 {
			anchor, dx = "end", -8
		}
		fmt.Fprintf(d, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`+"\n", x+dx, d.y+13, anchor, escaped(words))
		d.y += 18
	}
}

// stocks draws what is left of each material at the end of every week, and
// marks below the line what spoils.
func (d *seasonDrawing) stocks() {
	s := d.plan.Season
	d.heading("Stocks at the end of the week; a cross where some spoils")
	for i, v := range d.plan.Stocks {
		most := 0.0
		for _, kg := range v.Left {
			most = math.Max(most, kg)
		}
		base := d.y + stockHigh - 8
		d.name(s.Materials[i].Name, base-12)
		q := s.Measured(i, most)
		fmt.Fprintf(d, `<text x="%d" y="%.1f" text-anchor="end" font-size="10" fill="#444">%s</text>`+"\n", seasonLeft-8, base+1,
			escaped(atMost(q)))
		if most > 0 {
			var path strings.Builder
			fmt.Fprintf(&path, "M%.1f %.1f", d.x(float64(d.first)), base)
			for t := d.first - 1; t < d.last; t++ {
				y := base - v.Left[t]/most*(stockHigh-14)
				fmt.Fprintf(&path, " L%.1f %.1f L%.1f %.1f", d.x(float64(t+1)), y, d.x(float64(t+2)), y)
			}
			fmt.Fprintf(&path, " L%.1f %.1f Z", d.x(float64(d.last+1)), base)
			fmt.Fprintf(d, `<path d="%s" fill="#9db8c9" stroke="#3d5a6c" stroke-width="0.8"/>`+"\n", path.String())
		}
		fmt.Fprintf(d, `<line x1="%d" y1="%.1f" x2="%d" y2="%.1f" stroke="#999"/>`+"\n", seasonLeft, base, seasonWide-seasonRight, base)
		for t := d.first - 1; t < d.last; t++ {
			if v.Spoiled[t] > 0.05 {
				x := d.x(float64(t) + 1.5)
				fmt.Fprintf(d, `<path d="M%.1f %.1f l6 6 m0 -6 l-6 6" stroke="#a02020" fill="none"/>`+"\n", x-3, base+1)
			}
		}
		d.y += stockHigh
	}
}

// atMost says how much of a material is ever kept.
func atMost(q feedstocks.Quantity) string {
	if q.Number < 0.01 {
		return "none is kept"
	}
	return fmt.Sprintf("at most %.3g %s", q.Number, q.Unit.Count(q.Number))
}

// axis names the weeks and draws faint lines up the picture.
func (d *seasonDrawing) axis() {
	step := max(1, int(math.Ceil(float64(d.last-d.first+1)/10)))
	for w := d.first; w <= d.last; w += step {
		label := fmt.Sprintf("week %d", w)
		if date := d.plan.Season.Date(w); !date.IsZero() {
			label = date.Format("2 Jan")
		}
		fmt.Fprintf(d, `<line x1="%.1f" y1="44" x2="%.1f" y2="%.1f" stroke="#000" stroke-opacity="0.08"/>`+"\n", d.x(float64(w)), d.x(float64(w)), d.y+4)
		fmt.Fprintf(d, `<text x="%.1f" y="%.1f" font-size="10">%s</text>`+"\n", d.x(float64(w)), d.y+16, escaped(label))
	}
}
