package page

import (
	"html/template"
	"math"
	"strconv"

	"heapwright/cmd/heapwright/internal/report"
)

// Gauge is a bar from low to high, with the good range and the aim on it and a
// pointer where the mix stands. Places are in hundredths of its length.
type Gauge struct {
	report.TargetView
	Key          string // of its ids
	From, Length string // of the good range
	AimAt, At    string
}

// gaugeOf lays a figure out on a bar that shows three of its ranges.
func gaugeOf(t report.TargetView) Gauge {
	width := t.Range.High - t.Range.Low
	low, high := max(0, t.Range.Low-width), t.Range.High+width
	if t.Name == "moisture" {
		high = min(high, 100)
	}
	at := func(v float64) float64 { return math.Max(0, math.Min(100, 100*(v-low)/(high-low))) }
	place := func(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }
	key := "ratio"
	if t.Name == "moisture" {
		key = "moisture"
	}
	return Gauge{
		TargetView: t, Key: key,
		From: place(at(t.Range.Low)), Length: place(at(t.Range.High) - at(t.Range.Low)),
		AimAt: place(at(t.Range.Aim)), At: place(at(t.Value)),
	}
}

// functions are what the templates need beside their own.
func functions() template.FuncMap {
	return template.FuncMap{
		"upper": upper,
		"row": func(kind string, i int, first bool, v any, d *pageData) map[string]any {
			return map[string]any{"Kind": kind, "I": i, "First": first, "V": v, "D": d}
		},
	}
}
