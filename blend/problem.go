package blend

import (
	"fmt"
	"math"

	"heapwright/feedstocks"
)

// Material is one material on hand, resolved to numbers.
type Material struct {
	Name        string // as the plan calls it
	Feedstock   *feedstocks.Feedstock
	Composition feedstocks.Composition
	OnHandKg    float64
	AtLeastKg   float64 // must go in; 0 for none
	ShareAtMost float64 // of the loose volume, 0 to 1; 0 for no limit
	PricePerKg  float64
	OnHand      feedstocks.Quantity // as the plan gives it: the measure to answer in
}

// Prefer says what comes first when a pile is formulated.
type Prefer uint8

const (
	PreferTarget   Prefer = iota // nearest the aims, then the largest pile
	PreferLargest                // largest pile within the ranges, then nearest
	PreferCheapest               // cheapest pile of the wanted size within the ranges, then nearest
	PreferFewest                 // fewest materials for a pile within the ranges, then nearest
)

// preferNames are the words used in plans.
func preferNames() []string {
	return []string{PreferTarget: "target", PreferLargest: "largest", PreferCheapest: "cheapest", PreferFewest: "fewest"}
}

// String gives the word used in plans.
func (p Prefer) String() string {
	if names := preferNames(); int(p) < len(names) {
		return names[p]
	}
	return "unknown"
}

// Pile is what the heap or bay allows. Zero values mean "no limit" but for
// WaterKg, where math.Inf(1) does.
type Pile struct {
	SizeM3      float64 // wanted built volume; 0 for as much as the stock gives
	LargestM3   float64 // most built volume; 0 for no limit
	WaterKg     float64 // most water to add; +Inf for as much as needed
	Shrink      float64 // volume lost when materials nest, 0 to below 1
	DensestKgM3 float64 // most bulk density; 0 for no limit
	AirAtLeast  float64 // least free air space, a fraction; 0 for no limit
	Prefer      Prefer
}

// DefaultShrink is the volume lost when materials nest into one another:
// 0.20, within 0.10 to 0.30 (a handbook rule of thumb, from memory).
const DefaultShrink = 0.20

// most is the largest built volume wanted; +Inf without a limit.
func (p Pile) most() float64 {
	most := math.Inf(1)
	if p.SizeM3 > 0 {
		most = p.SizeM3
	}
	if p.LargestM3 > 0 {
		most = min(most, p.LargestM3)
	}
	return most
}

// needsVolume reports whether a limit of the pile is on its volume.
func (p Pile) needsVolume() bool {
	return p.SizeM3 > 0 || p.LargestM3 > 0 || p.DensestKgM3 > 0 || p.AirAtLeast > 0
}

// Further is one more limit on a mix: the sum of Material[j] times the kg of
// each material, and Water times the kg of added water, is at most zero. It is
// about proportions, so it holds at any size.
type Further struct {
	Material []float64 // as many as there are materials
	Water    float64
}

// Problem is what [Formulate] and [Judge] work on. It is not changed by them.
type Problem struct {
	Materials []Material
	Target    Target
	Pile      Pile
	// Fine is the small vessel in which materials may be topped up when whole
	// measures are wanted; the zero value for none.
	Fine feedstocks.Unit
	// Further are limits that a caller adds to those of the plan.
	Further []Further
	// MayGet are materials that could be got, with OnHandKg the most of each;
	// they take no part in a mix, only in the repairs of one.
	MayGet []Material
}

// ProblemError says what keeps a problem from being worked on.
type ProblemError struct {
	Material string // "" when it is not about one
	Problem  string
	Hint     string
	Key      string // of [pile] in a plan; "" when it is not about one
}

func (e *ProblemError) Error() string {
	if e.Material != "" {
		return fmt.Sprintf("blend: %s: %s", e.Material, e.Problem)
	}
	return "blend: " + e.Problem
}

// Broken reports whether amounts in kg lie beyond the limit by more than the
// share slack of its terms.
func (f Further) Broken(amounts []float64, water, slack float64) bool {
	sum, size := f.Water*water, math.Abs(f.Water)*water
	for j, kg := range amounts {
		sum += f.Material[j] * kg
		size += math.Abs(f.Material[j]) * kg
	}
	return sum > slack*size
}

// Validate checks that every number makes sense and that what the pile's
// limits need is known.
func (p *Problem) Validate() error {
	if err := p.Target.Validate(); err != nil {
		return err
	}
	if !(p.Pile.Shrink >= 0 && p.Pile.Shrink < 1) {
		return &ProblemError{Problem: fmt.Sprintf("mixing shrink must be from 0 to below 1, not %g", p.Pile.Shrink), Key: "mixing_shrink"}
	}
	for _, limit := range []struct {
		key   string
		value float64
	}{
		{"size", p.Pile.SizeM3}, {"largest", p.Pile.LargestM3}, {"densest", p.Pile.DensestKgM3}, {"air_at_least", p.Pile.AirAtLeast},
	} {
		if !known(limit.value) || limit.value < 0 {
			return &ProblemError{Problem: fmt.Sprintf("a limit of the pile is %g", limit.value), Key: limit.key}
		}
	}
	for _, f := range p.Further {
		if len(f.Material) != len(p.Materials) {
			return &ProblemError{Problem: fmt.Sprintf("a further limit is about %d materials of %d", len(f.Material), len(p.Materials))}
		}
	}
	if p.Pile.LargestM3 > 0 && p.Pile.SizeM3 > p.Pile.LargestM3 {
		return &ProblemError{
			Problem: fmt.Sprintf("the pile wanted (%.3g m3) is larger than the largest that fits (%.3g m3)", p.Pile.SizeM3, p.Pile.LargestM3),
			Hint:    "lower size or raise largest", Key: "size",
		}
	}
	if math.IsNaN(p.Pile.WaterKg) || p.Pile.WaterKg < 0 {
		return &ProblemError{Problem: fmt.Sprintf("water at hand is %g kg", p.Pile.WaterKg), Key: "water"}
	}
	if p.Pile.AirAtLeast >= 1 {
		return &ProblemError{Problem: "free air space must stay below 100 %", Key: "air_at_least"}
	}
	nitrogen, mass := 0.0, 0.0
	for _, m := range p.Materials {
		switch {
		case !known(m.OnHandKg) || m.OnHandKg < 0:
			return &ProblemError{Material: m.Name, Problem: fmt.Sprintf("the amount on hand is %g kg", m.OnHandKg)}
		case !known(m.AtLeastKg) || m.AtLeastKg < 0:
			return &ProblemError{Material: m.Name, Problem: fmt.Sprintf("the least amount is %g kg", m.AtLeastKg)}
		case m.AtLeastKg > m.OnHandKg:
			return &ProblemError{Material: m.Name, Problem: fmt.Sprintf("at least %.4g kg must go in, but only %.4g kg are on hand", m.AtLeastKg, m.OnHandKg), Hint: "lower at_least or raise the amount"}
		case !known(m.PricePerKg) || m.PricePerKg < 0:
			return &ProblemError{Material: m.Name, Problem: fmt.Sprintf("the price is %g a kg", m.PricePerKg)}
		case !(m.ShareAtMost >= 0 && m.ShareAtMost <= 1):
			return &ProblemError{Material: m.Name, Problem: fmt.Sprintf("the share limit is %g %%", 100*m.ShareAtMost), Hint: "give a share from 0 to 100 %"}
		}
		if problem := badComposition(m.Composition); problem != "" {
			return &ProblemError{Material: m.Name, Problem: problem}
		}
		mass += m.OnHandKg
		nitrogen += m.OnHandKg * (1 - m.Composition.Moisture) * m.Composition.Nitrogen
	}
	switch {
	case mass > 0 && mass < leastStock:
		return &ProblemError{Problem: "what is on hand weighs less than a gram", Hint: "give amounts that can be weighed or measured out"}
	case mass == 0:
		return &ProblemError{Problem: "nothing is on hand", Hint: "list at least one material with an amount"}
	case nitrogen == 0:
		return &ProblemError{Problem: "nothing on hand holds nitrogen, so C:N has no meaning", Hint: "add a material with nitrogen, such as grass clippings or manure"}
	}
	if lacking := p.withoutDensity(); len(lacking) > 0 {
		shares := false
		for _, m := range p.Materials {
			shares = shares || m.ShareAtMost > 0
		}
		if shares || p.Pile.needsVolume() || p.Pile.Prefer != PreferTarget {
			return &ProblemError{
				Material: lacking[0],
				Problem:  "its bulk density is not known, and a pile size, share or density limit needs it",
				Hint:     fmt.Sprintf("weigh a full bucket of it and give bulk_density under [feedstock.%q], or leave the size and shares out", lacking[0]),
			}
		}
	}
	if p.Pile.Prefer == PreferCheapest && p.Pile.SizeM3 == 0 {
		return &ProblemError{Problem: "the cheapest pile needs a size: the cheapest of all is none", Hint: `say how big, as in size = "1.5 m3"`, Key: "prefer"}
	}
	return nil
}

// leastStock is the least weight on hand in kg that is taken for one.
const leastStock = 1e-3

// badComposition says what is impossible about a composition; "" if nothing.
func badComposition(c feedstocks.Composition) string {
	share := func(v float64) bool { return v >= 0 && v <= 1 }
	switch {
	case !share(c.Moisture) || c.Moisture == 1:
		return fmt.Sprintf("its moisture is %g %%", 100*c.Moisture)
	case !share(c.Carbon):
		return fmt.Sprintf("its carbon is %g %% of dry matter", 100*c.Carbon)
	case !share(c.Nitrogen):
		return fmt.Sprintf("its nitrogen is %g %% of dry matter", 100*c.Nitrogen)
	case !share(c.VolatileSolids):
		return fmt.Sprintf("its volatile solids are %g %% of dry matter", 100*c.VolatileSolids)
	case !math.IsNaN(c.DensityKgM3) && !(c.DensityKgM3 > 0 && known(c.DensityKgM3)):
		return fmt.Sprintf("its bulk density is %g kg/m3", c.DensityKgM3)
	}
	return ""
}

// withoutDensity names the materials on hand whose bulk density is not known.
func (p *Problem) withoutDensity() []string {
	var names []string
	for _, m := range p.Materials {
		if m.OnHandKg > 0 && !known(m.Composition.DensityKgM3) {
			names = append(names, m.Name)
		}
	}
	return names
}

// mixture is the mix of the given amounts in kg, one for each material.
func (p *Problem) mixture(amounts []float64, water float64) Mixture {
	mix := Mixture{AddedWaterKg: water}
	for j, m := range p.Materials {
		mix.Parts = append(mix.Parts, Part{m.Name, m.Composition, amounts[j]})
	}
	return mix
}
