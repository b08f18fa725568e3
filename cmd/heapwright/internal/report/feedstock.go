package report

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"heapwright/feedstocks"
)

// FeedstockList writes a line for each material.
func FeedstockList(w io.Writer, all []*feedstocks.Feedstock, f Format) error {
	switch f {
	case JSON:
		out := feedstocksJSON{Schema: "heapwright.feedstocks/1", Feedstocks: []feedstockJSON{}}
		for _, f := range all {
			out.Feedstocks = append(out.Feedstocks, feedstockView(f))
		}
		return encode(w, out)
	case CSV:
		return feedstocksCSV(w, all)
	}
	if len(all) == 0 {
		_, err := fmt.Fprintln(w, "No material has those words. heapwright feedstocks list shows them all.")
		return err
	}
	var g grid
	g.add("", "nitrogen", "C:N", "moisture", "density")
	g.add("", "% of dry", "to one", "% wet", "kg/m3")
	group := ""
	for _, f := range all {
		if f.Group != group {
			group = f.Group
			g.add("")
			g.add(group)
		}
		cells := []string{"  " + f.Name}
		for _, k := range []feedstocks.Kind{feedstocks.Nitrogen, feedstocks.CarbonToNitrogen, feedstocks.Moisture, feedstocks.BulkDensity} {
			v, ok := f.Typical(k)
			if !ok {
				cells = append(cells, "-")
				continue
			}
			cells = append(cells, short(outer(k, v)))
		}
		g.add(cells...)
	}
	lines := append(g.lines(""), "")
	lines = append(lines, wrap(fmt.Sprintf("%d materials; - is not known. heapwright feedstocks show NAME gives ranges and sources.", len(all)), "", "")...)
	_, err := io.WriteString(w, strings.Join(lines, "\n")+"\n")
	return err
}

// Feedstock writes one material with each number's range, source and standing.
func Feedstock(w io.Writer, f *feedstocks.Feedstock, lib *feedstocks.Library, layout Format) error {
	switch layout {
	case JSON:
		v := feedstockView(f)
		v.Schema = "heapwright.feedstock/1"
		return encode(w, v)
	case CSV:
		return feedstocksCSV(w, []*feedstocks.Feedstock{f})
	}
	lines := []string{f.Title}
	if f.Title == "" {
		lines[0] = f.Name
	}
	lines = append(lines, wrap("known as: "+strings.Join(append([]string{f.Name}, f.Aliases...), ", "), "  ", "    ")...)
	lines = append(lines, "  group: "+f.Group, "")
	var g grid
	g.add("", "typical", "from", "to", "", "standing")
	var cited []string
	for _, k := range feedstocks.Kinds() {
		p, ok := f.Properties[k]
		if !ok {
			continue
		}
		low, high := "-", "-"
		if p.HasRange() {
			low, high = short(outer(k, p.Low)), short(outer(k, p.High))
		}
		g.add(k.Label(), short(outer(k, p.Typical)), low, high, k.Unit(), standing(p.Cite))
		if p.HasRange() && p.RangeCite() != p.Cite {
			g.add("", "", "", "", "", "range "+standing(p.RangeCite()))
		}
		for _, c := range []feedstocks.Cite{p.Cite, p.RangeCite()} {
			if c.Source != "" && !slices.Contains(cited, c.Source) {
				cited = append(cited, c.Source)
			}
		}
	}
	lines = append(lines, g.lines("  ")...)
	if c, err := f.Composition(); err == nil {
		lines = append(lines, "", fmt.Sprintf("  reckoned with: carbon %s %% and nitrogen %s %% of dry matter (%s)", short(100*c.Carbon), short(100*c.Nitrogen), c.CarbonFrom))
		for _, n := range c.Notes {
			lines = append(lines, wrap(n, "    ", "    ")...)
		}
	} else {
		lines = append(lines, "")
		lines = append(lines, wrap("Not enough is known to reckon with it as it stands: "+strings.TrimPrefix(err.Error(), "feedstocks: ")+".", "  ", "  ")...)
	}
	var notes []string
	if f.Note != "" {
		notes = append(notes, f.Note)
	}
	for _, k := range feedstocks.Kinds() {
		if n := f.Properties[k].Note; n != "" {
			notes = append(notes, k.Label()+": "+n)
		}
	}
	bullets := func(title string, items []string) {
		if len(items) > 0 {
			lines = append(lines, "", title)
			for _, item := range items {
				lines = append(lines, wrap(item, "  - ", "    ")...)
			}
		}
	}
	bullets("Notes", notes)
	var mind []string
	for _, key := range f.Cautions {
		mind = append(mind, feedstocks.CautionText(key))
	}
	bullets("Mind", mind)
	var sources []string
	for _, key := range cited {
		if s, ok := lib.Source(key); ok {
			sources = append(sources, sourceLine(s))
		} else {
			sources = append(sources, key)
		}
	}
	bullets("Sources", sources)
	_, err := io.WriteString(w, strings.Join(lines, "\n")+"\n")
	return err
}

// standing words where a number comes from.
func standing(c feedstocks.Cite) string {
	if c.Source == "" {
		return c.Standing.String()
	}
	return c.Standing.String() + ", " + c.Source
}

func sourceLine(s feedstocks.Source) string {
	who := s.Key + ": " + s.Author
	if s.Year > 0 {
		who += fmt.Sprintf(" (%d)", s.Year)
	}
	parts := []string{who, s.Title, s.Where, s.Table}
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), ", ")
}

// outer brings a figure into the unit that people read it in.
func outer(k feedstocks.Kind, v float64) float64 {
	if k.Percent() {
		return 100 * v
	}
	return v
}

type feedstocksJSON struct {
	Schema     string          `json:"schema"`
	Feedstocks []feedstockJSON `json:"feedstocks"`
}

type feedstockJSON struct {
	Schema     string                  `json:"schema,omitempty"`
	Name       string                  `json:"name"`
	Title      string                  `json:"title"`
	Also       []string                `json:"also"`
	Group      string                  `json:"group"`
	Cautions   []string                `json:"cautions"`
	Note       string                  `json:"note,omitempty"`
	Properties map[string]propertyJSON `json:"properties"`
}

type propertyJSON struct {
	Low           float64 `json:"low"`
	Typical       float64 `json:"typical"`
	High          float64 `json:"high"`
	Unit          string  `json:"unit"`
	Source        string  `json:"source,omitempty"`
	Standing      string  `json:"standing"`
	RangeSource   string  `json:"range_source,omitempty"`
	RangeStanding string  `json:"range_standing,omitempty"`
	Note          string  `json:"note,omitempty"`
}

func feedstockView(f *feedstocks.Feedstock) feedstockJSON {
	v := feedstockJSON{
		Name: f.Name, Title: f.Title, Group: f.Group, Note: f.Note,
		Also:       append([]string{}, f.Aliases...),
		Cautions:   append([]string{}, f.Cautions...),
		Properties: map[string]propertyJSON{},
	}
	for k, p := range f.Properties {
		j := propertyJSON{
			Low: tidy(outer(k, p.Low)), Typical: tidy(outer(k, p.Typical)), High: tidy(outer(k, p.High)),
			Unit: k.Unit(), Source: p.Source, Standing: p.Standing.String(), Note: p.Note,
		}
		if r := p.RangeCite(); r != p.Cite {
			j.RangeSource, j.RangeStanding = r.Source, r.Standing.String()
		}
		v.Properties[k.String()] = j
	}
	return v
}

// tidy takes off the rounding that a percentage picks up as a fraction.
func tidy(v float64) float64 { return math.Round(v*1e9) / 1e9 }

func encode(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// feedstocksCSV writes one row a property.
func feedstocksCSV(w io.Writer, all []*feedstocks.Feedstock) error {
	c := csv.NewWriter(w)
	_ = c.Write([]string{"name", "group", "property", "unit", "low", "typical", "high", "source", "standing", "range_source", "range_standing"})
	cell := func(v float64) string { return strconv.FormatFloat(tidy(v), 'g', -1, 64) }
	for _, f := range all {
		for _, k := range feedstocks.Kinds() {
			p, ok := f.Properties[k]
			if !ok {
				continue
			}
			r := p.RangeCite()
			_ = c.Write([]string{f.Name, f.Group, k.String(), k.Unit(), cell(outer(k, p.Low)), cell(outer(k, p.Typical)), cell(outer(k, p.High)), p.Source, p.Standing.String(), r.Source, r.Standing.String()})
		}
	}
	c.Flush()
	return c.Error()
}
