package lesson

import (
	"fmt"
	"strings"

	"heapwright/blend"
)

// mixture brings materials and their weights together; dried says that the
// weights are of dry matter.
func mixture(of []material, kg []int, waterKg int, dried bool) blend.Mixture {
	mix := blend.Mixture{AddedWaterKg: float64(waterKg)}
	for i, m := range of {
		part := m.part(float64(kg[i]))
		if dried {
			part = m.driedPart(float64(kg[i]))
		}
		mix.Parts = append(mix.Parts, part)
	}
	return mix
}

// weighed is the table of materials as weighed.
func weighed(of []material, kg []int) Block {
	b := Block{Head: []string{"material", "weight", "moisture", "carbon", "nitrogen"}}
	for i, m := range of {
		b.Rows = append(b.Rows, []string{m.name, fmt.Sprintf("%d kg", kg[i]), m.moistureText(), m.carbonText(), m.nitrogenText()})
	}
	return b
}

// drySteps is the dry matter of each material.
func (d *drawing) drySteps(mix blend.Mixture) []string {
	var out []string
	for _, p := range mix.Parts {
		out = append(out, fmt.Sprintf("dry matter of %s: %s x (1 - %s) = %s kg", p.Name, d.exact(p.MassKg), d.exact(p.Composition.Moisture), d.exact(p.DryKg())))
	}
	return out
}

// carbonStep and nitrogenStep add up what the dry matter holds.
func (d *drawing) carbonStep(mix blend.Mixture) string {
	return d.sumStep(mix, "carbon", blend.Part.CarbonKg, func(p blend.Part) float64 { return p.Composition.Carbon }, mix.CarbonKg())
}

func (d *drawing) nitrogenStep(mix blend.Mixture) string {
	return d.sumStep(mix, "nitrogen", blend.Part.NitrogenKg, func(p blend.Part) float64 { return p.Composition.Nitrogen }, mix.NitrogenKg())
}

func (d *drawing) sumStep(mix blend.Mixture, what string, of, share func(blend.Part) float64, sum float64) string {
	var products, values []string
	for _, p := range mix.Parts {
		products = append(products, d.exact(p.DryKg())+" x "+d.exact(share(p)))
		values = append(values, d.exact(of(p)))
	}
	return fmt.Sprintf("%s: %s = %s = %s kg", what, strings.Join(products, " + "), strings.Join(values, " + "), d.exact(sum))
}

// ratioStep divides carbon by nitrogen.
func (d *drawing) ratioStep(mix blend.Mixture, decimals int) (step, ratio string) {
	r := mix.CarbonToNitrogen()
	d.want(r > 14.97 && r < 60.03)
	ratio = d.rounded(r, decimals)
	return fmt.Sprintf("C:N = all carbon / all nitrogen = %s / %s", d.exact(mix.CarbonKg()), d.exact(mix.NitrogenKg())) + d.ends(r, ratio, decimals, ""), ratio
}

// goodRange is the C:N that a mix should have, as the tool takes it when a plan
// says nothing.
func goodRange() blend.Aim { return blend.DefaultTarget().CarbonToNitrogen }

func ratioOfDry(d *drawing) Problem {
	of := d.apart(false, []role{brown}, []role{green})
	kg := []int{d.among(2, 20, 1), d.among(2, 20, 1)}
	mix := mixture(of, kg, 0, true)
	table := Block{Head: []string{"material", "dry matter", "carbon", "nitrogen"}}
	for i, m := range of {
		table.Rows = append(table.Rows, []string{m.name, fmt.Sprintf("%d kg", kg[i]), m.carbonText(), m.nitrogenText()})
	}
	carbon, nitrogen := d.carbonStep(mix), d.nitrogenStep(mix)
	step, ratio := d.ratioStep(mix, 0)
	return Problem{
		Says: []Block{say("Two materials are mixed. Carbon and nitrogen are shares of the dry matter."), table},
		Asks: []Ask{
			{"How much carbon is in the mix, in kg?", d.exact(mix.CarbonKg()) + " kg", []string{carbon}},
			{"How much nitrogen is in the mix, in kg?", d.exact(mix.NitrogenKg()) + " kg", []string{nitrogen}},
			{"What is its C:N, to the whole number?", ratio, []string{step}},
		},
	}
}

func ratioAsWeighed(d *drawing) Problem {
	of := d.apart(false, []role{brown}, []role{green, manure})
	kg := []int{d.among(10, 50, 10), d.among(20, 90, 10)}
	mix := mixture(of, kg, 0, false)
	var dry []string
	for _, p := range mix.Parts {
		dry = append(dry, p.Name+" "+d.exact(p.DryKg())+" kg")
	}
	step, ratio := d.ratioStep(mix, 1)
	good := goodRange()
	verdict := "yes"
	switch r := mix.CarbonToNitrogen(); {
	case r < good.Low:
		verdict = "no, too low"
	case r > good.High:
		verdict = "no, too high"
	}
	compare := fmt.Sprintf("%s lies between %s and %s", ratio, plain(good.Low), plain(good.High))
	if verdict == "no, too low" {
		compare = fmt.Sprintf("%s is under %s: it wants more of what is rich in carbon", ratio, plain(good.Low))
	} else if verdict == "no, too high" {
		compare = fmt.Sprintf("%s is over %s: it wants more of what is rich in nitrogen", ratio, plain(good.High))
	}
	d.want(number(ratio) != good.Low && number(ratio) != good.High)
	return Problem{
		Says: []Block{say("Two materials are mixed as they come, moist. Moisture is a share of the whole weight, carbon and nitrogen are shares of the dry matter."), weighed(of, kg)},
		Asks: []Ask{
			{"How much dry matter is in each, in kg?", strings.Join(dry, ", "), d.drySteps(mix)},
			{"What is the C:N of the mix, to one decimal?", ratio, []string{d.carbonStep(mix), d.nitrogenStep(mix), step}},
			{fmt.Sprintf("A mix heats well at a C:N of %s to %s. Is it in this range?", plain(good.Low), plain(good.High)), verdict, []string{compare}},
		},
	}
}

// threeOf draws three materials and a mix of them as weighed.
func threeOf(d *drawing, dense bool, low, high, step int) ([]material, []int, blend.Mixture) {
	of := d.apart(dense, []role{brown}, []role{green, manure}, []role{brown, green, manure})
	kg := []int{d.among(low, high, step), d.among(low, high, step), d.among(low, high, step)}
	return of, kg, mixture(of, kg, 0, false)
}

// moistureSteps is the water in a mix and its share of the whole weight.
func (d *drawing) moistureSteps(mix blend.Mixture, decimals int) (steps []string, moisture string) {
	var products, values []string
	for _, p := range mix.Parts {
		products = append(products, d.exact(p.MassKg)+" x "+d.exact(p.Composition.Moisture))
		values = append(values, d.exact(p.WaterKg()))
	}
	sum := strings.Join(values, " + ")
	if w := mix.AddedWaterKg; w > 0 {
		products, sum = append(products, d.exact(w)), sum+" + "+d.exact(w)
	}
	moisture = d.rounded(100*mix.Moisture(), decimals)
	return []string{
		fmt.Sprintf("water: %s = %s = %s kg", strings.Join(products, " + "), sum, d.exact(mix.WaterKg())),
		fmt.Sprintf("moisture = water / whole weight = %s / %s", d.exact(mix.WaterKg()), d.exact(mix.MassKg())) + d.ends(100*mix.Moisture(), moisture, decimals, "%"),
	}, moisture
}

func threeWithWater(d *drawing) Problem {
	of, kg, mix := threeOf(d, false, 10, 60, 10)
	water := d.among(5, 60, 5)
	mix.AddedWaterKg = float64(water)
	steps, moisture := d.moistureSteps(mix, 0)
	step, ratio := d.ratioStep(mix, 1)
	d.want(mix.Moisture() > 0.3503 && mix.Moisture() < 0.7497)
	return Problem{
		Says: []Block{
			say("Three materials are mixed. Moisture is a share of the whole weight, carbon and nitrogen are shares of the dry matter."),
			weighed(of, kg),
			say(fmt.Sprintf("Over them go %d L of water (1 L weighs 1 kg).", water)),
		},
		Asks: []Ask{
			{"What is the moisture of the mix with the water, in whole per cent?", moisture + " %", steps},
			{"What is its C:N, to one decimal?", ratio,
				append(d.drySteps(mix), d.carbonStep(mix), d.nitrogenStep(mix), step)},
		},
	}
}

// lackSteps is the water that brings a mix to a moisture: given what the mix
// holds of dry matter, no rounded figure goes into it; one who goes by way of
// the rounded moisture finds the same.
func (d *drawing) lackSteps(mix blend.Mixture, moisture string, goal int) (steps []string, litres string) {
	g := float64(goal) / 100
	full := blend.WaterToReach(mix.MassKg(), mix.Moisture(), g)
	d.want(full > 4.97)
	byRounded := blend.WaterToReach(mix.MassKg(), number(moisture)/100, g)
	litres = d.carried(full, byRounded, 0)
	return []string{
		"water to add = weight x (goal - moisture) / (100 - goal), with both in per cent",
		fmt.Sprintf("%s x (%d - %s) / (100 - %d)", d.exact(mix.MassKg()), goal, moisture, goal) + d.ends(byRounded, litres, 0, "L"),
	}, litres
}

func threeAndLack(d *drawing) Problem {
	of, kg, mix := threeOf(d, false, 10, 90, 10)
	goal := pick(d, 55, 60)
	steps, moisture := d.moistureSteps(mix, 1)
	step, ratio := d.ratioStep(mix, 1)
	lack, litres := d.lackSteps(mix, moisture, goal)
	return Problem{
		Says: []Block{
			say("Three materials are mixed. Moisture is a share of the whole weight, carbon and nitrogen are shares of the dry matter."),
			weighed(of, kg),
			say(fmt.Sprintf("The mix is to come to %d %% moisture.", goal)),
		},
		Asks: []Ask{
			{"What is the C:N of the mix, to one decimal?", ratio,
				append(d.drySteps(mix), d.carbonStep(mix), d.nitrogenStep(mix), step)},
			{"What is its moisture before water is added, in per cent to one decimal?", moisture + " %", steps},
			{"How much water is to be added, in whole litres (1 L weighs 1 kg)?", litres + " L", lack},
			{"Does the water change the C:N?", "no", []string{"water brings neither carbon nor nitrogen"}},
		},
	}
}
