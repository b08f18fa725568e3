package blend_test

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// explained are the reasons for what Formulate makes of a problem, with no
// candidates to mend it.
func explained(t testing.TB, p *blend.Problem) (*blend.Recipe, *blend.Reasons) {
	t.Helper()
	r := formulated(t, p)
	why, err := blend.Explain(t.Context(), r, nil)
	require.NoError(t, err, describe(p))
	return r, why
}

// demand lays a statement out as rows of the referee, from the numbers of the
// problem alone.
func (r *referee) demand(t testing.TB, s blend.Statement) *referee {
	out := *r
	out.rows, out.bound = append([][]float64{}, r.rows...), append([]float64{}, r.bound...)
	p, pile := r.p, r.p.Pile
	lower := strings.Contains(s.Text, "at least")
	at := -1
	for i, j := range r.index {
		if p.Materials[j].Name == s.Material {
			at = i
		}
	}
	switch s.Key {
	case "carbon_to_nitrogen":
		rows := out.ratioBand(p.Target.CarbonToNitrogen.Low, p.Target.CarbonToNitrogen.High)
		out.less(rows[map[bool]int{false: 0, true: 1}[lower]])
	case "moisture":
		rows := out.moistureBand(p.Target.Moisture.Low, p.Target.Moisture.High)
		out.less(rows[map[bool]int{false: 0, true: 1}[lower]])
	case "stock":
		if at >= 0 {
			out.lessThanSize(out.unit(at), p.Materials[r.index[at]].OnHandKg)
		}
	case "at_least":
		out.lessThanSize(combine(-1, out.unit(at), 0, nil), -p.Materials[r.index[at]].AtLeastKg)
	case "share_at_most":
		if at >= 0 {
			m := p.Materials[r.index[at]]
			own := out.unit(at)
			own[at] = 1 / m.Composition.DensityKgM3
			out.less(combine(1, own, -m.ShareAtMost, out.volume()))
		}
	case "water":
		out.lessThanSize(out.unit(out.width-2), pile.WaterKg)
	case "size":
		most := pile.SizeM3
		if most == 0 || pile.LargestM3 > 0 {
			most = min(pile.LargestM3, max(most, pile.LargestM3))
		}
		if pile.SizeM3 > 0 && pile.SizeM3 < most {
			most = pile.SizeM3
		}
		out.lessThanSize(combine(1-pile.Shrink, out.volume(), 0, nil), most)
	case "densest":
		out.less(combine(1/pile.DensestKgM3, out.over(1, func(blend.Material) float64 { return 1 }), -(1 - pile.Shrink), out.volume()))
	case "air_at_least":
		solid := out.over(1e-3, func(m blend.Material) float64 {
			c := m.Composition
			return c.Moisture/1000 + (1-c.Moisture)*(c.VolatileSolids/1600+(1-c.VolatileSolids)/2500)
		})
		out.less(combine(1, solid, -(1-pile.AirAtLeast)*(1-pile.Shrink), out.volume()))
	default:
		t.Fatalf("no such statement: %+v", s)
	}
	return &out
}

// together asks the referee whether the statements, but for one, can hold.
func together(t testing.TB, p *blend.Problem, statements []blend.Statement, but int) verdict {
	r := newReferee(p)
	r.rows, r.bound = nil, nil
	for i := range r.width { // no column may be empty
		r.less(combine(-1, r.unit(i), 0, nil))
	}
	for k, s := range statements {
		if k != but {
			r = r.demand(t, s)
		}
	}
	_, v := r.least(make([]float64, r.width))
	return v
}

// A conflict is a set of demands that cannot hold together, of which none can
// be spared; there is one just where the ranges are out of reach.
func TestConflictIsSmallestAndTrue(t *testing.T) {
	conflicts, sizes, unsure := 0, map[int]int{}, 0
	for seed := range uint64(100) {
		p := randomProblem(seeded(30_000+seed), 6)
		if hollow(p) {
			continue
		}
		r, why := explained(t, p)
		at := fmt.Sprintf("seed %d: %v, distance %g\n%s%s", seed, r.Status, r.Distance, describe(p), why.Sentence())
		if r.Status != blend.OutOfReach {
			assert.Empty(t, why.Conflict, at)
			assert.Empty(t, why.Sentence(), at)
			continue
		}
		if !r.Conflict && r.Distance < 1+1e-5 {
			continue // at the edge of the ranges
		}
		conflicts++
		if !assert.NotEmpty(t, why.Conflict, at) {
			continue
		}
		sizes[len(why.Conflict)]++
		expect := func(want verdict, but int) {
			switch v := together(t, p, why.Conflict, but); {
			case v == failed:
				unsure++
			default:
				assert.Equal(t, want, v, "without %d of %+v\n%s", but, why.Conflict, at)
			}
		}
		expect(impossible, -1)
		for k := range why.Conflict {
			expect(possible, k)
		}
		for _, s := range why.Conflict {
			assert.Contains(t, why.Sentence()+fmt.Sprint(s.Text), s.Text)
		}
	}
	require.Greater(t, conflicts, 30)
	require.Greater(t, len(sizes), 2, "conflicts of several sizes: %v", sizes)
	assert.Less(t, unsure, conflicts/10)
}

var boundIn = regexp.MustCompile(`has a (C:N|moisture) of ([0-9.]+)( %)? or (less|more), so (?:C:N|moisture) of at (least|most) ([0-9.]+)`)

// Where one demand alone is the matter, its sentence gives a bound that is
// true, as told by the referee, and on the right side of the demand as printed.
func TestSentenceOfOneDemandIsTrue(t *testing.T) {
	sentences := 0
	for seed := range uint64(100) {
		p := randomProblem(seeded(41_000+seed), 5)
		if hollow(p) {
			continue
		}
		r, why := explained(t, p)
		found := boundIn.FindStringSubmatch(why.Sentence())
		if found == nil || !r.Conflict && r.Distance < 1+1e-5 {
			continue
		}
		sentences++
		bound, err := strconv.ParseFloat(found[2], 64)
		require.NoError(t, err)
		wanted, err := strconv.ParseFloat(found[6], 64)
		require.NoError(t, err)
		at := fmt.Sprintf("seed %d %s\n%s", seed, why.Sentence(), describe(p))
		half := 0.5 // of the last digit
		if _, decimals, ok := strings.Cut(found[2], "."); ok {
			for range decimals {
				half /= 10
			}
		}
		judge := newReferee(p)
		var rows [][]float64
		scale, band := 1.0, judge.ratioBand
		if found[1] == "moisture" {
			scale, band = 100, judge.moistureBand
		}
		if found[4] == "less" {
			assert.Equal(t, "least", found[5], at)
			assert.Less(t, bound, wanted, at)
			rows = band((bound+1.01*half)/scale, 1e9)[1:]
		} else {
			assert.Equal(t, "most", found[5], at)
			assert.Greater(t, bound, wanted, at)
			rows = band(0, (bound-1.01*half)/scale)[:1]
		}
		_, beyond := judge.with(rows...).least(make([]float64, judge.width))
		assert.NotEqual(t, possible, beyond, at)
	}
	require.Greater(t, sentences, 10)
}

// A bound that rounds to the demand is told with more digits.
func TestSentenceTellsABoundFromTheDemand(t *testing.T) {
	_, why := explained(t, wateredProblem(onHand("hay", 50, composed(0.12, 0.4*24.98/25, 0.016, 90))))
	assert.Contains(t, why.Sentence(), "C:N of 24.98 or less, so C:N of at least 25 cannot")
	_, why = explained(t, wateredProblem(onHand("grass", 50, composed(0.603, 0.45, 0.015, 200))))
	assert.Contains(t, why.Sentence(), "moisture of 60.3 % or more, so moisture of at most 60 % cannot")
}
