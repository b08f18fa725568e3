package season

import (
	"math"
	"strconv"
	"strings"
	"time"

	"heapwright/blend"
)

// day reads a date: one of TOML's own, or in words.
func (r *reader) day(t blend.SheetTable, key string) (time.Time, bool) {
	switch v := t.Value(key).(type) {
	case time.Time:
		return time.Date(v.Year(), v.Month(), v.Day(), 0, 0, 0, 0, time.UTC), true
	case string:
		if d, ok := ParseDay(v); ok {
			return d, true
		}
	}
	t.Fault(key, "write it as in 2027-03-01 or \"1 March 2027\"", "%v is not a date", t.Value(key))
	return time.Time{}, false
}

// ParseDay reads a date such as 2027-03-01 or 1 March 2027.
func ParseDay(text string) (time.Time, bool) {
	for _, layout := range []string{"2006-01-02", "2 January 2006", "2 Jan 2006"} {
		if d, err := time.Parse(layout, strings.TrimSpace(text)); err == nil {
			return d, true
		}
	}
	return time.Time{}, false
}

// week reads a week: its number, "week 3", or a date in it. 0 when it is not
// there or wrong.
func (r *reader) week(t blend.SheetTable, key string) int {
	v := t.Value(key)
	if v == nil {
		return 0
	}
	n := 0
	switch v := v.(type) {
	case int64:
		n = int(max(min(v, WeeksMost+1), -1))
		if n < 1 {
			n = -1
		}
	case string:
		if text, ok := strings.CutPrefix(strings.ToLower(strings.TrimSpace(v)), "week "); ok {
			n, _ = strconv.Atoi(strings.TrimSpace(text))
			if n < 1 {
				n = -1
			}
		}
	case float64:
		n = -1
	}
	if n == 0 {
		day, ok := r.day(t, key)
		if !ok {
			return 0
		}
		if r.season.Start.IsZero() {
			t.Fault(key, "write start = 2027-03-01 at the top, or give weeks by number", "a date needs the start of the season")
			return 0
		}
		n = r.season.weekOf(day)
	}
	if n < 1 || r.season.Weeks > 0 && n > r.season.Weeks {
		t.Fault(key, "", "%v lies outside the season, which has %d weeks", v, r.season.Weeks)
		return 0
	}
	return n
}

// span reads a keeping or lead time in weeks.
func (r *reader) span(t blend.SheetTable, key string) (weeks int, ok bool) {
	v := t.Value(key)
	const hint = `write it as in "2 weeks" or "3 days"`
	number, unit := -1.0, ""
	switch v := v.(type) {
	case nil:
		return 0, false
	case int64:
		number, unit = float64(v), "weeks"
	case string:
		number, unit, ok = numberAndUnit(v)
		if !ok {
			number = -1
		}
	}
	per := map[string]float64{"day": 1. / 7, "days": 1. / 7, "week": 1, "weeks": 1, "month": 52. / 12, "months": 52. / 12, "year": 52, "years": 52}[unit]
	if per == 0 || number < 0 || number > 1e4 {
		t.Fault(key, hint, "%v is not a time", v)
		return 0, false
	}
	return int(math.Ceil(number*per - 1e-9)), true
}
