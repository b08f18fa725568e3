package lesson

import (
	"fmt"
	"strings"

	"heapwright/blend"
	"heapwright/blend/pile"
	"heapwright/feedstocks"
)

// litre is in m3.
const litre = 0.001

// halves of a m3 that a heap may measure.
func (d *drawing) heapM3() float64 { return float64(d.among(1, 8, 1)) / 2 }

func weightAndVolume(d *drawing) Problem {
	m := d.oneOf(true, brown, green)
	m3 := d.heapM3()
	per := float64(m.density)
	weight := m3 * per
	// Another heap of the same, given by its weight.
	other := d.among(20, 900, 10)
	volume := m.part(float64(other)).VolumeM3()
	d.want(volume > 0.297 && volume < 9.03 && volume != m3)
	found := d.rounded(volume, 1)
	return Problem{
		Says: []Block{say(fmt.Sprintf("The bulk density of %s, loose, is %s: a cubic metre weighs that much.", m.name, m.densityText()))},
		Asks: []Ask{
			{fmt.Sprintf("How much does a heap of %s m3 weigh, in kg?", plain(m3)), d.exact(weight) + " kg",
				[]string{fmt.Sprintf("weight = volume x bulk density = %s x %d = %s kg", plain(m3), m.density, d.exact(weight))}},
			{fmt.Sprintf("How large is a heap that weighs %d kg, in m3 to one decimal?", other), found + " m3",
				[]string{fmt.Sprintf("volume = weight / bulk density = %d / %d", other, m.density) + d.ends(volume, found, 1, "m3")}},
		},
	}
}

func bucketDensity(d *drawing) Problem {
	m := d.oneOf(true, brown, green, manure)
	litres, barrow, loads := pick(d, 10, 12, 15, 20), d.among(60, 100, 5), d.among(2, 9, 1)
	empty := float64(d.among(5, 15, 1)) / 10
	net := float64(m.density*litres*d.among(85, 115, 5)/10_000) / 10 // about that of the library
	full := empty + net
	d.want(net >= 1 && net/(float64(litres)*litre) <= heaviest+dust)
	f, err := feedstocks.Bucket{VolumeM3: float64(litres) * litre, EmptyKg: empty, FullKg: []float64{full}}.Density()
	if err != nil {
		d.unclean = true
		return Problem{}
	}
	density := f.Figures[0].Typical
	found := d.rounded(density, 0)
	m3 := float64(barrow*loads) * litre
	weight := d.carried(m3*density, m3*number(found), 0)
	return Problem{
		Says: []Block{say(fmt.Sprintf("The class's own bucket holds %d L and weighs %s kg empty. Filled level with %s it weighs %s kg. The barrow holds %d L.", litres, plain(empty), m.name, plain(full), barrow))},
		Asks: []Ask{
			{"What is the bulk density, in whole kg/m3 (1 m3 is 1000 L)?", found + " kg/m3", []string{
				fmt.Sprintf("net weight = %s - %s = %s kg", plain(full), plain(empty), d.exact(net)),
				fmt.Sprintf("bulk density = net weight / volume = %s / %d x 1000", d.exact(net), litres) + d.ends(density, found, 0, "kg/m3"),
			}},
			{fmt.Sprintf("How much do %d level barrows of it weigh, in whole kg?", loads), weight + " kg", []string{
				fmt.Sprintf("volume = %d x %d = %d L = %s m3", loads, barrow, loads*barrow, d.exact(m3)),
				fmt.Sprintf("weight = %s x %s", d.exact(m3), found) + d.ends(m3*number(found), weight, 0, "kg"),
			}},
		},
	}
}

// volumeDecimals is how exactly the volume of each material is worked out: to
// the litre.
const volumeDecimals = 3

// builtSteps is the loose volume of a mix and what it is built, with the built
// volume as reckoned from the rounded volumes of the materials.
func (d *drawing) builtSteps(mix blend.Mixture) (loose, built string, looseSteps, builtSteps []string) {
	var values []string
	rounded := 0.0
	for _, p := range mix.Parts {
		v := d.rounded(p.VolumeM3(), volumeDecimals)
		rounded += number(v)
		values = append(values, v)
		looseSteps = append(looseSteps, fmt.Sprintf("%s: %s / %s", p.Name, d.exact(p.MassKg), d.exact(p.Composition.DensityKgM3))+d.ends(p.VolumeM3(), v, volumeDecimals, "m3"))
	}
	loose = d.carried(mix.LooseVolumeM3(), rounded, 2)
	looseSteps = append(looseSteps, "loose volume: "+strings.Join(values, " + ")+d.ends(rounded, loose, 2, "m3"))
	keep := 1 - blend.DefaultShrink
	built = d.carried(mix.BuiltVolumeM3(blend.DefaultShrink), keep*number(loose), 2)
	builtSteps = []string{fmt.Sprintf("built = loose x (1 - %s) = %s x %s", plain(blend.DefaultShrink), loose, plain(keep)) + d.ends(keep*number(loose), built, 2, "m3")}
	return loose, built, looseSteps, builtSteps
}

// nestText says what becomes of loose volumes.
func nestText() string {
	return fmt.Sprintf("When materials nest into one another, %s %% of their loose volume is lost.", plain(100*blend.DefaultShrink))
}

func bayFill(d *drawing) Problem {
	of, kg, mix := threeOf(d, true, 20, 300, 10)
	loose, built, looseSteps, builtSteps := d.builtSteps(mix)
	width, depth := float64(d.among(10, 20, 1))/10, float64(d.among(10, 20, 1))/10
	bay, err := pile.FillBay(mix.BuiltVolumeM3(blend.DefaultShrink), width, depth)
	d.want(err == nil && bay.FillM > 0.397 && bay.FillM < 1.603)
	height := d.carried(bay.FillM, number(built)/width/depth, 2)
	table := Block{Head: []string{"material", "weight", "bulk density"}}
	for i, m := range of {
		table.Rows = append(table.Rows, []string{m.name, fmt.Sprintf("%d kg", kg[i]), m.densityText()})
	}
	return Problem{
		Says: []Block{
			say("Three materials go into a bay. Bulk density is that of the loose material."), table,
			say(fmt.Sprintf("%s The bay is %s m wide and %s m deep.", nestText(), plain(width), plain(depth))),
		},
		Asks: []Ask{
			{"What is the loose volume of all three, in m3 to two decimals? (Work out each to three.)", loose + " m3", looseSteps},
			{"What is the built volume, in m3 to two decimals?", built + " m3", builtSteps},
			{"How high does it stand in the bay, in m to two decimals?", height + " m",
				[]string{fmt.Sprintf("height = volume / (width x depth) = %s / (%s x %s)", built, plain(width), plain(depth)) + d.ends(number(built)/width/depth, height, 2, "m")}},
		},
	}
}
