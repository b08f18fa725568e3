package lesson

import (
	"fmt"

	"heapwright/blend"
)

// forGoal works out how much dry matter of b brings that of a, dryKg, to a C:N
// of goal, with its steps up to the division.
func (d *drawing) forGoal(a, b material, dryKg float64, goal int) (kg float64, steps []string) {
	have, spare := a.driedPart(dryKg), b.composition()
	g := float64(goal)
	short := g*have.NitrogenKg() - have.CarbonKg()
	each := spare.Carbon - g*spare.Nitrogen
	d.want(short > 0 && each > 0.0203)
	kg = short / each
	mix := blend.Mixture{Parts: []blend.Part{have, b.driedPart(kg)}}
	r := mix.CarbonToNitrogen()
	d.want(r > g-1e-6 && r < g+1e-6)
	return kg, []string{
		fmt.Sprintf("%s: nitrogen %s x %s = %s kg, carbon %s x %s = %s kg", a.name, d.exact(dryKg), d.exact(have.Composition.Nitrogen), d.exact(have.NitrogenKg()), d.exact(dryKg), d.exact(have.Composition.Carbon), d.exact(have.CarbonKg())),
		fmt.Sprintf("at %d to one its nitrogen wants %d x %s = %s kg of carbon: short by %s - %s = %s kg", goal, goal, d.exact(have.NitrogenKg()), d.exact(g*have.NitrogenKg()), d.exact(g*have.NitrogenKg()), d.exact(have.CarbonKg()), d.exact(short)),
		fmt.Sprintf("1 kg of dry %s brings %s kg of carbon and needs %d x %s = %s kg for its own nitrogen: %s - %s = %s kg to spare", b.name, d.exact(spare.Carbon), goal, d.exact(spare.Nitrogen), d.exact(g*spare.Nitrogen), d.exact(spare.Carbon), d.exact(g*spare.Nitrogen), d.exact(each)),
		fmt.Sprintf("dry %s = %s / %s", b.name, d.exact(short), d.exact(each)),
	}
}

func dryForGoal(d *drawing) Problem {
	of := d.apart(false, []role{green, manure}, []role{brown})
	a, b := of[0], of[1]
	dry, goal := d.among(4, 30, 1), pick(d, 25, 28, 30, 32, 35)
	kg, steps := d.forGoal(a, b, float64(dry), goal)
	answer := d.rounded(kg, 1)
	d.want(kg > 1.97 && kg < 60.03)
	steps[len(steps)-1] += d.ends(kg, answer, 1, "kg")
	return Problem{
		Says: []Block{
			say(fmt.Sprintf("A heap holds %d kg of dry matter of %s. It is to have a C:N of %d, with %s mixed in. Carbon and nitrogen are shares of the dry matter.", dry, a.name, goal, b.name)),
			{Head: []string{"material", "carbon", "nitrogen"}, Rows: [][]string{
				{a.name, a.carbonText(), a.nitrogenText()}, {b.name, b.carbonText(), b.nitrogenText()},
			}},
		},
		Asks: []Ask{{fmt.Sprintf("How much dry matter of %s does it take, in kg to one decimal?", b.name), answer + " kg", steps}},
	}
}

func sacksForGoal(d *drawing) Problem {
	a := d.oneOf(false, green, manure)
	b := d.oneOf(true, brown)
	kg, goal, sack := d.among(20, 120, 10), pick(d, 25, 28, 30, 32, 35), d.among(60, 120, 10)
	part := a.part(float64(kg))
	full, steps := d.forGoal(a, b, part.DryKg(), goal)
	dry := d.rounded(full, 1)
	steps[len(steps)-1] += d.ends(full, dry, 1, "kg")
	steps = append([]string{fmt.Sprintf("dry matter of %s: %d x (1 - %s) = %s kg", a.name, kg, d.exact(part.Composition.Moisture), d.exact(part.DryKg()))}, steps...)
	c := b.composition()
	fresh := d.carried(full/(1-c.Moisture), number(dry)/(1-c.Moisture), 0)
	perM3 := 1000 / c.DensityKgM3
	litres := d.carried(full/(1-c.Moisture)*perM3, number(fresh)*perM3, -1)
	sacks := d.carried(full/(1-c.Moisture)*perM3/float64(sack), number(litres)/float64(sack), 0)
	d.want(number(fresh) >= 8 && number(sacks) >= 1 && number(sacks) <= 40)
	return Problem{
		Says: []Block{
			say(fmt.Sprintf("%d kg of %s, moist, are to be mixed with %s to a C:N of %d. Moisture is a share of the whole weight, carbon and nitrogen are shares of the dry matter.", kg, a.name, b.name, goal)),
			{Head: []string{"material", "moisture", "carbon", "nitrogen"}, Rows: [][]string{
				{a.name, a.moistureText(), a.carbonText(), a.nitrogenText()}, {b.name, b.moistureText(), b.carbonText(), b.nitrogenText()},
			}},
			say(fmt.Sprintf("The bulk density of %s, loose, is %s. The class's own sack holds %d L.", b.name, b.densityText(), sack)),
		},
		Asks: []Ask{
			{fmt.Sprintf("How much dry matter of %s does it take, in kg to one decimal?", b.name), dry + " kg", steps},
			{"How much is that as it comes, moist, in whole kg?", fresh + " kg",
				[]string{fmt.Sprintf("fresh = dry / (1 - moisture) = %s / (1 - %s)", dry, d.exact(c.Moisture)) + d.ends(number(dry)/(1-c.Moisture), fresh, 0, "kg")}},
			{"How many litres is that, to the nearest 10 L?", litres + " L",
				[]string{fmt.Sprintf("volume = weight / bulk density = %s / %d x 1000", fresh, b.density) + d.ends(number(fresh)*perM3, litres, -1, "L")}},
			{"How many sacks, to the nearest whole sack?", sacks, []string{fmt.Sprintf("%s / %d", litres, sack) + d.ends(number(litres)/float64(sack), sacks, 0, "")}},
		},
	}
}
