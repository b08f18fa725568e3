package season

import (
	"math"
	"time"

	"heapwright/blend"
)

// CoverCrop is sown on a bed before the first hard frost; what it yields when
// it is cut in spring is an arrival of material.
type CoverCrop struct {
	Name           string
	Frost          time.Time // first hard frost, as the user gives it
	SowFrom, SowTo time.Time // first and last day of sowing, by [CoverCropWindow]
	// CutWeek is the week in which it is cut, 0 for one that is only sown;
	// Arrival is what it then yields, in Season.Arrivals.
	CutWeek int
	Arrival int
}

// NewCoverCrop works out when to sow a cover crop that is not cut.
func NewCoverCrop(name string, frost time.Time) CoverCrop {
	c := CoverCrop{Name: name, Frost: frost}
	c.SowFrom, c.SowTo = CoverCropWindow(frost)
	return c
}

// CoverCropWindow is when to sow a cover crop: four to six weeks before the
// first hard frost (common practice, no source).
func CoverCropWindow(frost time.Time) (from, to time.Time) {
	return frost.AddDate(0, 0, -6*7), frost.AddDate(0, 0, -4*7)
}

// CoverCropCaution is what to mind about sowing a cover crop.
func CoverCropCaution() blend.Caution {
	return blend.Caution{Key: "cover-crop", Text: "The sowing window of a cover crop is common practice and knows neither your ground nor your weather. Seed mix and sowing dates follow local advice, which comes first."}
}

// weekOf is the week in which a day lies; 0 or less for one before the season,
// which must have a start.
func (s *Season) weekOf(day time.Time) int {
	return int(math.Floor(day.Sub(s.Start).Hours()/(24*7))) + 1
}

// cropEvents lists when cover crops are sown and cut. A window that is open
// when the planning begins is told in its first week.
func (s *Season) cropEvents() []Event {
	var out []Event
	for i := range s.Beds.CoverCrops {
		c := &s.Beds.CoverCrops[i]
		e := Event{Kind: Sow, Material: -1, Bay: -1, Batch: -1, Name: c.Name, Crop: c}
		if !s.Start.IsZero() && s.weekOf(c.SowTo) >= s.from() {
			sow := e
			sow.Week, sow.First, sow.Last = s.weekOf(c.SowFrom), c.SowFrom, c.SowTo
			if sow.Week < s.from() {
				sow.Week, sow.First = s.from(), s.Date(s.from())
			}
			out = append(out, sow)
		}
		if c.CutWeek > 0 {
			a := s.Arrivals[c.Arrival]
			e.Kind, e.Week, e.Material, e.Kg = Cut, c.CutWeek, a.Material, a.Kg
			out = append(out, e)
		}
	}
	return out
}
