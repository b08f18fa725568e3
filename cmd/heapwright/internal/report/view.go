package report

import (
	"fmt"
	"strings"

	"heapwright/blend"
)

// View is a recipe in words and short numbers, for a page to lay out. Every
// figure is written as in the text layout.
type View struct {
	Title    string
	Status   string // as in JSON: "on target", "in range", "out of reach"
	Verdict  string
	Conflict bool // there is no mix at all, and only the reasons hold

	Targets     []TargetView
	Heading     string // of the ingredients
	Ingredients []IngredientView
	Whole       string // the same in whole measures, or what the exact mix is; "" for none
	Pile        [][2]string
	Chance      string // "" where none was drawn for
	Likely      string // the chance alone, as in "82 %"

	Cause, Mend, Limits []string
	Mind                []string // limits that are broken, and cautions
	Notes               []string
	Materials           []MaterialView
	Arithmetic          string // step by step, in lines
}

// TargetView is a figure that has an aim.
type TargetView struct {
	Name, Is, Aim, Good string
	Outside             bool
	Value               float64 // per cent for moisture
	Range               blend.Aim
}

// IngredientView is a line of a recipe.
type IngredientView struct{ Name, Amount, Weight, Share, Left string }

// MaterialView is what a material of the recipe is taken to be.
type MaterialView struct{ Name, CarbonToNitrogen, Moisture, Density string }

// ViewOf puts a recipe in words for a page.
func ViewOf(a *Answer, o Options) *View {
	o.Page = true
	r := a.Recipe
	why := reasonsOf(a, o)
	v := &View{
		Title: o.Title, Status: r.Status.String(), Verdict: verdict(a, o), Conflict: r.Conflict,
		Cause: why.cause, Mend: why.mend, Limits: why.limits,
	}
	if r.Conflict {
		return v
	}
	f, t := r.Figures, r.Problem.Target
	target := func(name string, is, scale float64, a blend.Aim, unit string) {
		v.Targets = append(v.Targets, TargetView{
			Name: name, Is: one(is*scale) + unit, Aim: short(a.Aim*scale) + unit,
			Good:    short(a.Low*scale) + " to " + short(a.High*scale) + unit,
			Outside: a.Outside(is), Value: is * scale,
			Range: blend.Aim{Low: a.Low * scale, Aim: a.Aim * scale, High: a.High * scale},
		})
	}
	target("C:N", f.CarbonToNitrogen, 1, t.CarbonToNitrogen, "")
	target("moisture", f.Moisture, 100, t.Moisture, " %")
	v.Heading = heading(o.Kind)
	for _, i := range ingredients(r) {
		line := IngredientView{Name: i.name, Amount: i.amount(), Weight: o.Units.mass(i.massKg), Share: "?", Left: "none"}
		if known(i.share) {
			line.Share = percent(i.share)
		}
		if i.massKg < grain {
			line.Amount, line.Weight, line.Share = "none", "", ""
		}
		if i.leftKg > grain {
			line.Left = measured(i.left)
		}
		v.Ingredients = append(v.Ingredients, line)
	}
	water := IngredientView{Name: "water", Amount: "none"}
	if kg := r.Mixture.AddedWaterKg; kg >= grain {
		water.Amount, water.Weight = o.Units.water(kg), o.Units.mass(kg)
	}
	v.Ingredients = append(v.Ingredients, water)
	v.Whole = wholeSentence(a, o)
	v.Pile = pileFacts(r, o)
	if c := a.Chance; c != nil {
		v.Chance, v.Likely = chanceSentence(a, o), likely(c.InAll)
	}
	v.Mind = minded(r)
	v.Notes = notesOf(r)
	for _, p := range r.Mixture.Parts {
		c := p.Composition
		m := MaterialView{p.Name, one(c.Carbon / c.Nitrogen), percent(c.Moisture), "not known"}
		if known(c.DensityKgM3) {
			m.Density = o.Units.density(c.DensityKgM3)
		}
		v.Materials = append(v.Materials, m)
	}
	v.Arithmetic = strings.Join(explainLines(r), "\n")
	return v
}

// Summary is the recipe in a sentence, to be read out.
func (v *View) Summary() string {
	if v.Conflict {
		return v.Verdict
	}
	var b strings.Builder
	for _, t := range v.Targets {
		fmt.Fprintf(&b, "%s %s. ", t.Name, t.Is)
	}
	if v.Likely != "" {
		fmt.Fprintf(&b, "Chance %s. ", v.Likely)
	}
	return b.String() + v.Verdict
}

func heading(kind Kind) string {
	if kind == Check {
		return "The recipe"
	}
	return "Put in"
}

// minded lists the limits that a recipe breaks, and what to mind.
func minded(r *blend.Recipe) []string {
	var out []string
	for _, b := range r.Breaches() {
		out = append(out, upper(b)+".")
	}
	for _, c := range r.Cautions() {
		out = append(out, c.Text)
	}
	return out
}
