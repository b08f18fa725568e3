package season

import (
	"cmp"
	"slices"
	"time"
)

// EventKind says what is to be done or happens.
type EventKind uint8

// The kinds, in the order of a week.
const (
	Cut    EventKind = iota + 1 // a cover crop is cut, and comes
	Comes                       // a material arrives
	Order                       // order what is bought
	Ready                       // a batch is compost
	Move                        // a batch leaves its bay to cure
	Build                       // build a batch
	Spread                      // compost goes on a bed
	Lay                         // a cover goes on a bed
	Sow                         // a cover crop is sown
	Spoil                       // a material spoils at the end of the week
)

// String gives the word used in text and JSON.
func (k EventKind) String() string {
	return [...]string{"", "cut", "comes", "order", "ready", "move", "build", "spread", "lay", "sow", "spoils"}[k]
}

// Event is a line of the calendar.
type Event struct {
	Week     int
	Kind     EventKind
	Material int // -1 where there is none
	Bay      int // -1 where there is none
	Name     string
	Kg, M3   float64
	ShortM3  float64 // what a bed or cover lacks
	Batch    int     // in Plan.Batches; -1 where there is none
	// Crop is the cover crop that is sown or cut, nil for the other kinds;
	// First and Last are the days of sowing that are left, else zero.
	Crop        *CoverCrop
	First, Last time.Time
}

// crumb is the weight in kg that the calendar passes over.
const crumb = 0.05

// Events lists what happens, week by week from the first to plan.
func (p *Plan) Events() []Event {
	s := p.Season
	var out []Event
	add := func(e Event) {
		if e.Week >= s.from() && e.Week <= s.Weeks {
			out = append(out, e)
		}
	}
	for i, v := range p.Stocks {
		for t := range s.Weeks {
			if kg := v.Came[t] + v.Bought[t]; kg > crumb {
				add(Event{Week: t + 1, Kind: Comes, Material: i, Bay: -1, Batch: -1, Name: s.Materials[i].Name, Kg: kg})
			}
			if v.Spoiled[t] > crumb {
				add(Event{Week: t + 1, Kind: Spoil, Material: i, Bay: -1, Batch: -1, Name: s.Materials[i].Name, Kg: v.Spoiled[t]})
			}
		}
	}
	for _, b := range p.Purchases {
		o := s.Offers[b.Offer]
		add(Event{Week: b.OrderWeek, Kind: Order, Material: o.Material, Bay: -1, Batch: -1, Name: o.Name, Kg: b.Kg})
	}
	for n, b := range p.Batches {
		bay := s.Bays[b.Bay]
		mix := s.Mixture(b)
		if !b.Done {
			add(Event{Week: b.Week, Kind: Build, Material: -1, Bay: b.Bay, Batch: n, Name: bay.Name, Kg: mix.MassKg(), M3: mix.BuiltVolumeM3(s.Shrink)})
		}
		if !bay.CuresInBay && bay.CuringWeeks > 0 {
			add(Event{Week: b.Week + bay.Held(), Kind: Move, Material: -1, Bay: b.Bay, Batch: n, Name: bay.Name})
		}
		add(Event{Week: b.Ready, Kind: Ready, Material: -1, Bay: b.Bay, Batch: n, Name: bay.Name, M3: b.CompostM3.Usual})
	}
	for i, b := range s.Beds.Beds {
		add(Event{Week: b.Week, Kind: Spread, Material: -1, Bay: -1, Batch: -1, Name: b.Name, M3: p.Served[i].CompostM3, ShortM3: floor(p.Served[i].ShortM3)})
	}
	for i, c := range s.Beds.Covers {
		add(Event{Week: c.Week, Kind: Lay, Material: s.index(c.Material.Name), Bay: -1, Batch: -1, Name: c.Name, Kg: p.Laid[i].MassKg, M3: p.Laid[i].VolumeM3, ShortM3: floor(p.Laid[i].ShortM3)})
	}
	for _, e := range s.cropEvents() {
		add(e)
	}
	slices.SortStableFunc(out, func(a, b Event) int {
		return cmp.Or(cmp.Compare(a.Week, b.Week), cmp.Compare(a.Kind, b.Kind))
	})
	return out
}

// floor passes over what is not worth speaking of.
func floor(m3 float64) float64 {
	if m3 < negligible {
		return 0
	}
	return m3
}

// GoesWithout tells that a bed or cover gets nothing worth the way.
func (e Event) GoesWithout() bool {
	const kg = 0.5
	return e.ShortM3 > 0 && (e.Kind == Spread && e.M3 < negligible || e.Kind == Lay && e.Kg < kg)
}
