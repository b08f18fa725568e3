package season

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// Bed asks for compost.
type Bed struct {
	Name string
	Size Size
	// CompostM3 is the finished compost that it asks for.
	CompostM3 float64
	New       bool // in its first year
	Assumed   bool // the depth was not given and is that of common practice
	Week      int  // by the beginning of which it is wanted, 1 for the first; 0 for none
}

// Cover is a mulch of a raw material on a bed: leaves laid on beds are leaves
// that the pile does not get.
type Cover struct {
	Name     string
	Material blend.Material
	Size     Size
	VolumeM3 float64 // loose
	MassKg   float64
	Week     int // in which it is laid, 1 for the first; 0 for none
}

// Dressing is a rate of something that is not composted first, such as kelp
// meal or rock dust.
type Dressing struct {
	Name     string
	Material string
	Size     Size
	Dusty    bool
}

// Beds is all that beds ask for.
type Beds struct {
	Beds       []Bed
	Covers     []Cover
	Dressings  []Dressing
	CoverCrops []CoverCrop
	Frost      time.Time // first hard frost, as the user gives it; zero for none
}

// NewBed works out what a bed asks for. A bed without a depth takes that of
// common practice; one by weight is turned to volume at the density of
// [TypicalCompost].
func NewBed(name string, size Size, firstYear bool) Bed {
	b := Bed{Name: name, Size: size, New: firstYear}
	switch {
	case size.VolumeM3 > 0:
		b.CompostM3 = size.VolumeM3
	case size.MassKg > 0:
		b.CompostM3 = size.MassKg / TypicalCompost().DensityKgM3
	default:
		b.Assumed = true
		b.Size.DepthM = UpkeepDepth
		if firstYear {
			b.Size.DepthM = FirstYearDepth
		}
		b.CompostM3 = b.Size.AreaM2 * b.Size.DepthM
	}
	if b.Size.DepthM == 0 && b.Size.AreaM2 > 0 {
		b.Size.DepthM = b.CompostM3 / b.Size.AreaM2
	}
	return b
}

// NewCover works out what a cover takes. The error says what is missing.
func NewCover(name string, m blend.Material, size Size) (Cover, error) {
	c := Cover{Name: name, Material: m, Size: size, VolumeM3: size.VolumeM3, MassKg: size.MassKg}
	density := m.Composition.DensityKgM3
	switch {
	case size.VolumeM3 == 0 && size.MassKg == 0:
		return c, errors.New("a cover needs its depth")
	case !(density > 0):
		return c, fmt.Errorf("the bulk density of %s is not known", m.Name)
	case size.VolumeM3 > 0:
		c.MassKg = size.VolumeM3 * density
	default:
		c.VolumeM3 = size.MassKg / density
	}
	return c, nil
}

// Need is the compost that beds ask for and the raw mix that makes it.
type Need struct {
	CompostM3 float64
	// Left is the share of the built volume that is left as compost.
	Left blend.Span
	// RawM3 is the built volume of raw mix: Low where the most is left.
	RawM3 blend.Span
	// Recipe is that of the mix, or nil; Loads what the usual raw mix takes
	// of its materials, in kg and their order, and WaterKg of added water.
	Recipe  *blend.Recipe
	Loads   []float64
	WaterKg float64
	Compost Compost
}

// Need adds up the beds. Without a recipe the raw mix is taken to be plants
// and manure, 25 to 70 % of which is left.
func (b *Beds) Need(recipe *blend.Recipe) (Need, error) {
	n := Need{Recipe: recipe, Compost: TypicalCompost()}
	for _, bed := range b.Beds {
		n.CompostM3 += bed.CompostM3
	}
	if recipe == nil {
		plants, manure := blend.VolumeLeft(nil), blend.VolumeLeft(&feedstocks.Feedstock{Group: "manure"})
		n.Left = blend.Span{Low: plants.Low, Usual: (plants.Usual + manure.Usual) / 2, High: manure.High}
	} else {
		f := recipe.Figures
		if !(f.VolumeM3 > 0) {
			return n, &blend.ProblemError{Problem: "the recipe has no volume, so it cannot be scaled to beds", Hint: "give the bulk density of every material"}
		}
		n.Left = blend.Span{Low: f.FinishedM3.Low / f.VolumeM3, Usual: f.FinishedM3.Usual / f.VolumeM3, High: f.FinishedM3.High / f.VolumeM3}
		n.Compost = CompostOf(recipe)
	}
	n.RawM3 = blend.Span{Low: n.CompostM3 / n.Left.High, Usual: n.CompostM3 / n.Left.Usual, High: n.CompostM3 / n.Left.Low}
	if recipe != nil {
		scale := n.RawM3.Usual / recipe.Figures.VolumeM3
		for _, part := range recipe.Mixture.Parts {
			n.Loads = append(n.Loads, scale*part.MassKg)
		}
		n.WaterKg = scale * recipe.Mixture.AddedWaterKg
	}
	return n, nil
}

// AreaM2 is the area of the beds that have one.
func (b *Beds) AreaM2() float64 {
	total := 0.0
	for _, bed := range b.Beds {
		total += bed.Size.AreaM2
	}
	return total
}

// Cautions lists what to mind about the dressings, covers and cover crops.
func (b *Beds) Cautions(compost Compost) []blend.Caution {
	var out []blend.Caution
	for _, bed := range b.Beds {
		switch d := bed.Size.DepthM; {
		case d > RebuildMost*(1+1e-9):
			out = append(out, blend.Caution{Key: "deep", Text: fmt.Sprintf("%s: %.0f mm is over the 4 in (100 mm) that is given even for worn-out soils.", bed.Name, 1000*d)})
		case d > YearlyMost*(1+1e-9) && !bed.New:
			out = append(out, blend.Caution{Key: "deep", Text: fmt.Sprintf("%s: %.0f mm is over the inch (25 mm) a year that is given for beds in use. Deeper is for new beds and worn-out soils, once.", bed.Name, 1000*d)})
		}
	}
	years := PhosphorusYears(compost.Nutrients(b.compostOnArea()).PhosphateKg, b.AreaM2())
	if years.Low > 1 {
		out = append(out, blend.Caution{Key: "phosphorus", Text: fmt.Sprintf("Phosphorus builds up: this brings what crops take away in %.0f to %.0f years (10 to 80 lb an acre a year). Test the soil, and spread less where phosphorus is high. Local rules on nutrients come first.", math.Ceil(years.Low), math.Ceil(years.High))})
	} else if len(b.Beds) > 0 {
		out = append(out, blend.Caution{Key: "phosphorus", Text: "Phosphorus builds up where compost is spread every year: of 20 compost-fed gardens that were tested, all were very high (University of Minnesota). Test the soil every few years. Local rules on nutrients come first."})
	}
	for _, d := range b.Dressings {
		if d.Dusty {
			out = append(out, blend.Caution{Key: feedstocks.CautionDust, Text: d.Name + ": fine dust harms lungs. Spread it damp or on a still day, and wear a dust mask."})
			break
		}
	}
	for _, c := range b.Covers {
		if c.Material.Feedstock == nil {
			continue
		}
		for _, key := range c.Material.Feedstock.Cautions {
			out = append(out, blend.Caution{Key: key, Text: c.Material.Name + ": " + feedstocks.CautionText(key)})
		}
	}
	if len(b.CoverCrops) > 0 {
		out = append(out, CoverCropCaution())
	}
	return out
}

// compostOnArea is the compost of the beds whose area is known.
func (b *Beds) compostOnArea() float64 {
	total := 0.0
	for _, bed := range b.Beds {
		if bed.Size.AreaM2 > 0 {
			total += bed.CompostM3
		}
	}
	return total
}

// dusty tells a dressing that is a dust or meal.
func dusty(material string) bool {
	for _, word := range []string{"dust", "meal", "flour", "lime", "ash", "powder", "phosphate", "gypsum"} {
		if strings.Contains(strings.ToLower(material), word) {
			return true
		}
	}
	return false
}

// NewDressing works out a dressing; its size must have an area and a rate, or
// an amount.
func NewDressing(name, material string, size Size) (Dressing, error) {
	if size.VolumeM3 == 0 && size.MassKg == 0 {
		return Dressing{}, errors.New("a dressing needs its rate, as in \"100 m2 at 5 kg/100 m2\"")
	}
	return Dressing{Name: name, Material: material, Size: size, Dusty: dusty(material)}, nil
}
