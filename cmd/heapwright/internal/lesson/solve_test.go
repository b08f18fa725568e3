package lesson_test

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// pen writes answers down as a question asks. carry is the pupil who goes on
// with the rounded answer; the other keeps all digits.
type pen struct {
	t     testing.TB
	carry bool
}

// round writes a value to so many decimals, half up; it must not lie near the
// middle between two.
func (p pen) round(v *big.Rat, decimals int) (text string, next *big.Rat) {
	p.t.Helper()
	scale := q("1e" + strconv.Itoa(decimals))
	scaled := times(v, scale)
	whole := new(big.Int).Div(plus(scaled, q("1/2")).Num(), plus(scaled, q("1/2")).Denom())
	off := minus(scaled, new(big.Rat).SetInt(whole)) // -1/2 to 1/2
	require.Negative(p.t, off.Abs(off).Cmp(q("0.41")), "%s lies too near the edge of %d decimals", v.FloatString(8), decimals)
	rounded := over(new(big.Rat).SetInt(whole), scale)
	if p.carry {
		v = rounded
	}
	return rounded.FloatString(max(decimals, 0)), v
}

// as rounds by the words of the question, or writes all digits when it has none.
func (p pen) as(v *big.Rat, ask string) (text string, next *big.Rat) {
	p.t.Helper()
	switch {
	case strings.Contains(ask, "one decimal"):
		return p.round(v, 1)
	case strings.Contains(ask, "to two decimals"):
		return p.round(v, 2)
	case strings.Contains(ask, "nearest 10 "):
		return p.round(v, -1)
	case strings.Contains(ask, "whole"):
		return p.round(v, 0)
	}
	digits, exact := v.FloatPrec()
	require.True(p.t, exact && digits <= 4, "%s has too many digits", v)
	return v.FloatString(digits), v
}

// percent is as, of a fraction.
func (p pen) percent(v *big.Rat, ask string) (string, *big.Rat) {
	text, next := p.as(times(v, q("100")), ask)
	require.Contains(p.t, ask, "per cent")
	return text, over(next, q("100"))
}

// solve works a problem out from what is printed.
func solve(t testing.TB, p printed, carry bool) []string {
	t.Helper()
	w := pen{t, carry}
	solvers := map[string]func(pen, printed) []string{
		"Moisture of a sample":                     solveSample,
		"Moisture with a dish":                     solveDish,
		"Two samples, and water to add":            solveSamples,
		"C:N of two materials":                     solveDryRatio,
		"C:N of two materials as weighed":          solveRatio,
		"Three materials and water":                solveThree,
		"Three materials, and the water they lack": solveLack,
		"How much for a goal":                      solveGoal,
		"Sacks for a goal":                         solveSacks,
		"Weight and volume":                        solveVolume,
		"Weighing a bucket":                        solveBucket,
		"Filling a bay":                            solveBay,
		"How much is in a windrow":                 solveWindrow,
		"A windrow and its weight":                 solveWindrow,
		"How long a windrow":                       solveLength,
		"Reading a temperature log":                solveLog,
		"A log with two probes":                    solveProbes,
		"A log held against a rule":                solveRule,
		"From the scales to the windrow":           solveJoined,
	}
	solver, ok := solvers[p.title]
	require.True(t, ok, "no check for %q", p.title)
	return solver(w, p)
}

func solveSample(w pen, p printed) []string {
	n := p.numbers(w.t, `Fresh it weighs (\d+) g. .* it weighs (\d+) g`)
	water, _ := w.as(minus(n[0], n[1]), p.asks[0])
	m, _ := w.percent(moistureOf(n[0], n[1]), p.asks[1])
	return []string{water + " g", m + " %"}
}

func solveDish(w pen, p printed) []string {
	n := p.numbers(w.t, `empty dish weighs (\d+) g, dish and fresh sample (\d+) g, dish and dry sample (\d+) g`)
	fresh, dry := minus(n[1], n[0]), minus(n[2], n[0])
	f, _ := w.as(fresh, p.asks[0])
	d, _ := w.as(dry, p.asks[1])
	m, _ := w.percent(moistureOf(fresh, dry), p.asks[2])
	return []string{f + " g", d + " g", m + " %"}
}

func solveSamples(w pen, p printed) []string {
	dish, fresh, dry := p.column(w.t, "dish"), p.column(w.t, "dish and fresh"), p.column(w.t, "dish and dry")
	var texts []string
	var values []*big.Rat
	for i := range dish {
		text, v := w.percent(moistureOf(minus(fresh[i], dish[i]), minus(dry[i], dish[i])), p.asks[0])
		texts, values = append(texts, text), append(values, v)
	}
	mean, m := w.percent(over(plus(values...), q("2")), p.asks[1])
	n := p.numbers(w.t, `heap weighs (\d+) kg, and is to come to (\d+) % moisture`)
	litres, _ := w.as(waterFor(n[0], m, over(n[1], q("100"))), p.asks[2])
	return []string{texts[0] + " % and " + texts[1] + " %", mean + " %", litres + " L"}
}

func solveDryRatio(w pen, p printed) []string {
	dry, carbon, nitrogen := p.column(w.t, "dry matter"), p.column(w.t, "carbon"), p.column(w.t, "nitrogen")
	c, _ := w.as(plus(times(dry[0], carbon[0]), times(dry[1], carbon[1])), p.asks[0])
	n, _ := w.as(plus(times(dry[0], nitrogen[0]), times(dry[1], nitrogen[1])), p.asks[1])
	r, _ := w.as(ratioOf(dry, carbon, nitrogen), p.asks[2])
	return []string{c + " kg", n + " kg", r}
}

// dryColumn is the dry matter of each material as weighed.
func dryColumn(w pen, p printed) []*big.Rat {
	var out []*big.Rat
	moisture := p.column(w.t, "moisture")
	for i, kg := range p.column(w.t, "weight") {
		out = append(out, dryOf(kg, moisture[i]))
	}
	return out
}

func ratioColumn(w pen, p printed) *big.Rat {
	return ratioOf(dryColumn(w, p), p.column(w.t, "carbon"), p.column(w.t, "nitrogen"))
}

func solveRatio(w pen, p printed) []string {
	var each []string
	for i, dry := range dryColumn(w, p) {
		kg, _ := w.as(dry, p.asks[0])
		each = append(each, p.tables[0]["material"][i]+" "+kg+" kg")
	}
	ratio := ratioColumn(w, p)
	r, _ := w.as(ratio, p.asks[1])
	// The usual range, 25 to 35, and what the question names must agree.
	require.Contains(w.t, p.asks[2], "25 to 35")
	verdict := "yes"
	if ratio.Cmp(q("25")) < 0 {
		verdict = "no, too low"
	} else if ratio.Cmp(q("35")) > 0 {
		verdict = "no, too high"
	}
	return []string{strings.Join(each, ", "), r, verdict}
}

func solveThree(w pen, p printed) []string {
	water := p.numbers(w.t, `go (\d+) L of water`)[0]
	m, _ := w.percent(moistureOfMix(p.column(w.t, "weight"), p.column(w.t, "moisture"), water), p.asks[0])
	r, _ := w.as(ratioColumn(w, p), p.asks[1])
	return []string{m + " %", r}
}

// lackOf is the C:N, the moisture and the water to a goal.
func lackOf(w pen, p printed) []string {
	goal := over(p.numbers(w.t, `come to (\d+) % moisture`)[0], q("100"))
	r, _ := w.as(ratioColumn(w, p), p.asks[0])
	kg := p.column(w.t, "weight")
	m, moisture := w.percent(moistureOfMix(kg, p.column(w.t, "moisture"), new(big.Rat)), p.asks[1])
	litres, _ := w.as(waterFor(plus(kg...), moisture, goal), p.asks[2])
	return []string{r, m + " %", litres + " L"}
}

func solveLack(w pen, p printed) []string { return append(lackOf(w, p), "no") }

func solveGoal(w pen, p printed) []string {
	n := p.numbers(w.t, `holds (\d+) kg of dry matter of .* C:N of (\d+)`)
	c, s := p.column(w.t, "carbon"), p.column(w.t, "nitrogen")
	dry, _ := w.as(times(n[0], goalShare(c[0], s[0], c[1], s[1], n[1])), p.asks[0])
	return []string{dry + " kg"}
}

func solveSacks(w pen, p printed) []string {
	n := p.numbers(w.t, `^ *(\d+) kg of .* C:N of (\d+)\.`)
	d := p.numbers(w.t, `loose, is (\d+) kg/m3. .*sack holds (\d+) L`)
	m, c, s := p.column(w.t, "moisture"), p.column(w.t, "carbon"), p.column(w.t, "nitrogen")
	dryText, dry := w.as(times(dryOf(n[0], m[0]), goalShare(c[0], s[0], c[1], s[1], n[1])), p.asks[0])
	freshText, fresh := w.as(over(dry, minus(q("1"), m[1])), p.asks[1])
	litresText, litres := w.as(times(over(fresh, d[0]), q("1000")), p.asks[2])
	sacks, _ := w.as(over(litres, d[1]), p.asks[3])
	return []string{dryText + " kg", freshText + " kg", litresText + " L", sacks}
}

func solveVolume(w pen, p printed) []string {
	density := p.numbers(w.t, `loose, is (\d+) kg/m3`)[0]
	asked := printed{title: p.title, text: strings.Join(p.asks, " ")}.numbers(w.t, `heap of ([\d.]+) m3 .* weighs (\d+) kg`)
	kg, _ := w.as(times(asked[0], density), p.asks[0])
	m3, _ := w.as(over(asked[1], density), p.asks[1])
	return []string{kg + " kg", m3 + " m3"}
}

func solveBucket(w pen, p printed) []string {
	n := p.numbers(w.t, `bucket holds (\d+) L and weighs ([\d.]+) kg empty. .* weighs ([\d.]+) kg. The barrow holds (\d+) L`)
	loads := printed{title: p.title, text: p.asks[1]}.numbers(w.t, `do (\d+) level barrows`)[0]
	text, density := w.as(times(over(minus(n[2], n[1]), n[0]), q("1000")), p.asks[0])
	kg, _ := w.as(over(times(loads, n[3], density), q("1000")), p.asks[1])
	return []string{text + " kg/m3", kg + " kg"}
}

// builtOf is the loose and the built volume; the careful pupil writes each
// material down to three decimals and the sum to two.
func builtOf(w pen, p printed) (looseText, builtText string, built *big.Rat) {
	shrink := over(p.numbers(w.t, `(\d+) % of their loose volume is lost`)[0], q("100"))
	density := p.column(w.t, "bulk density")
	sum := new(big.Rat)
	for i, kg := range p.column(w.t, "weight") {
		_, v := w.round(over(kg, density[i]), 3)
		sum.Add(sum, v)
	}
	looseText, loose := w.round(sum, 2)
	builtText, built = w.round(times(loose, minus(q("1"), shrink)), 2)
	return looseText, builtText, built
}

func solveBay(w pen, p printed) []string {
	loose, text, built := builtOf(w, p)
	n := p.numbers(w.t, `bay is ([\d.]+) m wide and ([\d.]+) m deep`)
	height, _ := w.as(over(built, times(n[0], n[1])), p.asks[2])
	return []string{loose + " m3", text + " m3", height + " m"}
}

func solveWindrow(w pen, p printed) []string {
	n := p.numbers(w.t, `One is ([\d.]+) m wide, ([\d.]+) m high and ([\d.]+) m long`)
	areaText, area := w.as(parabola(n[0], n[1]), p.asks[0])
	volumeText, volume := w.as(times(area, n[2]), p.asks[1])
	out := []string{areaText + " m2", volumeText + " m3"}
	if len(p.asks) == 3 {
		t, _ := w.as(over(times(volume, p.numbers(w.t, `weighs (\d+) kg/m3`)[0]), q("1000")), p.asks[2])
		out = append(out, t+" t")
	}
	return out
}

func solveLength(w pen, p printed) []string {
	n := p.numbers(w.t, `windrow of (\d+) m3 is to be ([\d.]+) m wide and ([\d.]+) m high, with an aisle of ([\d.]+) m .* (\d+) % of the volume is left`)
	areaText, area := w.as(parabola(n[1], n[2]), p.asks[0])
	lengthText, length := w.as(over(n[0], area), p.asks[1])
	ground, _ := w.as(times(plus(n[1], n[3]), length), p.asks[2])
	compost, _ := w.as(times(n[0], over(n[4], q("100"))), p.asks[3])
	return []string{areaText + " m2", lengthText + " m", ground + " m2", compost + " m3"}
}

func solveJoined(w pen, p printed) []string {
	out := lackOf(w, p)
	_, text, built := builtOf(w, p)
	n := p.numbers(w.t, `to be ([\d.]+) m wide and ([\d.]+) m high. .* (\d+) % of the built volume is left, and is spread (\d+) cm deep`)
	_, area := w.round(parabola(n[0], n[1]), 2)
	length, _ := w.as(over(built, area), p.asks[4])
	beds, _ := w.as(over(times(built, over(n[2], q("100"))), over(n[3], q("100"))), p.asks[5])
	return append(out, text+" m3", length+" m", beds+" m2")
}

// reading is a whole temperature of a row.
func readings(w pen, p printed, row string) []int {
	var out []int
	for _, cell := range p.row(row) {
		c, err := strconv.Atoi(cell)
		require.NoError(w.t, err)
		out = append(out, c)
	}
	require.Greater(w.t, len(out), week, "%s", p.title)
	return out
}

// week is the width of a printed log; every log goes over it.
const week = 7

// hottest words the highest reading, which must be the only one so high.
func hottest(w pen, rows ...[]int) string {
	best, day, times := -1, 0, 0
	for _, row := range rows {
		for i, c := range row {
			if c > best {
				best, day, times = c, i+1, 0
			}
			if c == best {
				times++
			}
		}
	}
	require.Equal(w.t, 1, times, "one highest reading")
	return fmt.Sprintf("%d C on day %d", best, day)
}

func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

func solveLog(w pen, p printed) []string {
	core, hot := readings(w, p, "C"), 0
	require.Contains(w.t, p.asks[1], "55 C or more")
	for _, c := range core {
		if c >= 55 {
			hot++
		}
	}
	return []string{hottest(w, core), counted(hot, "day"), fmt.Sprintf("%d C", core[1]-core[0])}
}

func solveProbes(w pen, p printed) []string {
	core, edge := readings(w, p, "core, C"), readings(w, p, "edge, C")
	both, one, turn := 0, 0, 0
	for i := range core {
		if core[i] >= 55 && edge[i] >= 55 {
			both++
		}
		if core[i] >= 55 || edge[i] >= 55 {
			if one++; one == 3 {
				turn = i + 1
			}
		}
	}
	require.Contains(w.t, p.asks[3], "55 C or more on 3 days")
	return []string{hottest(w, core, edge), counted(both, "day"), counted(one, "day"), fmt.Sprintf("day %d", turn)}
}

func solveRule(w pen, p printed) []string {
	lowest, turned := readings(w, p, "lowest, C"), p.row("turned")
	require.Len(w.t, turned, len(lowest))
	n := p.numbers(w.t, `asks for (\d+) days at (\d+) C or more, which need not follow one another, and (\d+) turnings`)
	first, last, hot, longest, run, turns := 0, 0, 0, 0, 0, 0
	for i, c := range lowest {
		if q(strconv.Itoa(c)).Cmp(n[1]) < 0 {
			run = 0
			continue
		}
		if hot++; hot == 1 {
			first = i
		}
		run++
		last, longest = i, max(longest, run)
	}
	for i := first; i <= last; i++ {
		if turned[i] == "T" {
			turns++
		}
	}
	met := "no"
	if q(strconv.Itoa(hot)).Cmp(n[0]) >= 0 && q(strconv.Itoa(turns)).Cmp(n[2]) >= 0 {
		met = "yes"
	}
	return []string{counted(hot, "day"), counted(longest, "day"), counted(turns, "turning"), met}
}
