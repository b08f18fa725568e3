package report

import (
	"encoding/csv"
	"io"
	"strconv"
	"time"

	"heapwright/blend/season"
)

// seasonCSV writes the calendar, one event a line. The date is the first day
// of the week, but of sowing the first day of the window, which has an end too.
func seasonCSV(w io.Writer, p *season.Plan) error {
	s := p.Season
	cell := func(v float64) string {
		if v == 0 {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	c := csv.NewWriter(w)
	_ = c.Write([]string{"week", "date", "event", "name", "mass_kg", "volume_m3", "short_m3", "until"})
	for _, e := range p.Events() {
		date := ""
		if d := s.Date(e.Week); !d.IsZero() {
			date = d.Format(time.DateOnly)
		}
		until := ""
		if e.Kind == season.Sow {
			date, until = e.First.Format(time.DateOnly), e.Last.Format(time.DateOnly)
		}
		_ = c.Write([]string{strconv.Itoa(e.Week), date, e.Kind.String(), e.Name, cell(e.Kg), cell(e.M3), cell(e.ShortM3), until})
		if e.Kind == season.Build {
			b := p.Batches[e.Batch]
			for i, kg := range b.Kg {
				if kg > 0 {
					_ = c.Write([]string{strconv.Itoa(e.Week), date, "put in", s.Materials[i].Name, cell(kg), "", "", ""})
				}
			}
			if b.WaterKg > 0 {
				_ = c.Write([]string{strconv.Itoa(e.Week), date, "put in", "water", cell(b.WaterKg), "", "", ""})
			}
		}
	}
	c.Flush()
	return c.Error()
}
