package lesson

import (
	"fmt"

	"heapwright/blend/pile"
)

// section draws a windrow of a shape that stands and stays warm, with a
// parabola for its section, as package pile takes one put up by hand.
func (d *drawing) section(lowest, highest int) pile.Windrow {
	h := d.among(lowest, highest, 1)
	w := pile.Windrow{HeightM: float64(h) / 10, WidthM: float64(d.among(2*h, 24*h/10, 1)) / 10}
	d.want(pile.SlopeNote(w.WidthM, w.HeightM) == "")
	return w
}

const sectionText = "Cut across, a windrow is rounded like a loaf: the area of its section is 2/3 x width x height. Take its ends as cut off square."

// areaDecimals is how exactly the area of a section is worked out.
const areaDecimals = 2

// areaStep works out the section.
func (d *drawing) areaStep(w pile.Windrow, area string) string {
	return areaText(w) + d.ends(w.AreaM2(), area, areaDecimals, "m2")
}

func areaText(w pile.Windrow) string {
	return fmt.Sprintf("area = 2 x width x height / 3 = 2 x %s x %s / 3", plain(w.WidthM), plain(w.HeightM))
}

func windrowVolume(d *drawing) Problem {
	w := d.section(6, 16)
	w.LengthM = float64(d.among(3, 20, 1))
	area, volume := d.exact(w.AreaM2()), d.exact(w.VolumeM3())
	return Problem{
		Says: []Block{say(fmt.Sprintf("%s One is %s m wide, %s m high and %s m long.", sectionText, plain(w.WidthM), plain(w.HeightM), plain(w.LengthM)))},
		Asks: []Ask{
			{"What is the area of the section, in m2?", area + " m2", []string{areaText(w) + " = " + area + " m2"}},
			{"How much is in the windrow, in m3?", volume + " m3",
				[]string{fmt.Sprintf("volume = area x length = %s x %s = %s m3", area, plain(w.LengthM), volume)}},
		},
	}
}

func windrowWeight(d *drawing) Problem {
	w := d.section(6, 16)
	w.LengthM = float64(d.among(4, 30, 1))
	density := d.among(250, 650, 50)
	area := d.rounded(w.AreaM2(), areaDecimals)
	volume := d.carried(w.VolumeM3(), number(area)*w.LengthM, 1)
	tonnes := d.carried(w.VolumeM3()*float64(density)/1000, number(volume)*float64(density)/1000, 1)
	return Problem{
		Says: []Block{say(fmt.Sprintf("%s One is %s m wide, %s m high and %s m long, and its mix weighs %d kg/m3.", sectionText, plain(w.WidthM), plain(w.HeightM), plain(w.LengthM), density))},
		Asks: []Ask{
			{"What is the area of the section, in m2 to two decimals?", area + " m2", []string{d.areaStep(w, area)}},
			{"How much is in the windrow, in m3 to one decimal?", volume + " m3",
				[]string{fmt.Sprintf("volume = area x length = %s x %s", area, plain(w.LengthM)) + d.ends(number(area)*w.LengthM, volume, 1, "m3")}},
			{"What does it weigh, in t to one decimal?", tonnes + " t",
				[]string{fmt.Sprintf("weight = %s x %d / 1000", volume, density) + d.ends(number(volume)*float64(density)/1000, tonnes, 1, "t")}},
		},
	}
}

// lengthOf works out the windrow that holds a volume; rounded is the volume as
// a pupil may have it.
func (d *drawing) lengthOf(w pile.Windrow, m3, rounded float64) (found pile.Windrow, area, length string) {
	found, err := w.OfVolume(m3)
	d.want(err == nil)
	area = d.rounded(w.AreaM2(), areaDecimals)
	length = d.carried(found.LengthM, rounded/number(area), 1)
	d.want(length == d.rounded(m3/number(area), 1) && length == d.rounded(rounded/w.AreaM2(), 1))
	d.want(found.LengthM > w.WidthM && found.LengthM < 40.03)
	return found, area, length
}

func windrowLength(d *drawing) Problem {
	w := d.section(8, 16)
	m3, aisle, left := d.among(8, 60, 1), float64(d.among(20, 40, 5))/10, pick(d, 40, 50, 60)
	found, area, length := d.lengthOf(w, float64(m3), float64(m3))
	ground := d.carried((w.WidthM+aisle)*found.LengthM, (w.WidthM+aisle)*number(length), 0)
	compost := float64(m3*left) / 100
	return Problem{
		Says: []Block{say(fmt.Sprintf("%s A windrow of %d m3 is to be %s m wide and %s m high, with an aisle of %s m along one side. When it is done, %d %% of the volume is left.", sectionText, m3, plain(w.WidthM), plain(w.HeightM), plain(aisle), left))},
		Asks: []Ask{
			{"What is the area of the section, in m2 to two decimals?", area + " m2", []string{d.areaStep(w, area)}},
			{"How long is the windrow, in m to one decimal?", length + " m",
				[]string{fmt.Sprintf("length = volume / area = %d / %s", m3, area) + d.ends(float64(m3)/number(area), length, 1, "m")}},
			{"How much ground does it take with its aisle, in whole m2?", ground + " m2",
				[]string{fmt.Sprintf("ground = (width + aisle) x length = (%s + %s) x %s", plain(w.WidthM), plain(aisle), length) + d.ends((w.WidthM+aisle)*number(length), ground, 0, "m2")}},
			{"How much compost comes of it, in m3?", d.exact(compost) + " m3",
				[]string{fmt.Sprintf("%d x %s = %s m3", m3, d.exact(float64(left)/100), d.exact(compost))}},
		},
	}
}
