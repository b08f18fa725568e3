package report

import (
	"fmt"
	"strconv"
	"strings"

	"heapwright/blend"
)

// explainLines shows the arithmetic of a recipe, step by step, with numbers
// short enough to redo it on paper. It is always metric: kg and fractions.
func explainLines(r *blend.Recipe) []string {
	f := r.Figures
	var lines []string
	step := func(title string) { lines = append(lines, "", "  "+title) }
	parts := func(row func(p blend.Part) []string) {
		var g grid
		for _, p := range r.Mixture.Parts {
			if p.MassKg > 0 {
				g.add(append([]string{p.Name}, row(p)...)...)
			}
		}
		lines = append(lines, g.lines("    ")...)
	}
	sum := func(format string, v ...any) { lines = append(lines, "    "+fmt.Sprintf(format, v...)) }

	step("1. Dry matter = weight x (1 - moisture)")
	parts(func(p blend.Part) []string {
		return []string{kg(p.MassKg), "x (1 - " + digits(p.Composition.Moisture) + ")", "= " + kg(p.DryKg())}
	})
	step("2. Nitrogen = dry matter x nitrogen share")
	parts(func(p blend.Part) []string {
		return []string{kg(p.DryKg()), "x " + digits(p.Composition.Nitrogen), "= " + kg(p.NitrogenKg())}
	})
	sum("together %s", kg(f.NitrogenKg))
	step("3. Carbon = dry matter x carbon share")
	parts(func(p blend.Part) []string {
		return []string{kg(p.DryKg()), "x " + digits(p.Composition.Carbon), "= " + kg(p.CarbonKg()), "(" + strings.ReplaceAll(p.Composition.CarbonFrom.String(), "nitrogen x", "N x") + ")"}
	})
	sum("together %s", kg(f.CarbonKg))
	step("4. C:N = all carbon / all nitrogen (a ratio of sums, never a mean of ratios)")
	sum("%s / %s = %s", kg(f.CarbonKg), kg(f.NitrogenKg), one(f.CarbonToNitrogen))
	step("5. Moisture = all water / all weight")
	parts(func(p blend.Part) []string {
		return []string{kg(p.MassKg), "x " + digits(p.Composition.Moisture), "= " + kg(p.WaterKg()) + " water"}
	})
	sum("added water %s", kg(r.Mixture.AddedWaterKg))
	sum("%s / %s = %s %%", kg(r.Mixture.WaterKg()), kg(f.MassKg), one(100*f.Moisture))
	if !known(f.VolumeM3) {
		return lines[1:]
	}
	step("6. Volume = weight / bulk density, then less what is lost in mixing")
	parts(func(p blend.Part) []string {
		return []string{kg(p.MassKg), "/ " + digits(p.Composition.DensityKgM3) + " kg/m3", "= " + digits(p.VolumeM3()) + " m3"}
	})
	shrink := r.Problem.Pile.Shrink
	sum("together %s m3 loose; x (1 - %s) = %s m3 built", digits(f.LooseVolumeM3), digits(shrink), digits(f.VolumeM3))
	step("7. Bulk density = all weight / built volume")
	sum("%s / %s m3 = %s kg/m3", kg(f.MassKg), digits(f.VolumeM3), digits(f.BulkDensityKgM3))
	step("8. Air = 1 - density x (M/1000 + (1-M) x (VS/1600 + (1-VS)/2500))")
	sum("M is moisture %s, VS the dry matter that is not ash %s", digits(f.Moisture), digits(f.VolatileSolids))
	sum("= %s %%", one(100*f.FreeAirSpace))
	return lines[1:]
}

func kg(v float64) string { return digits(v) + " kg" }

// digits writes four significant digits, without an exponent.
func digits(v float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64)
	if err != nil {
		return "?"
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
