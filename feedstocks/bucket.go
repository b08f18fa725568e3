package feedstocks

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Filling is how a vessel was filled for weighing.
type Filling uint8

const (
	// Loose is scooped in and struck level, not pressed. Figures of the library
	// are of this kind, and so are recipes counted in scooped buckets.
	Loose Filling = iota
	// Dropped is filled by thirds, let fall squarely from about 30 cm ten times
	// after each, then topped up and struck level without another drop, as
	// taught by Washington State University, Puyallup. It is near how material
	// lies in a pile.
	Dropped
)

// String gives "loose" or "dropped".
func (f Filling) String() string {
	if f == Dropped {
		return "dropped"
	}
	return "loose"
}

// Bucket is a vessel of known size weighed empty and full.
type Bucket struct {
	VolumeM3 float64   // of the vessel up to where it was filled
	EmptyKg  float64   // the vessel itself; 0 for a scale set to zero with it on
	FullKg   []float64 // vessel and material, one for each fill
	Filling  Filling
	ToLine   bool // filled to a line marked with measured water, not to the brim
}

const (
	// bucketSingle is how far one fill can be trusted, as a share of its
	// density. Common practice, no source.
	bucketSingle = 0.10
	// bucketDiffer is the share of the mean by which the heaviest and lightest
	// fill may differ before one more is asked for. Common practice, no source.
	bucketDiffer = 0.20
	// densityLight, kg/m3, is lighter than any loose material of the library.
	densityLight = 20
	// vesselLeastM3 and vesselMostM3 bound the size of a vessel to weigh in.
	vesselLeastM3 = 1e-4
	vesselMostM3  = 10
	// weightLeastKg is under what any scale at a heap shows; a lighter load is
	// nothing but the rounding of units.
	weightLeastKg = 1e-7
	// readingsMost bounds the fills or samples of one test.
	readingsMost = 100
)

// Density is net weight over volume, kg/m3 as received: the mean of the fills,
// with a 90 % range from how they differ and from how far one fill can be
// trusted (10 %; common practice, no source). The error is a [*TestError].
func (b Bucket) Density() (*Finding, error) {
	net, err := b.net()
	if err != nil {
		return nil, err
	}
	f := &Finding{Test: fmt.Sprintf("bucket weights, %s, %s", b.Filling, counted(len(net), "fill"))}
	litres := b.VolumeM3 * 1000
	f.step("density = (full - empty) / volume, with empty %s kg and volume %s L", digits(b.EmptyKg), digits(litres))
	densities := make([]float64, len(net))
	for i, kg := range net {
		densities[i] = kg / b.VolumeM3
		f.step("fill %d: (%s - %s) kg / %s L = %s kg / %s L = %s kg/m3", i+1,
			digits(b.FullKg[i]), digits(b.EmptyKg), digits(litres), digits(kg), digits(litres), digits(densities[i]))
	}
	mean, _ := spreadOf(densities, 0)
	if problem := badDensity(mean); problem != "" {
		return nil, &TestError{"", problem, "check the volume and the units of the weights"}
	}
	_, half := spreadOf(densities, bucketSingle*mean)
	if len(net) > 1 {
		f.step("mean of %d fills: %s kg/m3", len(net), digits(mean))
	}
	f.step("%s kg/m3 = %s lb/yd3 = %s kg/L", digits(mean), digits(mean*m3PerCubicYard/kgPerPound), digits(mean/1000))
	f.step("range: %s kg/m3 either way (%.0f %%)", digits(half), 100*half/mean)
	f.figure(BulkDensity, mean-half, mean, mean+half, spreadWords(len(net), "fill", "10 %", "common practice, no source"))
	b.warnings(f, densities, mean)
	return f, nil
}

// net checks the weights and takes off that of the vessel.
func (b Bucket) net() ([]float64, error) {
	if !positive(b.VolumeM3) || b.VolumeM3 < vesselLeastM3 || b.VolumeM3 > vesselMostM3 {
		return nil, &TestError{"volume", fmt.Sprintf("a vessel of %g L is not one to weigh in", b.VolumeM3*1000), `give what it holds, as in "10 L" or "5 US gal"`}
	}
	if err := badWeight("empty", b.EmptyKg); err != nil {
		return nil, err
	}
	if len(b.FullKg) == 0 {
		return nil, &TestError{"full", "no full weight is given", "weigh at least one fill; three are better"}
	}
	if len(b.FullKg) > readingsMost {
		return nil, &TestError{"full", fmt.Sprintf("%d fills are more than anyone weighs", len(b.FullKg)), ""}
	}
	net := make([]float64, len(b.FullKg))
	for i, full := range b.FullKg {
		field := fmt.Sprintf("fill %d", i+1)
		if err := badWeight(field, full); err != nil {
			return nil, err
		}
		net[i] = full - b.EmptyKg
		switch {
		case net[i] < -weightLeastKg:
			return nil, &TestError{field, fmt.Sprintf("full (%s kg) is lighter than empty (%s kg)", digits(full), digits(b.EmptyKg)),
				"give both with the vessel; where the scale was set to zero with the vessel on it, empty is 0 kg"}
		case net[i] < weightLeastKg:
			return nil, &TestError{field, fmt.Sprintf("full weighs no more than empty (%s kg): nothing was in it", digits(full)), "weigh it with material in it"}
		}
	}
	return net, nil
}

func (b Bucket) warnings(f *Finding, densities []float64, mean float64) {
	if len(densities) == 1 {
		f.warn("single-fill", "One fill tells nothing of how fills differ: weigh two more from other parts of the heap.")
	} else if apart := slices.Max(densities) - slices.Min(densities); apart > bucketDiffer*mean {
		f.doubt("fills-differ", "The fills differ by %.0f %% of their mean (%s to %s kg/m3): mix the heap's sample and weigh again.",
			100*apart/mean, digits(slices.Min(densities)), digits(slices.Max(densities)))
	}
	if mean < densityLight {
		f.doubt("very-light", "%s kg/m3 is lighter than any loose composting material: check the volume and the units.", digits(mean))
	}
	if b.Filling == Dropped {
		f.warn("dropped", "Dropped fills are for the volume of a pile. For recipes counted in scooped buckets, and beside the library's figures, weigh loose fills.")
	}
	if !b.ToLine && math.Abs(b.VolumeM3-5*m3PerUSGallon) < 1e-6 {
		f.warn("brim", "A 5 US gal bucket often holds more than 5 gal at the brim: pour in 5 gal of water once, mark the line, and fill to it.")
	}
}

// spreadWords says where a range comes from.
func spreadWords(n int, reading, single, standing string) string {
	if n == 1 {
		return fmt.Sprintf("one %s, taken as good to %s either way (%s)", reading, single, standing)
	}
	return fmt.Sprintf("90 %% range from how %d %ss differ, steadied by what one is good to, %s either way (%s)", n, reading, single, standing)
}

// counted writes a number of things.
func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %s", n, plural(thing))
}

// sum writes figures as an addition.
func sum(values []float64, write func(float64) string) string {
	var parts []string
	for _, v := range values {
		parts = append(parts, write(v))
	}
	return strings.Join(parts, " + ")
}

// inKindOrder sorts figures as [Kinds] has them.
func inKindOrder(figures []Figure) {
	slices.SortStableFunc(figures, func(a, b Figure) int { return cmp.Compare(a.Kind, b.Kind) })
}
