package blend_test

import (
	"context"
	"fmt"
	"log"
	"strings"

	"heapwright/blend"
	"heapwright/feedstocks"
)

func ExampleFormulate() {
	plan, err := blend.ReadPlan(strings.NewReader(`
[measures]
sack = "110 L"

[on_hand]
leaves = "14 sacks"
"broiler litter" = "60 kg"
`), "heap.toml")
	if err != nil {
		log.Fatal(err)
	}
	library, err := feedstocks.Default()
	if err != nil {
		log.Fatal(err)
	}
	problem, err := plan.Problem(library)
	if err != nil {
		log.Fatal(err)
	}
	recipe, err := blend.Formulate(context.Background(), problem)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%v: C:N %.1f, moisture %.0f %%\n", recipe.Status, recipe.Figures.CarbonToNitrogen, 100*recipe.Figures.Moisture)
	for _, part := range recipe.Mixture.Parts {
		fmt.Printf("%s: %.0f kg, %.0f L\n", part.Name, part.MassKg, 1000*part.VolumeM3())
	}
	fmt.Printf("water: %.0f L\n", recipe.Mixture.AddedWaterKg)
	// Output:
	// on target: C:N 30.0, moisture 55 %
	// leaves: 108 kg, 1540 L
	// broiler litter: 43 kg, 83 L
	// water: 58 L
}

func ExampleJudge() {
	plan := blend.NewPlan("")
	plan.Set("10 sacks", "on_hand", "leaves")
	plan.Set("2 barrows", "on_hand", "grass clippings")
	plan.Set("20 L", "pile", "water")
	plan.Set("1 m3", "pile", "largest")
	library, err := feedstocks.Default()
	if err != nil {
		log.Fatal(err)
	}
	problem, err := plan.Problem(library)
	if err != nil {
		log.Fatal(err)
	}
	recipe, err := blend.Judge(problem)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%v: C:N %.1f, moisture %.0f %%\n", recipe.Status, recipe.Figures.CarbonToNitrogen, 100*recipe.Figures.Moisture)
	for _, breach := range recipe.Breaches() {
		fmt.Println(breach)
	}
	// Output:
	// out of reach: C:N 38.3, moisture 59 %
	// the pile of 1.02 m3 is larger than the 1.00 m3 that fit
}

// The arithmetic of two leaf and grass mixes of a laboratory study, C:N 30 and
// 22 in print. The parts are dry mass.
func ExampleMixture() {
	leaves := feedstocks.Composition{Carbon: 0.48, Nitrogen: 0.010}
	grass := feedstocks.Composition{Carbon: 0.48, Nitrogen: 0.028}
	for _, parts := range [][2]float64{{2, 1}, {1, 2}} {
		mix := blend.Mixture{Parts: []blend.Part{
			{Name: "leaves", Composition: leaves, MassKg: parts[0]},
			{Name: "grass", Composition: grass, MassKg: parts[1]},
		}}
		fmt.Printf("%.0f to %.0f: %.3f kg of carbon / %.3f kg of nitrogen = %.0f\n",
			parts[0], parts[1], mix.CarbonKg(), mix.NitrogenKg(), mix.CarbonToNitrogen())
	}
	// Output:
	// 2 to 1: 1.440 kg of carbon / 0.048 kg of nitrogen = 30
	// 1 to 2: 1.440 kg of carbon / 0.066 kg of nitrogen = 22
}

// 100 kg of dry leaves and the water that brings them to 60 %.
func ExampleWaterToReach() {
	fmt.Printf("%.0f L\n", blend.WaterToReach(100, 0.40, 0.60))
	// Output:
	// 50 L
}
