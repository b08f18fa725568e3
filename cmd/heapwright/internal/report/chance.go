package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"heapwright/blend/chance"
	"heapwright/feedstocks"
)

// chanceLines says how sure a recipe is: one line, or all of it.
func chanceLines(a *Answer, o Options) []string {
	c := a.Chance
	if c == nil {
		return nil
	}
	var lines []string
	say := func(format string, v ...any) {
		lines = append(lines, wrap(fmt.Sprintf(format, v...), "  ", "  ")...)
	}
	if s := a.Sure; s != nil {
		say("%s", sureSentence(s, o))
	}
	say("%s", chanceSentence(a, o))
	if !o.Chance {
		return lines
	}
	lines = append(lines, "")
	var g grid
	g.add("", "1 in 10 below", "middle", "1 in 10 above")
	row := func(name string, p chance.Percentiles, write func(float64) string) {
		if known(p.P50) {
			g.add(name, write(p.P10), write(p.P50), write(p.P90))
		}
	}
	row("C:N", c.CarbonToNitrogen, one)
	row("moisture", c.Moisture, percent)
	row("built volume", c.VolumeM3, o.Units.volume)
	row("bulk density", c.BulkDensityKgM3, o.Units.density)
	row("air", c.FreeAirSpace, percent)
	lines = append(lines, g.lines("  ")...)
	good := max(200*c.Error(c.InAll), 0.1)
	say("(%s draws, seed %d: by them alone the chance is good to %.1f points either way.)", thousands(c.Draws), c.Seed, good)
	lines = append(lines, "")
	lines = append(lines, gainLines(a)...)
	lines = append(lines, shareLines(a.Shares)...)
	if len(c.Assumed) > 0 {
		lines = append(lines, "")
		say("Spreads that are assumed, for want of a better published range: %s.", assumedWords(c.Assumed))
	}
	return lines
}

// chanceSentence is the one line on chance.
func chanceSentence(a *Answer, o Options) string {
	c, hint := a.Chance, "; --chance says what to measure first"
	if o.Chance || o.Page {
		hint = ""
	}
	return fmt.Sprintf("Chance of landing in range: %s (C:N %s, moisture %s), from the spread of the figures%s.",
		likely(c.InAll), likely(c.InCarbonToNitrogen), likely(c.InMoisture), hint)
}

// gainLines say what to measure first.
func gainLines(a *Answer) []string {
	if len(a.Gains) == 0 {
		return wrap("No one measurement would raise the chance by more than a hundredth.", "  ", "  ")
	}
	before := a.Gains[0].Before
	intro := "What to measure first:"
	if now := likely(a.Chance.InAll); now != likely(before) {
		intro = fmt.Sprintf("What to measure first (mixed anew, as heapwright mix tells, the chance is %s without measuring):", likely(before))
	}
	lines := wrap(intro, "  ", "  ")
	for _, gain := range a.Gains {
		lines = append(lines, wrap(fmt.Sprintf("%s: mixed anew with the result, the chance of landing in range goes from %s to %s.",
			gain.How, likely(gain.Before), likely(gain.After)), "  - ", "    ")...)
	}
	return lines
}

// assumedWords names unknowns by their figure: "moisture (leaves, hay)".
func assumedWords(unknown []chance.Unknown) string {
	var kinds []feedstocks.Kind
	of := map[feedstocks.Kind][]string{}
	for _, u := range unknown {
		if len(of[u.Kind]) == 0 {
			kinds = append(kinds, u.Kind)
		}
		of[u.Kind] = append(of[u.Kind], u.Material)
	}
	slices.Sort(kinds)
	var words []string
	for _, k := range kinds {
		words = append(words, fmt.Sprintf("%s (%s)", k.Label(), strings.Join(of[k], ", ")))
	}
	return strings.Join(words, "; ")
}

// thousands writes a count with its thousands apart: "100,000".
func thousands(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

// likely writes a chance; never a certainty that draws cannot give.
func likely(p float64) string {
	switch {
	case p > 0.995 && p < 1:
		return "over 99 %"
	case p < 0.005 && p > 0:
		return "under 1 %"
	}
	return percent(p)
}

// mostShares is how many shares of the variance are told.
const mostShares = 3

// leastShare is the least share of the variance that is told.
const leastShare = 0.05

// shareLines say which unknowns bring most of the spread.
func shareLines(shares []chance.Share) []string {
	var lines []string
	tell := func(figure string, of func(chance.Share) float64) {
		sorted := slices.SortedStableFunc(slices.Values(shares), func(a, b chance.Share) int { return -cmp.Compare(of(a), of(b)) })
		var words []string
		for _, s := range sorted[:min(len(sorted), mostShares)] {
			if v := of(s); v > leastShare {
				words = append(words, fmt.Sprintf("%s %s", s.Unknown.Words(), percent(min(v, 1))))
			}
		}
		if len(words) > 0 {
			lines = append(lines, wrap(fmt.Sprintf("in %s: %s", figure, strings.Join(words, ", ")), "  - ", "    ")...)
		}
	}
	tell("C:N", func(s chance.Share) float64 { return s.TotalRatio })
	tell("moisture", func(s chance.Share) float64 { return s.TotalMoisture })
	if len(lines) == 0 {
		return nil
	}
	return append([]string{"", "  Where the spread comes from:"}, lines...)
}

// sureSentence says whether the chance that was asked for can be had, and what
// it costs.
func sureSentence(s *chance.Sure, o Options) string {
	asked := strconv.FormatFloat(100*s.Asked, 'g', 4, 64) + " %"
	var b strings.Builder
	switch {
	case s.Reached && s.Recipe == s.Nearest:
		return fmt.Sprintf("The nearest mix holds its ranges with the chance of %s that you ask for as it is.", asked)
	case s.Reached:
		fmt.Fprintf(&b, "This mix holds its ranges with the chance of %s that you ask for.", asked)
	case s.Recipe == s.Nearest:
		return fmt.Sprintf("The chance of %s that you ask for cannot be had; no mix is surer than the nearest.", asked)
	default:
		fmt.Fprintf(&b, "The chance of %s that you ask for cannot be had; this is the surest mix, %s.", asked, likely(s.Chance.InAll))
	}
	fmt.Fprintf(&b, " The mix nearest to your aims would have %s.", likely(s.Before.InAll))
	var price []string
	cost := func(what, is, was string) {
		if is != was {
			price = append(price, fmt.Sprintf("%s %s instead of %s", what, is, was))
		}
	}
	is, was := s.Recipe.Figures, s.Nearest.Figures
	cost("C:N", one(is.CarbonToNitrogen), one(was.CarbonToNitrogen))
	cost("moisture", one(100*is.Moisture)+" %", one(100*was.Moisture)+" %")
	if known(was.VolumeM3) && known(is.VolumeM3) {
		cost("a pile of", o.Units.volume(is.VolumeM3), o.Units.volume(was.VolumeM3))
	}
	if len(price) > 0 {
		fmt.Fprintf(&b, " The price: %s.", strings.Join(price, ", "))
	}
	return b.String()
}

type chanceJSON struct {
	Draws            int           `json:"draws"`
	Seed             uint64        `json:"seed"`
	InRange          number        `json:"in_range"`
	StandardError    number        `json:"standard_error"`
	CarbonToNitrogen quantilesJSON `json:"carbon_to_nitrogen"`
	MoisturePercent  quantilesJSON `json:"moisture_percent"`
	VolumeM3         quantilesJSON `json:"volume_m3"`
	BulkDensity      quantilesJSON `json:"bulk_density_kg_m3"`
	FreeAirSpace     quantilesJSON `json:"free_air_space_percent"`
	Gains            []gainJSON    `json:"gains"`
	Shares           []shareJSON   `json:"shares"`
	Assumed          []unknownJSON `json:"assumed"`
	Surety           *suretyJSON   `json:"surety"`
}

type quantilesJSON struct {
	P10     number  `json:"p10"`
	P50     number  `json:"p50"`
	P90     number  `json:"p90"`
	InRange *number `json:"in_range,omitempty"`
}

type unknownJSON struct {
	Material string `json:"material"`
	Figure   string `json:"figure"`
}

type gainJSON struct {
	unknownJSON
	How    string `json:"how"`
	Before number `json:"before"`
	After  number `json:"after"`
}

type shareJSON struct {
	unknownJSON
	FirstRatio    number `json:"carbon_to_nitrogen_first"`
	TotalRatio    number `json:"carbon_to_nitrogen_total"`
	FirstMoisture number `json:"moisture_first"`
	TotalMoisture number `json:"moisture_total"`
}

type suretyJSON struct {
	Asked           number `json:"asked"`
	Reached         bool   `json:"reached"`
	NearestChance   number `json:"nearest_chance"`
	NearestDistance number `json:"nearest_distance"`
	NearestVolumeM3 number `json:"nearest_volume_m3"`
}

// chanceView is the chance for machines; nil where there is none.
func chanceView(a *Answer) *chanceJSON {
	c := a.Chance
	if c == nil {
		return nil
	}
	spread := func(p chance.Percentiles, scale float64, in *float64) quantilesJSON {
		q := quantilesJSON{P10: number(p.P10 * scale), P50: number(p.P50 * scale), P90: number(p.P90 * scale)}
		if in != nil {
			share := number(*in)
			q.InRange = &share
		}
		return q
	}
	name := func(u chance.Unknown) unknownJSON { return unknownJSON{u.Material, u.Kind.String()} }
	out := &chanceJSON{
		Draws: c.Draws, Seed: c.Seed, InRange: number(c.InAll), StandardError: number(c.Error(c.InAll)),
		CarbonToNitrogen: spread(c.CarbonToNitrogen, 1, &c.InCarbonToNitrogen),
		MoisturePercent:  spread(c.Moisture, 100, &c.InMoisture),
		VolumeM3:         spread(c.VolumeM3, 1, nil),
		BulkDensity:      spread(c.BulkDensityKgM3, 1, nil),
		FreeAirSpace:     spread(c.FreeAirSpace, 100, nil),
		Gains:            []gainJSON{}, Shares: []shareJSON{}, Assumed: []unknownJSON{},
	}
	for _, g := range a.Gains {
		out.Gains = append(out.Gains, gainJSON{name(g.Unknown), g.How, number(g.Before), number(g.After)})
	}
	for _, s := range a.Shares {
		out.Shares = append(out.Shares, shareJSON{name(s.Unknown), number(s.FirstRatio), number(s.TotalRatio), number(s.FirstMoisture), number(s.TotalMoisture)})
	}
	for _, u := range c.Assumed {
		out.Assumed = append(out.Assumed, name(u))
	}
	if s := a.Sure; s != nil && s.Before != nil {
		out.Surety = &suretyJSON{number(s.Asked), s.Reached, number(s.Before.InAll), number(s.Nearest.Distance), number(s.Nearest.Figures.VolumeM3)}
	}
	return out
}
