package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"heapwright/blend"
	"heapwright/blend/season"
	"heapwright/feedstocks"
)

// Beds writes what beds need in the layout that the options ask for.
func Beds(w io.Writer, beds *season.Beds, need season.Need, o Options) error {
	switch o.Format {
	case JSON:
		return encode(w, bedsView(beds, need, o))
	case CSV:
		return bedsCSV(w, beds)
	}
	page := &page{markdown: o.Format == Markdown}
	title := o.Title
	if title == "" && page.markdown {
		title = "Compost for beds"
	}
	page.title(title)
	if len(beds.Beds) > 0 {
		page.table("Compost", bedRows(beds, need, o))
		page.list("The raw mix", needLines(need, o), false)
		page.table("What it takes, if it shrinks as is most likely", loadRows(need, o))
		page.list("What it brings", nutrientLines(beds, need, o), false)
	}
	page.table("Covers", coverRows(beds, o))
	page.table("Dressings", dressingRows(beds, o))
	page.list("Cover crop", sowLines(beds), false)
	var mind []string
	for _, c := range bedsCautions(beds, need) {
		mind = append(mind, c.Text)
	}
	page.list("Mind", mind, true)
	_, err := io.WriteString(w, page.String())
	return err
}

func bedsCautions(beds *season.Beds, need season.Need) []blend.Caution {
	out := beds.Cautions(need.Compost)
	if !beds.Frost.IsZero() && len(beds.CoverCrops) == 0 {
		out = append(out, season.CoverCropCaution())
	}
	if need.Recipe != nil && len(beds.Beds) > 0 {
		for _, c := range need.Recipe.Cautions() {
			if c.Key == feedstocks.CautionManure || c.Key == feedstocks.CautionHerbicide {
				out = append(out, c)
			}
		}
	}
	return out
}

// area writes m2 or ft2.
func (u Units) area(m2 float64) string {
	if u == US {
		return short(m2/0.09290304) + " ft2"
	}
	return short(m2) + " m2"
}

// depth writes mm or inches.
func (u Units) depth(m float64) string {
	if u == US {
		return short(m/0.0254) + " in"
	}
	return short(1000*m) + " mm"
}

func bedRows(beds *season.Beds, need season.Need, o Options) [][]string {
	rows := [][]string{{"", "area", "depth", "compost"}}
	cell := func(v float64, write func(float64) string) string {
		if v == 0 {
			return ""
		}
		return write(v)
	}
	assumed := false
	for _, b := range beds.Beds {
		depth := cell(b.Size.DepthM, o.Units.depth)
		if b.Assumed {
			depth += " *"
			assumed = true
		}
		rows = append(rows, []string{b.Name, cell(b.Size.AreaM2, o.Units.area), depth, o.Units.volume(b.CompostM3)})
	}
	if len(beds.Beds) > 1 {
		rows = append(rows, []string{"all", cell(beds.AreaM2(), o.Units.area), "", o.Units.volume(need.CompostM3)})
	}
	if assumed {
		rows = append(rows, []string{"* not given: half an inch a year, 2 inches in the first year (common practice)"})
	}
	return rows
}

func needLines(need season.Need, o Options) []string {
	of := "of plants and manure"
	if need.Recipe != nil {
		of = "of this recipe"
	}
	return []string{fmt.Sprintf("Built: %s, since %s to %s (most likely %s) of the volume %s is left.",
		o.Units.volumes(need.RawM3), percent(need.Left.Low), percent(need.Left.High), percent(need.Left.Usual), of)}
}

func loadRows(need season.Need, o Options) [][]string {
	if need.Recipe == nil {
		return nil
	}
	rows := [][]string{{"", "", "weight"}}
	for j, kg := range need.Loads {
		if kg > grain {
			m := need.Recipe.Problem.Materials[j]
			rows = append(rows, []string{m.Name, measured(m.Measured(kg)), o.Units.mass(kg)})
		}
	}
	if need.WaterKg > grain {
		rows = append(rows, []string{"water", o.Units.water(need.WaterKg), o.Units.mass(need.WaterKg)})
	}
	return rows
}

func nutrientLines(beds *season.Beds, need season.Need, o Options) []string {
	n := need.Compost.Nutrients(need.CompostM3)
	say := func(kg float64, what string) string {
		if !known(kg) {
			return "an unknown amount of " + what
		}
		return o.Units.mass(kg) + " " + what
	}
	lines := []string{
		fmt.Sprintf("%s, %s and %s in all (%s).", say(n.NitrogenKg, "nitrogen"), say(n.PhosphateKg, "phosphate (P2O5)"), say(n.PotashKg, "potash (K2O)"), need.Compost.From),
		fmt.Sprintf("Of the nitrogen, plants can have in the first year: %s.", o.Units.masses(n.FirstYearKg)),
	}
	if area := beds.AreaM2(); area > 0 && known(n.NitrogenKg) {
		per := fmt.Sprintf("%s kg nitrogen a hectare", short(1e4*n.NitrogenKg/area))
		if o.Units == US {
			per = fmt.Sprintf("%s lb nitrogen an acre", short(4046.8564224*n.NitrogenKg/area/poundKg))
		}
		lines = append(lines, "That is "+per+".")
	}
	return lines
}

func coverRows(beds *season.Beds, o Options) [][]string {
	if len(beds.Covers) == 0 {
		return nil
	}
	rows := [][]string{{"", "of", "area", "depth", "loose", "weight"}}
	for _, c := range beds.Covers {
		rows = append(rows, []string{c.Name, c.Material.Name, o.Units.area(c.Size.AreaM2), o.Units.depth(c.Size.DepthM), o.Units.volume(c.VolumeM3), o.Units.mass(c.MassKg)})
	}
	return rows
}

func dressingRows(beds *season.Beds, o Options) [][]string {
	if len(beds.Dressings) == 0 {
		return nil
	}
	rows := [][]string{{"", "area", "amount"}}
	for _, d := range beds.Dressings {
		amount := o.Units.mass(d.Size.MassKg)
		if d.Size.MassKg == 0 {
			amount = o.Units.volume(d.Size.VolumeM3)
		}
		rows = append(rows, []string{d.Material, o.Units.area(d.Size.AreaM2), amount})
	}
	return rows
}

// bedsJSON is the contract of heapwright.beds/1.
type bedsJSON struct {
	Schema    string         `json:"schema"`
	Title     string         `json:"title,omitempty"`
	CompostM3 number         `json:"compost_m3"`
	RawM3     [3]number      `json:"raw_m3"`
	Left      [3]number      `json:"left_percent"`
	Beds      []bedJSON      `json:"beds"`
	Loads     []additionJSON `json:"loads"`
	WaterKg   number         `json:"water_kg"`
	Nutrients nutrientsJSON  `json:"nutrients"`
	Covers    []coverJSON    `json:"covers"`
	Dressings []dressingJSON `json:"dressings"`
	Sow       []string       `json:"sow_cover_crop"` // from, to; empty without a frost
	Crops     []sowJSON      `json:"cover_crops"`
	Cautions  []cautionJSON  `json:"cautions"`
}

type bedJSON struct {
	Name      string `json:"name"`
	AreaM2    number `json:"area_m2"`
	DepthM    number `json:"depth_m"`
	Assumed   bool   `json:"depth_assumed"`
	CompostM3 number `json:"compost_m3"`
}

type nutrientsJSON struct {
	NitrogenKg  number    `json:"nitrogen_kg"`
	PhosphateKg number    `json:"phosphate_kg"`
	PotashKg    number    `json:"potash_kg"`
	FirstYearKg [3]number `json:"first_year_nitrogen_kg"`
	From        string    `json:"from"`
}

type coverJSON struct {
	Name     string `json:"name"`
	Material string `json:"material"`
	AreaM2   number `json:"area_m2"`
	DepthM   number `json:"depth_m"`
	VolumeM3 number `json:"volume_m3"`
	MassKg   number `json:"mass_kg"`
}

type dressingJSON struct {
	Material string `json:"material"`
	AreaM2   number `json:"area_m2"`
	MassKg   number `json:"mass_kg"`
	VolumeM3 number `json:"volume_m3"`
}

func three(s blend.Span, scale float64) [3]number {
	return [3]number{number(s.Low * scale), number(s.Usual * scale), number(s.High * scale)}
}

func bedsView(beds *season.Beds, need season.Need, o Options) bedsJSON {
	n := need.Compost.Nutrients(need.CompostM3)
	out := bedsJSON{
		Schema: "heapwright.beds/1", Title: o.Title, CompostM3: number(need.CompostM3),
		RawM3: three(need.RawM3, 1), Left: three(need.Left, 100), WaterKg: number(need.WaterKg),
		Beds: []bedJSON{}, Loads: []additionJSON{}, Covers: []coverJSON{}, Dressings: []dressingJSON{}, Sow: []string{}, Crops: []sowJSON{}, Cautions: []cautionJSON{},
		Nutrients: nutrientsJSON{number(n.NitrogenKg), number(n.PhosphateKg), number(n.PotashKg), three(n.FirstYearKg, 1), need.Compost.From},
	}
	for _, b := range beds.Beds {
		out.Beds = append(out.Beds, bedJSON{b.Name, number(b.Size.AreaM2), number(b.Size.DepthM), b.Assumed, number(b.CompostM3)})
	}
	for j, kg := range need.Loads {
		m := need.Recipe.Problem.Materials[j]
		out.Loads = append(out.Loads, additionJSON{m.Name, m.Feedstock.Name, number(kg), measuresJSON([]feedstocks.Quantity{m.Measured(kg)})})
	}
	for _, c := range beds.Covers {
		out.Covers = append(out.Covers, coverJSON{c.Name, c.Material.Name, number(c.Size.AreaM2), number(c.Size.DepthM), number(c.VolumeM3), number(c.MassKg)})
	}
	for _, d := range beds.Dressings {
		out.Dressings = append(out.Dressings, dressingJSON{d.Material, number(d.Size.AreaM2), number(d.Size.MassKg), number(d.Size.VolumeM3)})
	}
	if !beds.Frost.IsZero() {
		from, to := season.CoverCropWindow(beds.Frost)
		out.Sow = []string{from.Format("2006-01-02"), to.Format("2006-01-02")}
	}
	for _, c := range beds.CoverCrops {
		out.Crops = append(out.Crops, newSowJSON(c))
	}
	for _, c := range bedsCautions(beds, need) {
		out.Cautions = append(out.Cautions, cautionJSON(c))
	}
	return out
}

func bedsCSV(w io.Writer, beds *season.Beds) error {
	cell := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	c := csv.NewWriter(w)
	_ = c.Write([]string{"kind", "name", "material", "area_m2", "depth_m", "volume_m3", "mass_kg"})
	for _, b := range beds.Beds {
		_ = c.Write([]string{"bed", b.Name, "compost", cell(b.Size.AreaM2), cell(b.Size.DepthM), cell(b.CompostM3), ""})
	}
	for _, b := range beds.Covers {
		_ = c.Write([]string{"cover", b.Name, b.Material.Name, cell(b.Size.AreaM2), cell(b.Size.DepthM), cell(b.VolumeM3), cell(b.MassKg)})
	}
	for _, d := range beds.Dressings {
		_ = c.Write([]string{"dressing", d.Name, d.Material, cell(d.Size.AreaM2), "", cell(d.Size.VolumeM3), cell(d.Size.MassKg)})
	}
	c.Flush()
	return c.Error()
}

// page lays sections out as text or as Markdown.
type page struct {
	strings.Builder
	markdown bool
}

func (p *page) title(text string) {
	if text == "" {
		return
	}
	if p.markdown {
		fmt.Fprintf(p, "# %s\n", escape(text))
		return
	}
	fmt.Fprintln(p, text)
}

func (p *page) heading(text string) {
	if p.Len() > 0 {
		p.WriteString("\n")
	}
	switch {
	case text == "":
	case p.markdown:
		fmt.Fprintf(p, "## %s\n\n", escape(text))
	default:
		fmt.Fprintln(p, text)
	}
}

// table lays rows out, the first of them heads; a row of one cell is a remark.
func (p *page) table(heading string, rows [][]string) {
	if len(rows) < 2 {
		return
	}
	p.heading(heading)
	if !p.markdown {
		var g grid
		for _, row := range rows {
			if len(row) > 1 {
				g.add(row...)
			}
		}
		for _, line := range g.lines("  ") {
			fmt.Fprintln(p, line)
		}
	} else {
		for i, row := range rows {
			if len(row) == 1 {
				continue
			}
			cells := make([]string, len(row))
			for k, c := range row {
				cells[k] = escape(c)
			}
			fmt.Fprintf(p, "| %s |\n", strings.Join(cells, " | "))
			if i == 0 {
				fmt.Fprintf(p, "|---|%s\n", strings.Repeat("---:|", len(row)-1))
			}
		}
	}
	for _, row := range rows {
		if len(row) == 1 {
			if p.markdown {
				fmt.Fprintf(p, "\n%s\n", escape(row[0]))
				continue
			}
			for _, line := range wrap(row[0], "  ", "  ") {
				fmt.Fprintln(p, line)
			}
		}
	}
}

// list lays sentences out, one under the other.
func (p *page) list(heading string, lines []string, bullets bool) {
	if len(lines) == 0 {
		return
	}
	p.heading(heading)
	for _, text := range lines {
		switch {
		case p.markdown:
			fmt.Fprintf(p, "- %s\n", escape(text))
		case bullets:
			for _, line := range wrap(text, "  - ", "    ") {
				fmt.Fprintln(p, line)
			}
		default:
			for _, line := range wrap(text, "  ", "  ") {
				fmt.Fprintln(p, line)
			}
		}
	}
}
