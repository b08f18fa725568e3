package season

import (
	"fmt"
	"math"
	"time"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// Season is what a season has: what arrives, what can be bought, the bays, and
// what beds ask for. Weeks are counted from 1. It is not changed by [Solve].
type Season struct {
	Title string
	Start time.Time // the first day of week 1; zero for none
	Weeks int
	From  int // the first week to plan; what was before is in Done. 0 means 1

	Targets   []blend.Target // of each week; the last stands for those after it
	Shrink    float64        // volume lost when materials nest, 0 to below 1
	Materials []blend.Material
	Arrivals  []Arrival
	Offers    []Offer
	Bays      []Bay
	LeastM3   float64 // built volume under which no batch is made; 0 for none
	MostM3    float64 // built volume of the largest batch; 0 for the bay's
	WaterKg   float64 // most water added in a week; +Inf for no limit
	WorkM3    float64 // most loose volume put into batches in a week; 0 for no limit
	WorkKg    float64 // most weight put into batches in a week; 0 for no limit
	CompostM3 float64 // finished compost at hand at the start
	Beds      Beds
	Done      []Done
	Notes     []string // what was assumed

	sure float64 // the chance with which shares left are planned on; 0 for the usual
}

// Arrival is an amount of a material that comes at the beginning of a week; of
// week 1 also what is on hand at the start.
type Arrival struct {
	Name     string
	Material int // in Season.Materials
	Week     int
	Kg       float64
	LowKg    float64 // the least that may come; Kg where it is sure
	HighKg   float64
	Keeps    int // for so many weeks, that of its coming included; 0 for all
	Amount   feedstocks.Quantity
}

// Offer is a material that can be bought.
type Offer struct {
	Name       string
	Material   int
	PricePerKg float64 // 0 where it is not known
	WeeklyKg   float64 // most a week; +Inf for no limit
	TotalKg    float64 // most in all; +Inf for no limit
	Lead       int     // weeks from order to delivery
	Keeps      int     // as of an arrival
	Amount     feedstocks.Quantity
}

// Bay holds a batch for some weeks.
type Bay struct {
	Name        string
	SizeM3      float64
	HotWeeks    int
	CuringWeeks int
	// CuresInBay tells that the batch stays in the bay for the curing weeks
	// too; else it cures elsewhere, which is common practice.
	CuresInBay bool
	FreeFrom   int // first week in which it is free; 0 or 1 for the start
}

// Held is for how many weeks a batch fills the bay.
func (b Bay) Held() int {
	if b.CuresInBay {
		return b.HotWeeks + b.CuringWeeks
	}
	return b.HotWeeks
}

// Ready is the number of weeks from building a batch to finished compost.
func (b Bay) Ready() int { return b.HotWeeks + b.CuringWeeks }

// Done is what really happened in a week before From.
type Done struct {
	Name string
	Week int
	// Bay is the bay in which a batch was built, -1 for none; Kg what went
	// in, for each material, and WaterKg the water added.
	Bay     int
	Kg      []float64
	WaterKg float64
	// ArrivedKg is what came of a material instead of what was to come; NaN
	// where that is not told, nil for none.
	ArrivedKg []float64
}

// target is that of a week.
func (s *Season) target(week int) blend.Target {
	if len(s.Targets) == 0 {
		return blend.DefaultTarget()
	}
	return s.Targets[min(week, len(s.Targets))-1]
}

// from is the first week to plan.
func (s *Season) from() int { return max(s.From, 1) }

// largest is the largest batch of a bay in m3.
func (s *Season) largest(b Bay) float64 {
	if s.MostM3 > 0 {
		return min(s.MostM3, b.SizeM3)
	}
	return b.SizeM3
}

// Date is the first day of a week; the zero time where the season has no
// start.
func (s *Season) Date(week int) time.Time {
	if s.Start.IsZero() {
		return time.Time{}
	}
	return s.Start.AddDate(0, 0, 7*(week-1))
}

// builtPerKg is the built volume of a kg of a material.
func (s *Season) builtPerKg(i int) float64 {
	return (1 - s.Shrink) / s.Materials[i].Composition.DensityKgM3
}

// finishedPerKg is the compost in m3 that a kg of a material is likely to
// leave.
func (s *Season) finishedPerKg(i int) float64 {
	return s.builtPerKg(i) * s.left(i).Usual
}

// SeasonError says what keeps a season from being planned.
type SeasonError struct {
	Path    []string // the keys of the file that lead to it
	Problem string
	Hint    string
}

func (e *SeasonError) Error() string { return "season: " + e.Problem }

// WeeksMost bounds a season: five years.
const WeeksMost = 260

// Validate checks that every number makes sense.
func (s *Season) Validate() error {
	fail := func(problem, hint string, path ...string) error { return &SeasonError{path, problem, hint} }
	share := func(v float64) bool { return v >= 0 && !math.IsNaN(v) }
	switch {
	case s.Weeks < 1 || s.Weeks > WeeksMost:
		return fail(fmt.Sprintf("a season has 1 to %d weeks, not %d", WeeksMost, s.Weeks), "write weeks = 30", "weeks")
	case s.From < 0 || s.From > s.Weeks:
		return fail(fmt.Sprintf("week %d is not one of the season's %d", s.From, s.Weeks), "", "weeks")
	case !(s.Shrink >= 0 && s.Shrink < 1):
		return fail(fmt.Sprintf("mixing shrink must be from 0 to below 1, not %g", s.Shrink), "", "batch", "mixing_shrink")
	case !share(s.LeastM3) || !share(s.MostM3) || !share(s.WaterKg) || !share(s.WorkM3) || !share(s.WorkKg) || !share(s.CompostM3):
		return fail("the limits of batches must be numbers from 0", "", "batch")
	case s.MostM3 > 0 && s.LeastM3 > s.MostM3:
		return fail(fmt.Sprintf("the least batch (%.3g m3) is larger than the most (%.3g m3)", s.LeastM3, s.MostM3), "lower least or raise most", "batch", "least")
	case len(s.Bays) == 0:
		return fail("there is no bay to build in", `name one, as in [bay.north] with size = "3 m3", hot_weeks = 6 and curing_weeks = 8`, "bay")
	case len(s.Materials) == 0:
		return fail("nothing is on hand and nothing arrives", `list what comes, as in [arrival.leaves] with amount = "10 sacks" and week = 3`, "arrival")
	}
	for _, t := range s.Targets {
		if err := t.Validate(); err != nil {
			return err
		}
	}
	for _, m := range s.Materials {
		if !(m.Composition.DensityKgM3 > 0) {
			return fail(fmt.Sprintf("the bulk density of %s is not known, and bays are filled by volume", m.Name), fmt.Sprintf(`weigh a full bucket and write bulk_density = "... kg/m3" under [feedstock.%q]`, m.Name), "feedstock", m.Name)
		}
	}
	for _, b := range s.Bays {
		switch {
		case !(b.SizeM3 > 0):
			return fail(fmt.Sprintf("the bay %s has no size", b.Name), `write size = "3 m3"`, "bay", b.Name, "size")
		case b.HotWeeks < 1 || b.CuringWeeks < 0:
			return fail(fmt.Sprintf("the bay %s is filled for no week", b.Name), "write hot_weeks = 6 and curing_weeks = 8", "bay", b.Name, "hot_weeks")
		case s.LeastM3 > s.largest(b)*(1+1e-9):
			return fail(fmt.Sprintf("the least batch (%.3g m3) does not fit the bay %s (%.3g m3)", s.LeastM3, b.Name, b.SizeM3), "lower least, or leave the bay out", "bay", b.Name, "size")
		}
	}
	for _, a := range s.Arrivals {
		if !share(a.Kg) || a.Material < 0 || a.Material >= len(s.Materials) || a.Keeps < 0 {
			return fail(fmt.Sprintf("the arrival of %s makes no sense", a.Name), "", "arrival", a.Name)
		}
	}
	for _, b := range s.Beds.Beds {
		if b.Week < 1 || b.Week > s.Weeks {
			return fail(fmt.Sprintf("the bed %s wants compost in week %d, and the season has %d", b.Name, b.Week, s.Weeks), "", "bed", b.Name, "week")
		}
	}
	for _, c := range s.Beds.Covers {
		if c.Week < 1 || c.Week > s.Weeks {
			return fail(fmt.Sprintf("the cover %s is for week %d, and the season has %d", c.Name, c.Week, s.Weeks), "", "cover", c.Name, "week")
		}
	}
	for _, c := range s.Beds.CoverCrops {
		if c.CutWeek < 0 || c.CutWeek > s.Weeks || c.CutWeek > 0 && (c.Arrival < 0 || c.Arrival >= len(s.Arrivals)) {
			return fail(fmt.Sprintf("the cut of the cover crop %s in week %d is no arrival of the season's %d weeks", c.Name, c.CutWeek, s.Weeks), "", "cover_crop", c.Name, "week")
		}
	}
	return nil
}
