package lesson

import (
	"fmt"
	"math"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// material is a material of the library with its figures rounded for a sheet.
type material struct {
	name     string
	role     role
	moisture int // per cent of the whole weight
	carbon   int // per cent of dry matter
	nitrogen int // tenths of a per cent of dry matter
	density  int // kg/m3; 0 where the library has none, or more than heaviest
}

// role is what a material does in a mix.
type role uint8

const (
	brown  role = iota // rich in carbon
	green              // rich in nitrogen
	manure             // green, and nothing for the youngest
)

const (
	// leastCarbon and mostCarbon, shares of the dry matter, bound what a class
	// may take for likely: pure cellulose has 44 % (from memory). The library
	// reckons much of its carbon from nitrogen x C:N, measured apart, and some
	// lies outside.
	leastCarbon, mostCarbon = 0.38, 0.52
	// heaviest, in kg/m3, is below water: a class takes more for a mistake.
	heaviest = 950
)

// used lists the materials that sheets speak of.
func used() []material {
	return []material{
		{name: "leaves", role: brown}, {name: "wheat straw", role: brown},
		{name: "maize stalks", role: brown}, {name: "chipped brush", role: brown},
		{name: "conifer trimmings", role: brown},
		{name: "coffee grounds", role: green}, {name: "cull vegetables", role: green},
		{name: "hay", role: green}, {name: "white clover", role: green},
		{name: "alfalfa hay", role: green}, {name: "cocoa shells", role: green},
		{name: "horse manure", role: manure}, {name: "dairy manure", role: manure},
	}
}

// stockOf looks the materials up. Moisture and carbon are rounded to whole per
// cent, nitrogen to a tenth, bulk density to two digits.
func stockOf(lib *feedstocks.Library) ([]material, error) {
	var out []material
	for _, m := range used() {
		f, err := lib.Find(m.name)
		if err != nil {
			return nil, err
		}
		c, err := f.Composition()
		if err != nil {
			return nil, err
		}
		m.moisture = int(math.Round(100 * c.Moisture))
		m.carbon = int(math.Round(100 * c.Carbon))
		m.nitrogen = int(math.Round(1000 * c.Nitrogen))
		if !math.IsNaN(c.DensityKgM3) {
			m.density = twoDigits(c.DensityKgM3)
		}
		if m.density > heaviest {
			m.density = 0
		}
		if c.Carbon < leastCarbon || c.Carbon > mostCarbon {
			return nil, fmt.Errorf("lesson: carbon of %s is %.1f %% of its dry matter: sheets take %g to %g %%", m.name, 100*c.Carbon, 100*leastCarbon, 100*mostCarbon)
		}
		if m.nitrogen == 0 {
			return nil, fmt.Errorf("lesson: %s has too little nitrogen for a sheet", m.name)
		}
		out = append(out, m)
	}
	return out, nil
}

// twoDigits rounds a number of at least 10 to two significant digits.
func twoDigits(v float64) int {
	step := math.Pow10(int(math.Floor(math.Log10(v))) - 1)
	return int(math.Round(v/step) * step)
}

// composition is that of the rounded figures.
func (m material) composition() feedstocks.Composition {
	c := feedstocks.Composition{
		Moisture: float64(m.moisture) / 100, Carbon: float64(m.carbon) / 100, Nitrogen: float64(m.nitrogen) / 1000,
		DensityKgM3: math.NaN(), VolatileSolids: 1,
	}
	if m.density > 0 {
		c.DensityKgM3 = float64(m.density)
	}
	return c
}

// part is so much of a material as weighed.
func (m material) part(kg float64) blend.Part {
	return blend.Part{Name: m.name, Composition: m.composition(), MassKg: kg}
}

// driedPart is so much dry matter of a material.
func (m material) driedPart(kg float64) blend.Part {
	p := m.part(kg)
	p.Composition.Moisture = 0
	return p
}

func (m material) carbonText() string   { return fmt.Sprintf("%d %%", m.carbon) }
func (m material) nitrogenText() string { return plain(float64(m.nitrogen)/10) + " %" }
func (m material) moistureText() string { return fmt.Sprintf("%d %%", m.moisture) }
func (m material) densityText() string  { return fmt.Sprintf("%d kg/m3", m.density) }

// oneOf draws a material of one of the roles; dense asks for one whose bulk
// density is known.
func (d *drawing) oneOf(dense bool, roles ...role) material {
	var fit []material
	for _, m := range d.stock {
		for _, r := range roles {
			if m.role == r && (m.density > 0 || !dense) {
				fit = append(fit, m)
			}
		}
	}
	return pick(d, fit...)
}

// apart draws several materials, no two the same, each by the roles given for
// it.
func (d *drawing) apart(dense bool, roles ...[]role) []material {
	var out []material
	for _, of := range roles {
		m := d.oneOf(dense, of...)
		for _, other := range out {
			d.want(m.name != other.name)
		}
		out = append(out, m)
	}
	return out
}
