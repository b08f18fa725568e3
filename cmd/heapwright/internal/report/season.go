package report

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"heapwright/blend"
	"heapwright/blend/season"
)

// SeasonAnswer is the plan of a season with what goes with it.
type SeasonAnswer struct {
	Plan    *season.Plan
	Cards   []*season.Card  // of the batches of the first week
	Reasons []string        // why beds go short
	Limits  []season.Limit  // nil where they were not asked for
	Chances *season.Chances // nil where they were not asked for
}

// Season writes the plan of a season in the layout that the options ask for.
func Season(w io.Writer, a *SeasonAnswer, o Options) error {
	switch o.Format {
	case JSON:
		return encode(w, seasonView(a, o))
	case CSV:
		return seasonCSV(w, a.Plan)
	}
	p := &page{markdown: o.Format == Markdown}
	title := o.Title
	if title == "" {
		title = "A season's compost"
	}
	p.title(title)
	verdict := seasonVerdict(a, o)
	p.list("", verdict[:1], false)
	p.list("", verdict[1:], true)
	thisWeek(p, a, o)
	calendar(p, a.Plan, o)
	p.table("To buy", buyRows(a.Plan, o))
	p.table("Stocks, in the measures they come in, at the end of the week", stockRows(a.Plan))
	p.list("What spoils", spoilLines(a.Plan, o), true)
	var limits []string
	for _, l := range a.Limits {
		limits = append(limits, sentence(limitWords(l, o)))
	}
	p.list("What one more would bring (planned again with each)", limits, true)
	p.list("How sure it is", chanceWords(a), true)
	p.list("How good the plan is", aimLines(a.Plan, o), true)
	var mind []string
	for _, c := range seasonCautions(a) {
		mind = append(mind, c.Text)
	}
	p.list("Mind", mind, true)
	p.list("Notes", sentences(a.Plan.Season.Notes), true)
	_, err := io.WriteString(w, p.String())
	return err
}

func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

func sentences(all []string) []string {
	var out []string
	for _, s := range all {
		out = append(out, sentence(s))
	}
	return out
}

// seasonVerdict says whether the beds get what they ask for.
func seasonVerdict(a *SeasonAnswer, o Options) []string {
	s := a.Plan.Season
	wanted := 0.0
	for _, b := range s.Beds.Beds {
		wanted += b.CompostM3
	}
	short := a.Plan.ShortM3()
	if short < 1e-3 {
		if len(s.Beds.Beds)+len(s.Beds.Covers) == 0 {
			return []string{"No bed asks for anything; the plan keeps what comes from spoiling."}
		}
		return []string{fmt.Sprintf("Every bed gets what it asks for in time: %s of compost in all.", o.Units.volume(wanted))}
	}
	lines := []string{fmt.Sprintf("Beds go short by %s in all:", o.Units.volume(short))}
	for i, b := range s.Beds.Beds {
		if v := a.Plan.Served[i].ShortM3; v >= 1e-3 {
			lines = append(lines, fmt.Sprintf("%s lacks %s of %s in %s.", b.Name, o.Units.volume(v), o.Units.volume(b.CompostM3), week(s, b.Week)))
		}
	}
	for i, c := range s.Beds.Covers {
		if v := a.Plan.Laid[i].ShortM3; v >= 1e-3 {
			lines = append(lines, fmt.Sprintf("The cover of %s lacks %s of %s %s in %s.", c.Name, o.Units.volume(v), o.Units.volume(c.VolumeM3), c.Material.Name, week(s, c.Week)))
		}
	}
	return append(lines, sentences(a.Reasons)...)
}

// week names a week, with its first day where that is known.
func week(s *season.Season, n int) string {
	if d := s.Date(n); !d.IsZero() {
		return fmt.Sprintf("week %d (from %s)", n, day(d))
	}
	return fmt.Sprintf("week %d", n)
}

func firstWeek(p *season.Plan) int { return max(p.Season.From, 1) }

// thisWeek lays out the batches of the first week.
func thisWeek(p *page, a *SeasonAnswer, o Options) {
	s, now := a.Plan.Season, firstWeek(a.Plan)
	if len(a.Cards) == 0 {
		next := "No batch is to be built this season."
		for _, b := range a.Plan.Batches {
			if !b.Done {
				next = fmt.Sprintf("Nothing is to be built. The next batch is in %s, in bay %s.", week(s, b.Week), s.Bays[b.Bay].Name)
				break
			}
		}
		p.list("This is "+week(s, now), []string{next}, false)
	}
	for _, c := range a.Cards {
		r := c.Exact
		if c.Whole != nil {
			r = c.Whole
		}
		rows := [][]string{{"", "", "weight", "of volume"}}
		for _, i := range ingredients(r) {
			if i.massKg >= grain {
				rows = append(rows, []string{i.name, i.amount(), o.Units.mass(i.massKg), percent(i.share)})
			}
		}
		if water := r.Mixture.AddedWaterKg; water > 0 {
			rows = append(rows, []string{"water", o.Units.water(water), o.Units.mass(water), ""})
		}
		p.table(fmt.Sprintf("Build in bay %s, %s", c.Bay.Name, week(s, now)), rows)
		f := r.Figures
		lines := []string{
			fmt.Sprintf("C:N %s, moisture %s, %s built, %s.", one(f.CarbonToNitrogen), percent(f.Moisture), o.Units.volume(f.VolumeM3), o.Units.mass(f.MassKg)),
			fmt.Sprintf("Will become compost by %s: %s.", week(s, c.Batch.Ready), o.Units.volumes(f.FinishedM3)),
			"Watch the heat: it should rise within days. Turn it when it falls, and wet it if it is dry as you turn.",
		}
		if c.Whole == nil {
			lines = append(lines, "No whole measures are in range, so the amounts are exact ones.")
		}
		p.list("", lines, false)
	}
}

// seasonCautions are those of the first week's batches and of the beds.
func seasonCautions(a *SeasonAnswer) []blend.Caution {
	var out []blend.Caution
	seen := map[string]bool{}
	add := func(all []blend.Caution) {
		for _, c := range all {
			if !seen[c.Text] {
				seen[c.Text] = true
				out = append(out, c)
			}
		}
	}
	for _, c := range a.Cards {
		add(c.Exact.Cautions())
	}
	add(a.Plan.Season.Beds.Cautions(season.TypicalCompost()))
	return out
}

// eventWords puts a line of the calendar in words.
func eventWords(p *season.Plan, e season.Event, o Options) string {
	s := p.Season
	short := ""
	if e.ShortM3 > 0 {
		short = fmt.Sprintf(" (lacks %s)", o.Units.volume(e.ShortM3))
	}
	switch e.Kind {
	case season.Comes:
		return measured(s.Measured(e.Material, e.Kg)) + " of " + e.Name + " come"
	case season.Order:
		return "order " + measured(s.Measured(e.Material, e.Kg)) + " of " + e.Name
	case season.Ready:
		return fmt.Sprintf("the batch of week %d from bay %s is compost, about %s", p.Batches[e.Batch].Week, e.Name, o.Units.volume(rough(e.M3)))
	case season.Move:
		return fmt.Sprintf("empty bay %s and heap it to cure", e.Name)
	case season.Build:
		return fmt.Sprintf("build %s in bay %s: %s", o.Units.volume(e.M3), e.Name, batchWords(p, p.Batches[e.Batch], o))
	case season.Spread:
		if e.GoesWithout() {
			return e.Name + " goes without compost" + short
		}
		return fmt.Sprintf("spread %s of compost on %s%s", o.Units.volume(e.M3), e.Name, short)
	case season.Lay:
		if e.GoesWithout() {
			return e.Name + " goes without its cover" + short
		}
		return fmt.Sprintf("lay %s of %s on %s%s", measured(s.Measured(e.Material, e.Kg)), s.Materials[e.Material].Name, e.Name, short)
	case season.Sow:
		return fmt.Sprintf("sow %s from %s to %s, before the first hard frost of %s", e.Name, day(e.Crop.SowFrom), day(e.Crop.SowTo), day(e.Crop.Frost))
	case season.Cut:
		return fmt.Sprintf("cut %s: %s of %s", e.Name, measured(s.Measured(e.Material, e.Kg)), s.Materials[e.Material].Name)
	}
	return measured(s.Measured(e.Material, e.Kg)) + " of " + e.Name + " spoil"
}

// batchWords lists what goes into a batch.
func batchWords(p *season.Plan, b season.Batch, o Options) string {
	var parts []string
	for i, kg := range b.Kg {
		if kg >= 0.05 {
			parts = append(parts, measured(p.Season.Measured(i, kg))+" of "+p.Season.Materials[i].Name)
		}
	}
	if b.WaterKg >= 0.5 {
		parts = append(parts, o.Units.water(b.WaterKg)+" of water")
	}
	return strings.Join(parts, ", ")
}

// calendar lists the weeks in which something is to be done; what only comes
// is left to the machine layouts.
func calendar(p *page, plan *season.Plan, o Options) {
	var lines []string
	s, last := plan.Season, 0
	for _, e := range plan.Events() {
		if e.Kind == season.Comes || e.Kind == season.Spoil {
			continue
		}
		if e.Week != last {
			head := fmt.Sprintf("Week %d", e.Week)
			if d := s.Date(e.Week); !d.IsZero() {
				head += ", from " + day(d)
			}
			lines = append(lines, "\x00"+head)
			last = e.Week
		}
		lines = append(lines, sentence(eventWords(plan, e, o)))
	}
	if len(lines) == 0 {
		return
	}
	p.heading("Calendar")
	for _, line := range lines {
		head, isHead := strings.CutPrefix(line, "\x00")
		switch {
		case isHead && p.markdown:
			fmt.Fprintf(p, "- %s\n", escape(head))
		case isHead:
			fmt.Fprintf(p, "  %s\n", head)
		case p.markdown:
			fmt.Fprintf(p, "  - %s\n", escape(line))
		default:
			for _, l := range wrap(line, "    - ", "      ") {
				fmt.Fprintln(p, l)
			}
		}
	}
}

func buyRows(plan *season.Plan, o Options) [][]string {
	s := plan.Season
	rows := [][]string{{"", "order by", "comes", "amount", "cost"}}
	total := 0.0
	for _, b := range plan.Purchases {
		offer := s.Offers[b.Offer]
		cost := ""
		if offer.PricePerKg > 0 {
			cost = strconv.FormatFloat(offer.PricePerKg*b.Kg, 'f', 2, 64)
			total += offer.PricePerKg * b.Kg
		}
		rows = append(rows, []string{offer.Name, when(s, b.OrderWeek), when(s, b.Week), measured(s.Measured(offer.Material, b.Kg)), cost})
	}
	if total > 0 && len(rows) > 2 {
		rows = append(rows, []string{"all", "", "", "", strconv.FormatFloat(total, 'f', 2, 64)})
	}
	return rows
}

// when is a date, or the number of a week.
func when(s *season.Season, n int) string {
	if d := s.Date(n); !d.IsZero() {
		return d.Format("2 Jan 2006")
	}
	return fmt.Sprintf("week %d", n)
}

// stockRows shows up to eight weeks, evenly spread.
func stockRows(plan *season.Plan) [][]string {
	s := plan.Season
	first := firstWeek(plan)
	const most = 7
	step := max(1, int(math.Ceil(float64(s.Weeks-first+1)/most)))
	head := []string{"week"}
	var weeks []int
	for w := first; w <= s.Weeks; w += step {
		weeks = append(weeks, w)
		head = append(head, strconv.Itoa(w))
	}
	rows := [][]string{head}
	for i, v := range plan.Stocks {
		m := s.Materials[i]
		row := []string{m.Name + ", " + s.Measured(i, 0).Unit.Count(2)}
		for _, w := range weeks {
			n := s.Measured(i, v.Left[w-1]).Number
			if v.Left[w-1] < 0.05 {
				n = 0
			}
			row = append(row, count(n))
		}
		rows = append(rows, row)
	}
	return rows
}

func spoilLines(plan *season.Plan, o Options) []string {
	s := plan.Season
	var out []string
	for i, v := range plan.Stocks {
		total, worst, weeks := 0.0, 0, 0
		for t := firstWeek(plan) - 1; t < s.Weeks; t++ {
			total += v.Spoiled[t]
			if v.Spoiled[t] > 0.05 {
				weeks++
				if v.Spoiled[t] > v.Spoiled[worst] {
					worst = t
				}
			}
		}
		if weeks > 0 {
			out = append(out, fmt.Sprintf("%s of %s in %s, most of it in %s.", measured(s.Measured(i, total)), s.Materials[i].Name, plural(weeks, "week"), week(s, worst+1)))
		}
	}
	return out
}

func limitWords(l season.Limit, o Options) string {
	if l.ServedM3 > 0 {
		return fmt.Sprintf("%s would give beds %s more", l.Change, o.Units.volume(l.ServedM3))
	}
	return l.String()
}

func chanceWords(a *SeasonAnswer) []string {
	if a.Chances == nil {
		return nil
	}
	var out []string
	for i, b := range a.Plan.Season.Beds.Beds {
		out = append(out, fmt.Sprintf("%s gets at least nine tenths of its compost with a chance of %s.", b.Name, percent(a.Chances.Beds[i])))
	}
	return append(out, fmt.Sprintf("All of them do with a chance of %s (%d draws of what comes and how much it shrinks).", percent(a.Chances.All), a.Chances.Draws))
}

// aimLines say how near the plan is to the best there is.
func aimLines(plan *season.Plan, o Options) []string {
	var out []string
	for _, a := range plan.Aims {
		name, value := map[string]string{
			"shortage": "what beds lack", "bought": "what is bought", "spoiled": "what spoils", "batches": "batches", "target": "distance from the targets",
		}[a.Name], ""
		switch a.Unit {
		case "m3":
			value = o.Units.volume(a.Value)
		case "kg":
			value = o.Units.mass(a.Value)
		case "money":
			value = strconv.FormatFloat(a.Value, 'f', 2, 64)
		default:
			value = short(a.Value)
		}
		proof, of := "the least there is", "less"
		if a.Name == "spoiled" {
			of = "of what comes less"
		}
		switch {
		case a.Value <= 0:
		case !a.Proven:
			proof = fmt.Sprintf("not proved the least: there may be %s %s, but no more", atMost(a.Gap), of)
		case a.Gap > 1e-4:
			proof = fmt.Sprintf("no plan has over %s %s", atMost(a.Gap), of)
		}
		out = append(out, fmt.Sprintf("%s: %s (%s).", sentence(name)[:len(sentence(name))-1], value, proof))
	}
	return out
}

// atMost rounds a share up, since nothing is proved of what lies above it.
func atMost(share float64) string {
	return strconv.FormatFloat(math.Ceil(1000*share)/10, 'f', -1, 64) + " %"
}

// seasonJSON is the contract of heapwright.season/1.
type seasonJSON struct {
	Schema    string          `json:"schema"`
	Title     string          `json:"title,omitempty"`
	Start     string          `json:"start,omitempty"`
	Weeks     int             `json:"weeks"`
	From      int             `json:"from_week"`
	ShortM3   number          `json:"short_m3"`
	SpoiledKg number          `json:"spoiled_kg"`
	Aims      []aimResultJSON `json:"aims"`
	Batches   []batchJSON     `json:"batches"`
	Purchases []purchaseJSON  `json:"purchases"`
	Beds      []servedJSON    `json:"beds"`
	Covers    []servedJSON    `json:"covers"`
	Crops     []cropJSON      `json:"cover_crops"`
	Stocks    []stockJSON     `json:"stocks"`
	Cards     []cardJSON      `json:"cards"`
	Reasons   []string        `json:"reasons"`
	Limits    []seasonLimit   `json:"limits"`
	Chances   *chancesJSON    `json:"chances"`
	Cautions  []cautionJSON   `json:"cautions"`
	Notes     []string        `json:"notes"`
}

type aimResultJSON struct {
	Name   string `json:"name"`
	Unit   string `json:"unit"`
	Value  number `json:"value"`
	Bound  number `json:"bound"`
	Gap    number `json:"gap"`
	Proven bool   `json:"proven"`
}

type batchJSON struct {
	Week      int          `json:"week"`
	Date      string       `json:"date,omitempty"`
	Bay       string       `json:"bay"`
	Done      bool         `json:"done"`
	Materials []amountJSON `json:"materials"`
	WaterKg   number       `json:"water_kg"`
	VolumeM3  number       `json:"volume_m3"`
	MassKg    number       `json:"mass_kg"`
	Ratio     number       `json:"carbon_to_nitrogen"`
	Moisture  number       `json:"moisture_percent"`
	ReadyWeek int          `json:"ready_week"`
	CompostM3 [3]number    `json:"compost_m3"`
}

type amountJSON struct {
	Name     string        `json:"name"`
	MassKg   number        `json:"mass_kg"`
	Measures []measureJSON `json:"measures"`
}

type purchaseJSON struct {
	Name      string        `json:"name"`
	OrderWeek int           `json:"order_week"`
	Week      int           `json:"week"`
	MassKg    number        `json:"mass_kg"`
	Measures  []measureJSON `json:"measures"`
	Cost      number        `json:"cost"`
}

type servedJSON struct {
	Name     string `json:"name"`
	Week     int    `json:"week"`
	WantedM3 number `json:"wanted_m3"`
	ServedM3 number `json:"served_m3"`
	ShortM3  number `json:"short_m3"`
}

type stockJSON struct {
	Name      string   `json:"name"`
	CameKg    []number `json:"came_kg"`
	BoughtKg  []number `json:"bought_kg"`
	UsedKg    []number `json:"used_kg"`
	LaidKg    []number `json:"laid_kg"`
	SpoiledKg []number `json:"spoiled_kg"`
	LeftKg    []number `json:"left_kg"`
}

type cardJSON struct {
	Bay       string       `json:"bay"`
	Whole     bool         `json:"whole"`
	Materials []amountJSON `json:"materials"`
	WaterKg   number       `json:"water_kg"`
	VolumeM3  number       `json:"volume_m3"`
	Ratio     number       `json:"carbon_to_nitrogen"`
	Moisture  number       `json:"moisture_percent"`
}

type seasonLimit struct {
	Change    string `json:"change"`
	ServedM3  number `json:"served_m3"`
	SpoiledKg number `json:"saved_kg"`
	Proven    bool   `json:"proven"`
}

type chancesJSON struct {
	Draws int      `json:"draws"`
	Seed  uint64   `json:"seed"`
	Beds  []number `json:"beds"`
	All   number   `json:"all"`
}

func seasonView(a *SeasonAnswer, o Options) seasonJSON {
	p, s := a.Plan, a.Plan.Season
	out := seasonJSON{
		Schema: "heapwright.season/1", Title: o.Title, Weeks: s.Weeks, From: firstWeek(p),
		ShortM3: number(p.ShortM3()), SpoiledKg: number(p.SpoiledKg()),
		Aims: []aimResultJSON{}, Batches: []batchJSON{}, Purchases: []purchaseJSON{}, Beds: []servedJSON{}, Covers: []servedJSON{}, Crops: seasonCropsJSON(s),
		Stocks: []stockJSON{}, Cards: []cardJSON{}, Reasons: append([]string{}, a.Reasons...), Limits: []seasonLimit{},
		Cautions: []cautionJSON{}, Notes: append([]string{}, s.Notes...),
	}
	if !s.Start.IsZero() {
		out.Start = s.Start.Format(time.DateOnly)
	}
	for _, x := range p.Aims {
		out.Aims = append(out.Aims, aimResultJSON{x.Name, x.Unit, number(x.Value), number(x.Bound), number(x.Gap), x.Proven})
	}
	for _, b := range p.Batches {
		mix := s.Mixture(b)
		j := batchJSON{
			Week: b.Week, Bay: s.Bays[b.Bay].Name, Done: b.Done, Materials: []amountJSON{}, WaterKg: number(b.WaterKg),
			VolumeM3: number(mix.BuiltVolumeM3(s.Shrink)), MassKg: number(mix.MassKg()), Ratio: number(mix.CarbonToNitrogen()),
			Moisture: number(100 * mix.Moisture()), ReadyWeek: b.Ready, CompostM3: three(b.CompostM3, 1),
		}
		if d := s.Date(b.Week); !d.IsZero() {
			j.Date = d.Format(time.DateOnly)
		}
		for i, kg := range b.Kg {
			if kg > 0 {
				q := s.Measured(i, kg)
				j.Materials = append(j.Materials, amountJSON{s.Materials[i].Name, number(kg), []measureJSON{{number(q.Number), q.Unit.Count(q.Number)}}})
			}
		}
		out.Batches = append(out.Batches, j)
	}
	for _, b := range p.Purchases {
		offer := s.Offers[b.Offer]
		q := s.Measured(offer.Material, b.Kg)
		out.Purchases = append(out.Purchases, purchaseJSON{offer.Name, b.OrderWeek, b.Week, number(b.Kg), []measureJSON{{number(q.Number), q.Unit.Count(q.Number)}}, number(b.Kg * offer.PricePerKg)})
	}
	for i, b := range s.Beds.Beds {
		out.Beds = append(out.Beds, servedJSON{b.Name, b.Week, number(b.CompostM3), number(p.Served[i].CompostM3), number(p.Served[i].ShortM3)})
	}
	for i, c := range s.Beds.Covers {
		out.Covers = append(out.Covers, servedJSON{c.Name, c.Week, number(c.VolumeM3), number(p.Laid[i].VolumeM3), number(p.Laid[i].ShortM3)})
	}
	list := func(all []float64) []number {
		out := []number{}
		for _, v := range all {
			out = append(out, number(v))
		}
		return out
	}
	for i, v := range p.Stocks {
		out.Stocks = append(out.Stocks, stockJSON{s.Materials[i].Name, list(v.Came), list(v.Bought), list(v.Used), list(v.Laid), list(v.Spoiled), list(v.Left)})
	}
	for _, c := range a.Cards {
		r := c.Exact
		if c.Whole != nil {
			r = c.Whole
		}
		j := cardJSON{Bay: c.Bay.Name, Whole: c.Whole != nil, Materials: []amountJSON{}, WaterKg: number(r.Mixture.AddedWaterKg), VolumeM3: number(r.Figures.VolumeM3), Ratio: number(r.Figures.CarbonToNitrogen), Moisture: number(100 * r.Figures.Moisture)}
		for _, i := range ingredients(r) {
			if i.massKg > 0 {
				j.Materials = append(j.Materials, amountJSON{i.name, number(i.massKg), measuresJSON(i.amounts)})
			}
		}
		out.Cards = append(out.Cards, j)
	}
	for _, l := range a.Limits {
		out.Limits = append(out.Limits, seasonLimit{l.Change, number(l.ServedM3), number(l.SpoiledKg), l.Proven})
	}
	if a.Chances != nil {
		out.Chances = &chancesJSON{a.Chances.Draws, a.Chances.Seed, list(a.Chances.Beds), number(a.Chances.All)}
	}
	for _, c := range seasonCautions(a) {
		out.Cautions = append(out.Cautions, cautionJSON(c))
	}
	return out
}
