package report

import (
	"fmt"
	"time"

	"heapwright/blend/season"
)

// sowLines say when to sow the cover crops, or any where none is named.
func sowLines(beds *season.Beds) []string {
	line := func(name string, c season.CoverCrop) string {
		return sentence(fmt.Sprintf("sow %sfrom %s to %s: four to six weeks before the first hard frost of %s (common practice)", name, day(c.SowFrom), day(c.SowTo), day(c.Frost)))
	}
	var out []string
	told := false // the window of the frost of the whole file
	for _, c := range beds.CoverCrops {
		told = told || c.Frost.Equal(beds.Frost)
		out = append(out, line(c.Name+" ", c))
	}
	if !told && !beds.Frost.IsZero() {
		out = append([]string{line("", season.NewCoverCrop("", beds.Frost))}, out...)
	}
	return out
}

// sowJSON is a cover crop of a file of beds, cropJSON one of a season.
type sowJSON struct {
	Name    string `json:"name"`
	Frost   string `json:"frost"`
	SowFrom string `json:"sow_from"`
	SowTo   string `json:"sow_to"`
}

type cropJSON struct {
	sowJSON
	Cut *cutJSON `json:"cut"` // null for one that is only sown
}

type cutJSON struct {
	Week     int           `json:"week"`
	Material string        `json:"material"`
	MassKg   number        `json:"mass_kg"`
	Measures []measureJSON `json:"measures"`
}

func newSowJSON(c season.CoverCrop) sowJSON {
	return sowJSON{c.Name, c.Frost.Format(time.DateOnly), c.SowFrom.Format(time.DateOnly), c.SowTo.Format(time.DateOnly)}
}

func seasonCropsJSON(s *season.Season) []cropJSON {
	out := []cropJSON{}
	for _, c := range s.Beds.CoverCrops {
		j := cropJSON{sowJSON: newSowJSON(c)}
		if c.CutWeek > 0 {
			a := s.Arrivals[c.Arrival]
			q := s.Measured(a.Material, a.Kg)
			j.Cut = &cutJSON{c.CutWeek, s.Materials[a.Material].Name, number(a.Kg), []measureJSON{{number(q.Number), q.Unit.Count(q.Number)}}}
		}
		out = append(out, j)
	}
	return out
}
