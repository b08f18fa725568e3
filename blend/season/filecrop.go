package season

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"heapwright/blend"
)

// coverCrops reads the cover crops; where the file is that of a season, what
// they yield comes as arrivals. usual is the frost of the whole file.
func (r *reader) coverCrops(usual time.Time, weeks bool) []CoverCrop {
	var out []CoverCrop
	all := r.Top().Table("cover_crop")
	for _, name := range all.Keys() {
		t := all.Table(name)
		t.Only("frost", "material", "amount", "week", "keeps")
		frost := usual
		switch {
		case t.Has("frost"):
			frost, _ = r.day(t, "frost")
		case !r.Top().Has("frost"):
			t.Fault("", "write frost = 2027-10-25 here, or at the top for all cover crops", "the first hard frost is missing, before which it is sown")
		}
		c := NewCoverCrop(name, frost)
		if weeks {
			r.yield(t, &c)
			if !frost.IsZero() {
				r.sowing(t, c)
			}
		}
		if !frost.IsZero() {
			out = append(out, c)
		}
	}
	return out
}

// sowing checks that the window lies in the season, and notes one that is past
// when it begins.
func (r *reader) sowing(t blend.SheetTable, c CoverCrop) {
	s, key := r.season, ""
	if t.Has("frost") {
		key = "frost"
	}
	window := fmt.Sprintf("from %s to %s", longDay(c.SowFrom), longDay(c.SowTo))
	switch {
	case s.Start.IsZero():
		if !r.Top().Has("start") { // else it is a fault already
			t.Fault(key, "write start = 2027-03-01 at the top", "a frost date needs the start of the season")
		}
	case s.weekOf(c.SowFrom) > s.Weeks:
		end := s.Date(s.Weeks+1).AddDate(0, 0, -1)
		t.Fault(key, "the frost of the year before is that of a crop which stands already", "it would be sown %s, after the season, which ends on %s", window, longDay(end))
	case c.SowTo.Before(s.Start) && (c.CutWeek == 0 || c.CutWeek >= s.from()):
		s.Notes = append(s.Notes, fmt.Sprintf("%s is taken to stand already: it was to be sown %s, before the season", c.Name, window))
	}
}

// yield reads what a cover crop yields and when it is cut.
func (r *reader) yield(t blend.SheetTable, c *CoverCrop) {
	s := r.season
	if !t.Has("amount") {
		for _, key := range []string{"material", "week", "keeps"} {
			if t.Has(key) {
				t.Fault(key, `write amount = "9 barrows" too, or leave this out for a crop that is only sown`, "%s is said of what is cut, and the amount is missing", key)
			}
		}
		return
	}
	m, ok := r.material(t, c.Name)
	week := r.week(t, "week")
	switch {
	case !t.Has("week"):
		t.Fault("", "as in week = 6, or a date", "the week in which it is cut is missing")
	case week == 0 || c.Frost.IsZero() || s.Start.IsZero() || s.weekOf(c.SowFrom) > s.Weeks:
		// It is a fault already, or sowing is about to tell it.
	case week <= s.weekOf(c.SowTo):
		t.Fault("week", "a crop that stands already was sown before the frost of the year before: give that date", "it would be cut in week %d and may be sown until week %d", week, s.weekOf(c.SowTo))
		week = 0
	}
	if !ok {
		return
	}
	keeps := r.keeps(t, m)
	t, ok = r.rates(t, "amount")
	if !ok {
		return
	}
	q, low, kg, high := r.amount(t, "amount", m)
	if week == 0 {
		return
	}
	c.CutWeek, c.Arrival = week, len(s.Arrivals)
	s.Arrivals = append(s.Arrivals, Arrival{Name: c.Name, Material: r.index(m), Week: week, Kg: kg, LowKg: low, HighKg: high, Keeps: keeps, Amount: q})
}

// rates turns an amount that is written as an area at a rate into all of it,
// also within a range.
func (r *reader) rates(t blend.SheetTable, key string) (blend.SheetTable, bool) {
	all, isList := t.Value(key).([]any)
	if !isList {
		all = []any{t.Value(key)}
	}
	whole, ok := make([]any, len(all)), true
	for i, v := range all {
		whole[i] = v
		text, isText := v.(string)
		if !isText || !strings.Contains(text, " at ") {
			continue
		}
		size, err := ParseSize(text, r.Measures())
		if e, bad := errors.AsType[*SizeError](err); bad {
			t.Fault(key, `write it as in "9 barrows" or "40 m2 at 2 kg/m2"`, "%q: %s", e.Text, e.Problem)
			ok = false
			continue
		}
		whole[i] = strconv.FormatFloat(size.VolumeM3, 'f', -1, 64) + " m3"
		if size.MassKg > 0 {
			whole[i] = strconv.FormatFloat(size.MassKg, 'f', -1, 64) + " kg"
		}
	}
	if !isList {
		return t.With(key, whole[0]), ok
	}
	return t.With(key, whole), ok
}

// longDay writes a date in faults and notes.
func longDay(d time.Time) string { return d.Format("2 January 2006") }
