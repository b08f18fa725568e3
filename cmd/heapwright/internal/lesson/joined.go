package lesson

import (
	"fmt"

	"heapwright/blend"
)

// leftPercent is what the joined problem says is left of a pile's volume, and
// depthCm how deep it is spread.
const leftPercent, depthCm = 40, 2

// scalesToWindrow follows one batch from the weights to the beds.
func scalesToWindrow(d *drawing) Problem {
	of, kg, mix := threeOf(d, true, 100, 900, 50)
	const goal = 55
	water, moisture := d.moistureSteps(mix, 1)
	ratioStep, ratio := d.ratioStep(mix, 1)
	lack, litres := d.lackSteps(mix, moisture, goal)
	loose, built, looseSteps, builtSteps := d.builtSteps(mix)
	full := mix.BuiltVolumeM3(blend.DefaultShrink)
	w := d.section(7, 13)
	d.want(number(loose) > 2)
	_, area, length := d.lengthOf(w, full, number(built))
	const left, depth = float64(leftPercent) / 100, float64(depthCm) / 100
	beds := d.carried(full*left/depth, number(built)*left/depth, 0)

	// Materials side by side, so that the table fits a phone.
	table := Block{Head: []string{"figure"}, Rows: [][]string{{"weight"}, {"moisture"}, {"carbon"}, {"nitrogen"}, {"bulk density"}}}
	for i, m := range of {
		table.Head = append(table.Head, m.name)
		for row, cell := range []string{fmt.Sprintf("%d kg", kg[i]), m.moistureText(), m.carbonText(), m.nitrogenText(), m.densityText()} {
			table.Rows[row] = append(table.Rows[row], cell)
		}
	}
	return Problem{
		Says: []Block{
			say("Three materials are weighed for a windrow. Moisture is a share of the whole weight, carbon and nitrogen are shares of the dry matter, bulk density is that of the loose material."),
			table,
			say(fmt.Sprintf("The mix is to come to %d %% moisture. %s", goal, nestText())),
			say(fmt.Sprintf("%s This one is to be %s m wide and %s m high. When it is done, %d %% of the built volume is left, and is spread %d cm deep.", sectionText, plain(w.WidthM), plain(w.HeightM), leftPercent, depthCm)),
		},
		Asks: []Ask{
			{"What is the C:N of the mix, to one decimal?", ratio,
				append(d.drySteps(mix), d.carbonStep(mix), d.nitrogenStep(mix), ratioStep)},
			{"What is its moisture before water is added, in per cent to one decimal?", moisture + " %", water},
			{"How much water is to be added, in whole litres (1 L weighs 1 kg)?", litres + " L", lack},
			{"What is the built volume, in m3 to two decimals? (Work out each loose volume to three, their sum to two; water fills gaps and adds none.)", built + " m3",
				append(looseSteps, builtSteps...)},
			{"How long is the windrow, in m to one decimal?", length + " m", []string{
				d.areaStep(w, area), fmt.Sprintf("length = volume / area = %s / %s", built, area) + d.ends(number(built)/number(area), length, 1, "m"),
			}},
			{"How many m2 of bed does the compost cover, in whole m2?", beds + " m2", []string{
				fmt.Sprintf("%s x %s / %s", built, plain(left), plain(depth)) + d.ends(number(built)*left/depth, beds, 0, "m2"),
			}},
		},
	}
}
