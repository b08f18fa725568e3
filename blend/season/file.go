package season

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// File is a season file or a file of beds, as it stands.
type File struct {
	plan *blend.Plan
}

// ReadFile reads a season file; name stands for it in errors. The error is a
// *[blend.PlanError] when the text is not TOML. What its values say is checked
// by [File.Season] and [File.Beds].
func ReadFile(r io.Reader, name string) (*File, error) {
	plan, err := blend.ReadPlan(r, name)
	if err != nil {
		return nil, err
	}
	return &File{plan: plan}, nil
}

// NewFile is an empty file, to be filled with Set.
func NewFile() *File { return &File{plan: blend.NewPlan("")} }

// Set puts a value at a path of keys, over what stood there.
func (f *File) Set(value any, path ...string) { f.plan.Set(value, path...) }

// Title is the title of the season, or "".
func (f *File) Title() string { return f.plan.Title() }

var topKeys = []string{
	"title", "start", "weeks", "frost", "target", "target_from", "batch", "measures", "on_hand", "compost",
	"arrival", "may_buy", "bay", "bed", "cover", "cover_crop", "dressing", "feedstock", "done",
}

// reader turns a file into a season.
type reader struct {
	*blend.Sheet
	season *Season
	byName map[string]int
}

// open checks the keys of the file and its measures and feedstocks.
func (f *File) open(lib *feedstocks.Library) *reader {
	r := &reader{Sheet: f.plan.Sheet(lib), season: &Season{}, byName: map[string]int{}}
	r.Top().Only(topKeys...)
	r.Top().Text("title")
	return r
}

// Beds reads the beds, covers, dressings and cover crops alone; weeks are not asked for. The
// error joins one *[blend.PlanError] for each fault.
func (f *File) Beds(lib *feedstocks.Library) (*Beds, error) {
	r := f.open(lib)
	r.start()
	beds := r.beds(false)
	if err := r.Err(); err != nil {
		return nil, err
	}
	return beds, nil
}

// Measures are the vessels that the file's quantities are read with.
func (f *File) Measures() feedstocks.Measures { return f.plan.Measures() }

// Season reads all of the season. from is the first week to plan, 0 or 1 for
// the start. The error joins one *[blend.PlanError] for each fault.
func (f *File) Season(lib *feedstocks.Library, from int) (*Season, error) {
	if err := f.plan.WrongFile(); err != nil {
		return nil, err
	}
	r := f.open(lib)
	s := r.season
	s.Title, s.From = f.plan.Title(), from
	r.start()
	top := r.Top()
	weeks, ok := top.Number("weeks")
	switch {
	case !ok:
		top.Fault("weeks", "write weeks = 30", "the number of weeks is missing")
		weeks = 1
	case weeks != math.Trunc(weeks) || weeks < 1 || weeks > WeeksMost:
		top.Fault("weeks", "", "a season has 1 to %d whole weeks, not %g", WeeksMost, weeks)
		weeks = 1
	}
	s.Weeks = int(weeks)
	r.targets()
	r.batch()
	s.CompostM3 = top.VolumeM3("compost")
	r.onHand()
	r.arrivals()
	r.offers()
	r.bays()
	r.usualLeast()
	s.Beds = *r.beds(true)
	for _, c := range s.Beds.Covers {
		r.index(c.Material)
	}
	r.done()
	if err := r.Err(); err != nil {
		return nil, err
	}
	if err := s.Validate(); err != nil {
		if e, ok := errors.AsType[*SeasonError](err); ok {
			at, key := top, ""
			for i, k := range e.Path {
				if i == len(e.Path)-1 || !at.Has(k) {
					key = k
					break
				}
				at = at.Table(k)
			}
			at.Fault(key, e.Hint, "%s", e.Problem)
			return nil, r.Err()
		}
		return nil, err
	}
	return s, nil
}

// start reads the first day and the frost.
func (r *reader) start() {
	top := r.Top()
	if top.Has("start") {
		r.season.Start, _ = r.day(top, "start")
	}
}

func (r *reader) targets() {
	s, top := r.season, r.Top()
	first := top.Table("target").Target()
	s.Targets = []blend.Target{first}
	from := top.Table("target_from")
	for _, key := range from.Keys() {
		week, err := strconv.Atoi(key)
		if err != nil || week < 1 || week > s.Weeks {
			from.Fault(key, "write [target_from.12] for the weeks from the 12th", "%q is not a week of the season", key)
			continue
		}
		target := from.Table(key).Target()
		for len(s.Targets) < week {
			s.Targets = append(s.Targets, s.Targets[len(s.Targets)-1])
		}
		for i := week - 1; i < len(s.Targets); i++ {
			s.Targets[i] = target
		}
	}
}

func (r *reader) batch() {
	s, t := r.season, r.Top().Table("batch")
	t.Only("least", "most", "water_a_week", "loads_a_week", "hours_a_week", "hours_per_m3", "mixing_shrink")
	s.LeastM3, s.MostM3 = t.VolumeM3("least"), t.VolumeM3("most")
	s.WaterKg, s.Shrink = math.Inf(1), blend.DefaultShrink
	if q, ok := t.Quantity("water_a_week"); ok {
		s.WaterKg, _ = q.Kg(1000)
	}
	if q, ok := t.Quantity("loads_a_week"); ok {
		if v := q.Number * q.Unit.Factor; q.Unit.Dimension == feedstocks.Mass {
			s.WorkKg = v
		} else {
			s.WorkM3 = v
		}
	}
	hours, has := t.Number("hours_a_week")
	per, hasPer := t.Number("hours_per_m3")
	switch {
	case has != hasPer:
		t.Fault("hours_a_week", "hours_per_m3 = 1.5 says how long a m3 of loose material takes to bring and build", "hours_a_week and hours_per_m3 go together")
	case has && (!(hours > 0) || !(per > 0)):
		t.Fault("hours_a_week", "", "hours must be more than zero")
	case has && (s.WorkM3 == 0 || hours/per < s.WorkM3):
		s.WorkM3 = hours / per
	}
	if t.Has("mixing_shrink") {
		if v, ok := t.Number("mixing_shrink"); ok && v >= 0 && v < 1 {
			s.Shrink = v
		} else {
			t.Fault("mixing_shrink", "write a share, as in 0.2", "the share of volume lost in mixing must be from 0 to below 1")
		}
	}
}

// heatsFrom is the least pile in m3 that heats well: a yard cube (Klickitat
// County, "Volume and construction").
const heatsFrom = 0.76

// usualLeast takes the least batch for one that heats, or half of the smallest
// bay, where the file does not say.
func (r *reader) usualLeast() {
	s := r.season
	if r.Top().Table("batch").Has("least") || len(s.Bays) == 0 {
		return
	}
	s.LeastM3 = heatsFrom
	if s.MostM3 > 0 {
		s.LeastM3 = min(s.LeastM3, s.MostM3/2)
	}
	for _, b := range s.Bays {
		s.LeastM3 = min(s.LeastM3, b.SizeM3/2)
	}
	s.Notes = append(s.Notes, fmt.Sprintf("no batch is under %.2g m3, since smaller piles hardly heat; least under [batch] says otherwise", s.LeastM3))
}
