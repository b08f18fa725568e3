package report

import (
	"fmt"
	"io"
	"strings"

	"heapwright/blend"
)

// writeText lays a recipe out for a person at a terminal.
func writeText(w io.Writer, a *Answer, o Options) error {
	r := a.Recipe
	var lines []string
	section := func(title string, body ...string) {
		if len(body) > 0 {
			lines = append(lines, "")
			if title != "" {
				lines = append(lines, title)
			}
			lines = append(lines, body...)
		}
	}
	if o.Title != "" {
		lines = append(lines, o.Title, "")
	}
	lines = append(lines, wrap(verdict(a, o), "", "")...)
	why := reasonLines(a, o)
	if r.Conflict {
		section("Why", why.cause...)
		section("What would mend it", why.mend...)
		_, err := io.WriteString(w, strings.Join(lines, "\n")+"\n")
		return err
	}
	section("", targetLines(r)...)
	section("Why", why.cause...)
	section("What would mend it", why.mend...)
	section(heading(o.Kind), ingredientLines(r, o)...)
	section("", wholeLines(a, o)...)
	section("The pile", pileLines(r, o)...)
	section("How sure it is", chanceLines(a, o)...)
	section("What limits it", why.limits...)
	if o.Explain {
		section("How it comes out, with your numbers", explainLines(r)...)
	}
	var mind []string
	for _, m := range minded(r) {
		mind = append(mind, wrap(m, "  - ", "    ")...)
	}
	section("Mind", mind...)
	var notes []string
	for _, n := range notesOf(r) {
		notes = append(notes, wrap(n, "  - ", "    ")...)
	}
	section("Notes", notes...)
	_, err := io.WriteString(w, strings.Join(lines, "\n")+"\n")
	return err
}

// verdict says in a sentence how the recipe stands to its target.
func verdict(a *Answer, o Options) string {
	r := a.Recipe
	switch {
	case a.Sure != nil && !a.Sure.Reached && r.Status == blend.OutOfReach && a.Sure.Nearest.Status != blend.OutOfReach:
		return "The surety asked for cannot be had. This is the surest mix; by the usual figures " + missed(r) + ", and it is surest all the same, because the figures spread unevenly."
	case r.Conflict:
		return "Out of reach: the limits of the plan cannot all hold together, so there is no mix at all."
	case r.Status == blend.OnTarget:
		return "On target: C:N and moisture are what you aim at."
	case r.Status == blend.InRange:
		return "In range: not quite what you aim at, but C:N and moisture are both within the good range."
	case o.Kind == Check:
		return "Out of reach of the good range: " + missed(r) + "."
	case r.Exact != nil && r.Exact.Status != blend.OutOfReach:
		return "Out of reach in whole measures: the nearest misses the good range, for " + missed(r) + ". The exact mix lies within it: leave out " + o.wholeName() + ", or give amounts in a smaller measure."
	}
	return "Out of reach: no mix of what is on hand is in the good range. This is the nearest one: " + missed(r) + "."
}

// missed names the values that lie outside their ranges.
func missed(r *blend.Recipe) string {
	var out []string
	t, f := r.Problem.Target, r.Figures
	if t.CarbonToNitrogen.Outside(f.CarbonToNitrogen) {
		out = append(out, "C:N is too "+highLow(f.CarbonToNitrogen > t.CarbonToNitrogen.Aim))
	}
	if t.Moisture.Outside(f.Moisture) {
		wet := "dry"
		if f.Moisture > t.Moisture.Aim {
			wet = "wet"
		}
		out = append(out, "it is too "+wet)
	}
	return strings.Join(out, " and ")
}

func highLow(high bool) string {
	if high {
		return "high (short of nitrogen)"
	}
	return "low (short of carbon)"
}

func targetLines(r *blend.Recipe) []string {
	t, f := r.Problem.Target, r.Figures
	var g grid
	g.add("", "is", "aim", "good from", "")
	row := func(name string, v string, a blend.Aim, scale float64, unit string, outside bool) {
		mark := ""
		if outside {
			mark = "outside"
		}
		g.add(name, v, short(a.Aim*scale)+unit, short(a.Low*scale)+" to "+short(a.High*scale)+unit, mark)
	}
	row("C:N", one(f.CarbonToNitrogen), t.CarbonToNitrogen, 1, "", t.CarbonToNitrogen.Outside(f.CarbonToNitrogen))
	row("moisture", one(100*f.Moisture)+" %", t.Moisture, 100, " %", t.Moisture.Outside(f.Moisture))
	return g.lines("  ")
}

func ingredientLines(r *blend.Recipe, o Options) []string {
	var g grid
	head := []string{"", "", "weight", "of volume"}
	if o.Kind == Mix {
		head = append(head, "left over")
	}
	g.add(head...)
	for _, i := range ingredients(r) {
		share := "?"
		if known(i.share) {
			share = percent(i.share)
		}
		cells := []string{i.name, i.amount(), o.Units.mass(i.massKg), share}
		if i.massKg < grain {
			cells = []string{i.name, "none", "", ""}
		}
		if o.Kind == Mix {
			left := "none"
			if i.leftKg > grain {
				left = measured(i.left)
			}
			cells = append(cells, left)
		}
		g.add(cells...)
	}
	water := r.Mixture.AddedWaterKg
	if water >= grain {
		g.add("water", o.Units.water(water), o.Units.mass(water), "")
	} else {
		g.add("water", "none", "", "")
	}
	return g.lines("  ")
}

// pileLines lays the facts of the pile out for text.
func pileLines(r *blend.Recipe, o Options) []string {
	var lines []string
	for _, fact := range pileFacts(r, o) {
		lines = append(lines, wrap(fact[1], fmt.Sprintf("  %-12s  ", fact[0]), strings.Repeat(" ", 16))...)
	}
	return lines
}

// pileFacts are what is told of the pile: name and value.
func pileFacts(r *blend.Recipe, o Options) [][2]string {
	f := r.Figures
	var facts [][2]string
	add := func(name, value string) { facts = append(facts, [2]string{name, value}) }
	if known(f.VolumeM3) {
		add("size", fmt.Sprintf("%s built (%s loose, before it nests)", o.Units.volume(f.VolumeM3), o.Units.volume(f.LooseVolumeM3)))
		if shape := o.Units.shape(f.VolumeM3).String(); shape != "" {
			add("shape", shape)
		}
	}
	add("weight", o.Units.mass(f.MassKg))
	if known(f.BulkDensityKgM3) {
		add("bulk density", o.Units.density(f.BulkDensityKgM3))
		air := percent(f.FreeAirSpace) + " of the volume"
		if f.FreeAirSpace <= 0 {
			air = "none: it cannot be as dense as its figures say, so check the bulk densities"
		}
		add("air", air)
	}
	if known(f.FinishedM3.Usual) {
		add("will become", o.Units.volumes(f.FinishedM3)+", as compost")
	} else {
		add("will become", o.Units.masses(f.FinishedKg)+", as compost")
	}
	if cost := r.Cost(); cost > 0 {
		add("cost", fmt.Sprintf("%.2f, in the money of the prices given", cost))
	}
	npk := fmt.Sprintf("%.2f %% nitrogen", 100*f.NitrogenKg/f.DryKg)
	if known(f.Phosphate) {
		npk += fmt.Sprintf(", %.2f %% P2O5", 100*f.Phosphate)
	}
	if known(f.Potash) {
		npk += fmt.Sprintf(", %.2f %% K2O", 100*f.Potash)
	}
	add("dry matter", fmt.Sprintf("%s, with %s", o.Units.mass(f.DryKg), npk))
	if known(f.BiodegradableCarbonToNitrogen) {
		add("available C:N", one(f.BiodegradableCarbonToNitrogen)+" (lignin left out; for a second look, not a target)")
	}
	add("heat", heat(f))
	return facts
}

// heat puts Haug's water ratio in words.
func heat(f blend.Figures) string {
	ratio := f.WaterRatio
	says := "expected to heat and to dry as it does"
	switch {
	case f.Moisture < blend.DryBelow:
		return "too dry to heat well: it wants water"
	case ratio > 10:
		says = "more water than its heat can drive off"
	case ratio > 8:
		says = "will heat, but hardly dry"
	}
	return fmt.Sprintf("%s: %s kg of water for each kg that can rot, where about 8 is the most", says, one(ratio))
}

// notesOf gathers the notes of the recipe and of the materials in it.
func notesOf(r *blend.Recipe) []string {
	notes := append([]string{}, r.Notes...)
	for _, part := range r.Mixture.Parts {
		if part.MassKg > 0 {
			for _, n := range part.Composition.Notes {
				notes = append(notes, part.Name+": "+n)
			}
		}
	}
	return notes
}
