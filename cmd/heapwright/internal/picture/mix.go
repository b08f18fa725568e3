package picture

import (
	"context"

	"heapwright/blend"
	"heapwright/blend/chance"
)

// Point is a pair of moisture (a fraction, wet basis) and C:N (to one).
type Point struct{ Moisture, CarbonToNitrogen float64 }

// Mix is what a mixing picture shows: moisture against C:N, with the materials
// on hand, all that can be mixed of them, the good range, and the recipe.
type Mix struct {
	Title  string
	Recipe *blend.Recipe
	Region blend.Region // what can be mixed; empty where nothing can
	Cloud  []Point      // what the recipe may turn out to be; may be empty
}

const (
	regionSlices = 48
	cloudDraws   = 400
)

// NewMix gathers the picture of a recipe. The outcomes are the first of those
// that [chance.Of] draws with the seed. The error is the context's or an
// internal one.
func NewMix(ctx context.Context, recipe *blend.Recipe, title string, seed uint64) (*Mix, error) {
	m := &Mix{Title: title, Recipe: recipe}
	var err error
	if m.Region, err = recipe.Problem.Region(ctx, regionSlices); err != nil {
		return nil, err
	}
	drawn, err := chance.Outcomes(ctx, recipe, cloudDraws, seed)
	for _, o := range drawn {
		m.Cloud = append(m.Cloud, Point{o.Moisture, o.CarbonToNitrogen})
	}
	return m, err
}
