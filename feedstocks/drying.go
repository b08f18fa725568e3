package feedstocks

import (
	"fmt"
	"math"
	"slices"
)

// Dryer is how a sample was dried.
type Dryer uint8

const (
	// Oven is 103 to 110 C for 24 h, or until the weight holds (Richard and
	// Trautmann, Cornell; United States EPA).
	Oven Dryer = iota
	// Microwave is some minutes on full power, then short bursts with stirring
	// until the weight holds.
	Microwave
)

// String gives "oven" or "microwave".
func (d Dryer) String() string {
	if d == Microwave {
		return "microwave"
	}
	return "oven"
}

// Drying is samples weighed wet and dry.
type Drying struct {
	Dryer   Dryer
	Samples []DryingSample
}

// DryingSample is one sample.
type DryingSample struct {
	// DishKg is the empty dish; 0 where the weights are without it.
	DishKg float64
	// WeightsKg are dish and sample in the order weighed: the first as
	// received, the last when dry, and any between on the way there.
	WeightsKg []float64
	// Charred says that the sample had charred at the last weight, which is
	// then set aside for the one before.
	Charred bool
}

const (
	// steadyShare is the loss between two weighings, as a share of the wet
	// sample, under which the weight holds: 1 g of 100 g, as taught for forage
	// (Saskatchewan; Ohio State University Extension).
	steadyShare = 0.01
	// dryingDiffer is how far two samples may differ before a repeat is asked
	// for: 3 points, a choice, after what a microwave repeats to on straw.
	dryingDiffer = 0.03
	// microwaveSingle is how far one sample by microwave can be trusted: 3
	// points, as found on straw.
	microwaveSingle = 0.03
	// ovenSingle is the same by oven, which dries better and still sees only
	// one handful of the heap. Common practice, no source.
	ovenSingle = 0.02
	// sampleSmallKg is a sample that wants a fine scale.
	sampleSmallKg = 0.010
)

// WetFromDryBasis turns moisture on dry basis (kg of water to a kg of dry
// matter, 0 or more) into wet basis (kg of water in a kg as received).
func WetFromDryBasis(d float64) float64 { return d / (1 + d) }

// MoistureFromDryBasis is [WetFromDryBasis] with its working. No range comes of
// it. The error is a [*TestError].
func MoistureFromDryBasis(d float64) (*Finding, error) {
	if !(d >= 0) || math.IsInf(d, 1) || WetFromDryBasis(d) > moistureMost {
		return nil, &TestError{"moisture on dry basis", fmt.Sprintf("%g %% is not water to dry matter of any material", 100*d), "it is the water lost, divided by the dry weight"}
	}
	f := &Finding{Test: "moisture on dry basis"}
	m := WetFromDryBasis(d)
	f.step("wet basis = d / (100 + d) = %s / (100 + %s) = %s %%", digits(100*d), digits(100*d), points(m))
	f.figure(Moisture, m, m, m, "none: it is that of the figure given")
	return f, nil
}

// WetPerDry gives the kg as received that hold one kg of dry matter, at a
// moisture on wet basis below 1.
func WetPerDry(moisture float64) float64 { return 1 / (1 - moisture) }

// Moisture is (wet - dry) / wet, wet basis: the mean of the samples, with a
// 90 % range from how they differ and from how far one sample can be trusted (3
// points by microwave, as found on straw; 2 by oven, common practice, no
// source). The error is a [*TestError].
func (d Drying) Moisture() (*Finding, error) {
	if len(d.Samples) == 0 {
		return nil, &TestError{"", "no sample is given", "weigh one wet and dry; two are better"}
	}
	if len(d.Samples) > readingsMost {
		return nil, &TestError{"", fmt.Sprintf("%d samples are more than anyone dries", len(d.Samples)), ""}
	}
	f := &Finding{Test: fmt.Sprintf("%s drying, %s", d.Dryer, counted(len(d.Samples), "sample"))}
	f.step("moisture = (wet - dry) / wet, of the sample without its dish")
	found, more := make([]float64, len(d.Samples)), 0.0
	for i, s := range d.Samples {
		m, unfinished, err := s.moisture(f, d.Dryer, i)
		if err != nil {
			return nil, err
		}
		found[i], more = m, max(more, unfinished)
	}
	single, standing, words := ovenSingle, "common practice, no source", "2 points"
	if d.Dryer == Microwave {
		single, standing, words = microwaveSingle, "as a microwave was found to repeat on straw", "3 points"
	}
	mean, half := spreadOf(found, single)
	if len(found) > 1 {
		f.step("mean: (%s) / %d = %s %%", sum(found, points), len(found), points(mean))
		if apart := slices.Max(found) - slices.Min(found); apart > dryingDiffer+1e-12 {
			f.doubt("samples-differ", "The samples differ by %s points, more than 3: mix the heap's sample well and dry another two.", points(apart))
		}
	}
	low, high := max(mean-half, 0), min(mean+half+more, moistureMost)
	f.step("range: %s points either way", points(half))
	if more > 0 {
		f.step("and %s points upwards for water that was still leaving", points(more))
	}
	f.step("at %s %%, %s kg as received holds 1 kg of dry matter", points(mean), digits(WetPerDry(mean)))
	f.figure(Moisture, min(low, mean), mean, max(high, mean), spreadWords(len(found), "sample", words, standing))
	return f, nil
}

// moistureMost is the wettest range that still leaves dry matter.
const moistureMost = 0.99

// moisture works out one sample. unfinished is the share of the wet sample
// that was still being lost where the weight had not come to hold.
func (s DryingSample) moisture(f *Finding, dryer Dryer, i int) (m, unfinished float64, err error) {
	field := fmt.Sprintf("sample %d", i+1)
	fail := func(hint, format string, v ...any) (float64, float64, error) {
		return 0, 0, &TestError{field, fmt.Sprintf(format, v...), hint}
	}
	if err := badWeight(field+", dish", s.DishKg); err != nil {
		return 0, 0, err
	}
	for _, kg := range s.WeightsKg {
		if err := badWeight(field, kg); err != nil {
			return 0, 0, err
		}
	}
	weights := s.WeightsKg
	if s.Charred && len(weights) > 0 {
		weights = weights[:len(weights)-1]
	}
	if len(weights) < 2 {
		if s.Charred {
			return fail("dry another at lower power, in shorter bursts", "the sample charred before a second weighing, so its dry weight is not known")
		}
		return fail("weigh it as it comes and again when dry", "a wet and a dry weight are needed")
	}
	net := make([]float64, len(weights))
	for j, kg := range weights {
		if net[j] = kg - s.DishKg; net[j] < weightLeastKg {
			return fail("give every weight with the dish; where the scale was set to zero with the dish on it, leave the dish out",
				"%s with the dish leaves nothing once the dish (%s) is taken off", grams(kg), grams(s.DishKg))
		}
	}
	wet, dry, before := net[0], net[len(net)-1], net[len(net)-2]
	for j := 1; j < len(net); j++ {
		if rise := net[j] - net[j-1]; net[j] > wet || rise > steadyShare*wet {
			if len(net) == 2 {
				return fail("check that wet and dry were not exchanged, and that both are with the dish", "dry (%s) is heavier than wet (%s)", grams(dry), grams(wet))
			}
			return fail("weigh after the same wait each time, and check the figures", "weight %d (%s) is more than the one before it (%s)", j+1, grams(net[j]), grams(net[j-1]))
		}
	}
	m = (wet - dry) / wet
	f.step("%s: (%s - %s) / %s = %s %%%s", field, grams(wet), grams(dry), grams(wet), points(m), s.remark())
	loss := (before - dry) / wet
	switch {
	case len(net) > 2 && loss < steadyShare-rounding:
		f.step("%s: the last burst took off %s of %s, under 1 in 100: the weight holds", field, grams(before-dry), grams(wet))
	case len(net) > 2:
		unfinished = loss
		f.doubt("still-drying", "Sample %d was still losing %s of %s at the last weighing (it holds under 1 in 100): dry it on.", i+1, grams(before-dry), grams(wet))
	case dryer == Microwave:
		f.warn("not-checked", "Sample %d: two weights do not show that it was dry. Go on in 1-minute bursts until the loss is under 1 in 100, and give every weight.", i+1)
	}
	if s.Charred {
		f.warn("charred", "Sample %d charred, so the weight before that was used: charring burns dry matter, which would read as water.", i+1)
	}
	if wet < sampleSmallKg {
		f.warn("small-sample", "Sample %d is under 10 g: one gram either way is %.0f points. Weigh to a hundredth of a gram, or dry more.", i+1, math.Round(100*0.001/wet))
	}
	return m, unfinished, nil
}

func (s DryingSample) remark() string {
	if s.Charred {
		return " (the last weight, charred, set aside)"
	}
	return ""
}

// grams writes a weight in g.
func grams(kg float64) string { return digits(kg*1000) + " g" }
