package lesson

import (
	"fmt"

	"heapwright/blend"
	"heapwright/feedstocks"
)

const gram = 0.001 // kg

// sample is a sample weighed in g.
type sample struct{ dish, fresh, dry int }

// sampleOf draws a fresh weight and the dry one that goes with a moisture in
// per cent, to the gram.
func (d *drawing) sampleOf(moisture, fresh, dish int) sample {
	return sample{dish, dish + fresh, dish + (fresh*(100-moisture)+50)/100}
}

// moisture works out the mean of samples with the drying test of feedstocks.
func (d *drawing) moisture(of ...sample) float64 {
	t := feedstocks.Drying{Dryer: feedstocks.Oven}
	for _, s := range of {
		t.Samples = append(t.Samples, feedstocks.DryingSample{
			DishKg:    float64(s.dish) * gram,
			WeightsKg: []float64{float64(s.fresh) * gram, float64(s.dry) * gram},
		})
	}
	f, err := t.Moisture()
	if err != nil || len(f.Doubtful()) > 0 {
		d.unclean = true
		return 0
	}
	return f.Figures[0].Typical
}

// near draws a moisture about that of the library.
func (d *drawing) near(m material) int { return min(max(m.moisture+d.among(-6, 6, 1), 6), 90) }

func moistureOfSample(d *drawing) Problem {
	m := d.oneOf(false, brown, green)
	s := d.sampleOf(d.near(m), pick(d, 100, 200, 250, 400, 500), 0)
	water := s.fresh - s.dry
	d.want(100*water%s.fresh == 0)
	found := 100 * d.moisture(s)
	return Problem{
		Says: []Block{say(fmt.Sprintf("A class takes a sample of %s out of its own bucket. Fresh it weighs %d g. Dried until the weight holds it weighs %d g.", m.name, s.fresh, s.dry))},
		Asks: []Ask{
			{"How much water was in the sample, in g?", fmt.Sprintf("%d g", water),
				[]string{fmt.Sprintf("water = fresh - dry = %d - %d = %d g", s.fresh, s.dry, water)}},
			{"What is its moisture, in whole per cent of the fresh weight?", d.rounded(found, 0) + " %",
				[]string{fmt.Sprintf("moisture = water / fresh = %d / %d = %s = %s %%", water, s.fresh, d.exact(found/100), d.rounded(found, 0))}},
		},
	}
}

func moistureWithDish(d *drawing) Problem {
	m := d.oneOf(false, brown, green, manure)
	s := d.sampleOf(d.near(m), d.among(180, 420, 1), d.among(120, 380, 1))
	fresh, dry := s.fresh-s.dish, s.dry-s.dish
	found := d.moisture(s)
	return Problem{
		Says: []Block{say(fmt.Sprintf("A sample of %s is weighed in a dish. The empty dish weighs %d g, dish and fresh sample %d g, dish and dry sample %d g.", m.name, s.dish, s.fresh, s.dry))},
		Asks: []Ask{
			{"How much does the fresh sample weigh, in g?", fmt.Sprintf("%d g", fresh),
				[]string{fmt.Sprintf("fresh = %d - %d = %d g", s.fresh, s.dish, fresh)}},
			{"How much does the dry sample weigh, in g?", fmt.Sprintf("%d g", dry),
				[]string{fmt.Sprintf("dry = %d - %d = %d g", s.dry, s.dish, dry)}},
			{"What is its moisture, in whole per cent of the fresh weight?", d.rounded(100*found, 0) + " %",
				[]string{fmt.Sprintf("moisture = (fresh - dry) / fresh = (%d - %d) / %d = %d / %d", fresh, dry, fresh, fresh-dry, fresh) + d.ends(100*found, d.rounded(100*found, 0), 0, "%")}},
		},
	}
}

func samplesAndWater(d *drawing) Problem {
	m := d.oneOf(false, brown)
	moist := d.among(22, 46, 1)
	one := d.sampleOf(moist, d.among(150, 350, 1), d.among(120, 380, 1))
	two := d.sampleOf(moist+pick(d, -2, -1, 1, 2), d.among(150, 350, 1), d.among(120, 380, 1))
	kg, goal := d.among(60, 300, 10), pick(d, 50, 55, 60)
	var cells [][]string
	var each []string
	var steps []string
	for i, s := range []sample{one, two} {
		f, w := s.fresh-s.dish, s.fresh-s.dry
		own := 100 * d.moisture(s)
		each = append(each, d.rounded(own, 1))
		cells = append(cells, []string{fmt.Sprint(i + 1), fmt.Sprintf("%d g", s.dish), fmt.Sprintf("%d g", s.fresh), fmt.Sprintf("%d g", s.dry)})
		steps = append(steps, fmt.Sprintf("sample %d: fresh %d - %d = %d g, water %d - %d = %d g, %d / %d", i+1, s.fresh, s.dish, f, s.fresh, s.dry, w, w, f)+d.ends(own, each[i], 1, "%"))
	}
	full := d.moisture(one, two)
	between := (number(each[0]) + number(each[1])) / 2
	mean := d.carried(100*full, between, 1)
	g := float64(goal) / 100
	byMean := blend.WaterToReach(float64(kg), number(mean)/100, g)
	water := d.carried(blend.WaterToReach(float64(kg), full, g), byMean, 0)
	return Problem{
		Says: []Block{
			say(fmt.Sprintf("Two samples from one heap of %s are dried in dishes:", m.name)),
			{Head: []string{"sample", "dish", "dish and fresh", "dish and dry"}, Rows: cells},
			say(fmt.Sprintf("The heap weighs %d kg, and is to come to %d %% moisture.", kg, goal)),
		},
		Asks: []Ask{
			{"What is the moisture of each sample, in per cent to one decimal?", each[0] + " % and " + each[1] + " %", steps},
			{"What is the mean of the two, in per cent to one decimal?", mean + " %",
				[]string{fmt.Sprintf("(%s + %s) / 2", each[0], each[1]) + d.ends(between, mean, 1, "%")}},
			{"How much water is to be added, in whole litres (1 L weighs 1 kg)?", water + " L", []string{
				"water to add = weight x (goal - moisture) / (100 - goal), with both in per cent",
				fmt.Sprintf("%d x (%d - %s) / (100 - %d)", kg, goal, mean, goal) + d.ends(byMean, water, 0, "L"),
			}},
		},
	}
}
