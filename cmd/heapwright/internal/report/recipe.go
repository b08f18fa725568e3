package report

import (
	"io"
	"strings"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// Recipe writes a recipe to w in the layout that the options ask for.
func Recipe(w io.Writer, a *Answer, o Options) error {
	switch o.Format {
	case JSON:
		return writeJSON(w, a, o)
	case CSV:
		return writeCSV(w, a.Recipe)
	case Markdown:
		return writeMarkdown(w, a, o)
	}
	return writeText(w, a, o)
}

// ingredient is a line of a recipe.
type ingredient struct {
	name, feedstock string
	massKg          float64
	volumeM3        float64 // NaN when the density is not known
	share           float64 // of the loose volume; NaN likewise
	leftKg          float64
	amounts         []feedstocks.Quantity // in the measures of the plan
	left            feedstocks.Quantity
}

// amount writes the amounts: "14.9 sacks", "3 barrows and 1 bucket".
func (i ingredient) amount() string {
	var words []string
	for _, q := range i.amounts {
		if q.Number > 0 {
			words = append(words, measured(q))
		}
	}
	return strings.Join(words, " and ")
}

// grain is the weight in kg below which text speaks of none.
const grain = 0.0005

// ingredients lists the parts of a recipe, those not used included.
func ingredients(r *blend.Recipe) []ingredient {
	out := make([]ingredient, len(r.Mixture.Parts))
	for j, part := range r.Mixture.Parts {
		m := r.Problem.Materials[j]
		i := ingredient{
			name:     part.Name,
			massKg:   part.MassKg,
			volumeM3: part.VolumeM3(),
			share:    part.VolumeM3() / r.Figures.LooseVolumeM3,
			leftKg:   m.OnHandKg - part.MassKg,
			amounts:  []feedstocks.Quantity{m.Measured(part.MassKg)},
			left:     m.Measured(m.OnHandKg - part.MassKg),
		}
		if r.Portions != nil {
			i.amounts = nil
			for _, portion := range r.Portions[j] {
				i.amounts = append(i.amounts, portion.Quantity())
			}
		}
		if m.Feedstock != nil {
			i.feedstock = m.Feedstock.Name
		}
		out[j] = i
	}
	return out
}

// measured writes a quantity: "12.2 sacks", "93.6 kg".
func measured(q feedstocks.Quantity) string {
	if !q.Unit.Measure {
		return short(q.Number) + " " + q.Unit.Count(q.Number)
	}
	text := count(q.Number)
	if text == "1" {
		return "1 " + q.Unit.Count(1)
	}
	return text + " " + q.Unit.Count(q.Number)
}
