package season_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/blend/season"
	"heapwright/feedstocks"
)

func TestCoverCropWindow(t *testing.T) {
	from, to := season.CoverCropWindow(time.Date(2027, 11, 10, 0, 0, 0, 0, time.UTC))
	assert.Equal(t, "2027-09-29", from.Format(time.DateOnly))
	assert.Equal(t, "2027-10-13", to.Format(time.DateOnly))
}

// vetchSeason has leaves, which are too poor in nitrogen by themselves, and a
// bed; what makes a batch of them is laid below it. Vetch has C:N 11 in the
// library (NC State Extension); its moisture and density are invented.
const vetchSeason = `start = 2027-03-01
weeks = 44
frost = 2027-10-25
[measures]
barrow = "90 L"
[feedstock."hairy vetch"]
moisture = 82
bulk_density = "220 kg/m3"
[on_hand]
leaves = "40 sacks"
[bay.one]
size = "2 m3"
hot_weeks = 5
curing_weeks = 8
[bed.garlic]
size = "0.5 m3"
week = 2027-09-27
`

const vetchLines = 17 // of vetchSeason

func readSeason(t *testing.T, text string, from int) (*season.Season, error) {
	t.Helper()
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	f, err := season.ReadFile(strings.NewReader(text), "s.toml")
	require.NoError(t, err)
	return f.Season(lib, from)
}

func mustRead(t *testing.T, text string, from int) *season.Season {
	t.Helper()
	s, err := readSeason(t, text, from)
	require.NoError(t, err)
	return s
}

func solved(t *testing.T, s *season.Season) *season.Plan {
	t.Helper()
	p, err := season.Solve(t.Context(), s, season.Settings{})
	require.NoError(t, err)
	require.NoError(t, p.Check())
	return p
}

// TestCoverCrops: what is written becomes a window and an arrival.
func TestCoverCrops(t *testing.T) {
	const vetchKg = 0.09 * 220 // a barrow
	for _, row := range []struct {
		name, text string
		sow        string // first day
		cut        int    // 0 for only sown
		low, kg    float64
		keeps      int
		note       string
	}{
		{"only sown, by the frost of the file", "[cover_crop.rye]", "2027-09-13", 0, 0, 0, 0, ""},
		{"its own frost goes first", "[cover_crop.rye]\nfrost = 2027-11-10", "2027-09-29", 0, 0, 0, 0, ""},
		{"a date in words", "[cover_crop.rye]\nfrost = \"10 November 2027\"", "2027-09-29", 0, 0, 0, 0, ""},
		{
			"it stands already", "[cover_crop.x]\nfrost = 2026-10-25\nmaterial = \"hairy vetch\"\namount = \"9 barrows\"\nweek = 2027-04-19\nkeeps = \"2 weeks\"",
			"2026-09-13", 8, 9 * vetchKg, 9 * vetchKg, 2, "x is taken to stand already: it was to be sown from 13 September 2026 to 27 September 2026, before the season",
		},
		{
			"named for its material, a range, a number of a week", "[cover_crop.\"hairy vetch\"]\nfrost = 2026-10-25\namount = [\"6 barrows\", \"9 barrows\", \"11 barrows\"]\nweek = 8",
			"2026-09-13", 8, 6 * vetchKg, 9 * vetchKg, 1, "hairy vetch is taken to stand already: it was to be sown from 13 September 2026 to 27 September 2026, before the season",
		},
		{
			"an area at a rate by weight", "[cover_crop.x]\nfrost = 2027-04-20\nmaterial = \"hairy vetch\"\namount = \"2 of 0.75 m x 15 m at 2 kg/m2\"\nweek = 20",
			"2027-03-09", 20, 45, 45, 1, "",
		},
		{
			"an area at a rate by volume, in a range", "[cover_crop.x]\nfrost = 2027-04-20\nmaterial = \"hairy vetch\"\namount = [\"40 m2 at 5 L/m2\", \"40 m2 at 10 L/m2\", \"100 kg\"]\nweek = 20",
			"2027-03-09", 20, 44, 88, 1, "",
		},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := mustRead(t, vetchSeason+row.text, 0)
			require.Len(t, s.Beds.CoverCrops, 1)
			c := s.Beds.CoverCrops[0]
			assert.Equal(t, row.sow, c.SowFrom.Format(time.DateOnly))
			assert.Equal(t, c.Frost.AddDate(0, 0, -28), c.SowTo)
			assert.Equal(t, row.cut, c.CutWeek)
			if row.note == "" {
				assert.NotContains(t, strings.Join(s.Notes, " "), "stand already")
			} else {
				assert.Contains(t, s.Notes, row.note)
			}
			if row.cut == 0 {
				assert.Len(t, s.Arrivals, 1, "the leaves alone")
				return
			}
			a := s.Arrivals[c.Arrival]
			assert.Equal(t, "hairy vetch", s.Materials[a.Material].Name)
			assert.Equal(t, row.cut, a.Week)
			assert.Equal(t, row.keeps, a.Keeps)
			assert.InDelta(t, row.low, a.LowKg, 1e-9)
			assert.InDelta(t, row.kg, a.Kg, 1e-9)
		})
	}
}

// TestCoverCropFaults: each fault has its line, counted from the table, and
// says what to do.
func TestCoverCropFaults(t *testing.T) {
	const old = "[cover_crop.vetch]\nfrost = 2026-10-25\n"
	for _, row := range []struct {
		name, text string
		line       int
		problem    string
		hint       string
	}{
		{"no date", "[cover_crop.rye]\nfrost = \"soon\"", 2, "soon is not a date", "2027-03-01"},
		{"a number for a date", "[cover_crop.rye]\nfrost = 45", 2, "45 is not a date", "2027-03-01"},
		{"sown after the season", "[cover_crop.rye]\nfrost = 2028-10-25", 2, "it would be sown from 13 September 2028 to 27 September 2028, after the season, which ends on 2 January 2028", "the year before"},
		{"an unknown key", "[cover_crop.rye]\nforst = 2027-10-25", 2, "not a key", "did you mean frost?"},
		{"a week and no amount", "[cover_crop.rye]\nweek = 40", 2, "week is said of what is cut, and the amount is missing", "only sown"},
		{"a keeping time and no amount", "[cover_crop.rye]\nkeeps = \"1 week\"", 2, "keeps is said of what is cut", "only sown"},
		{"an amount and no week", old + "amount = \"9 barrows\"", 1, "the week in which it is cut is missing", "week = 6"},
		{"cut before it is sown", "[cover_crop.vetch]\namount = \"9 barrows\"\nweek = 2027-04-19", 3, "it would be cut in week 8 and may be sown until week 31", "the year before"},
		{"cut while it is sown", "[cover_crop.vetch]\namount = \"9 barrows\"\nweek = 31", 3, "it would be cut in week 31", "the year before"},
		{"cut outside the season", old + "amount = \"9 barrows\"\nweek = 45", 4, "outside the season", ""},
		{"an unknown material", old + "material = \"vetsch\"\namount = \"9 barrows\"\nweek = 9", 3, "no feedstock is known as", "vetch"},
		{"a material without its figures", old + "material = \"young rye\"\namount = \"9 barrows\"\nweek = 9", 3, "no moisture for young rye", "weigh a sample"},
		{"a material without its density", old + "material = \"ryegrass\"\namount = \"9 barrows\"\nweek = 9", 4, "bulk density of ryegrass", ""},
		{"no unit", old + "amount = 9\nweek = 9", 3, "the unit is missing", ""},
		{"a rate without an area", old + "amount = \"9 at 2 kg/m2\"\nweek = 9", 3, "\"9 at 2 kg/m2\"", "40 m2 at 2 kg/m2"},
		{"a range out of order", old + "amount = [\"3 barrows\", \"2 barrows\", \"4 barrows\"]\nweek = 9", 3, "out of order", ""},
		{"no time to keep", old + "amount = \"9 barrows\"\nweek = 9\nkeeps = \"0 days\"", 5, "cannot be used", ""},
		{"no table", "[cover_crop]\nrye = \"9 barrows\"", 2, "must be a table", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := readSeason(t, vetchSeason+row.text, 0)
			e := firstFault(t, err)
			assert.Contains(t, e.Problem, row.problem)
			assert.Contains(t, e.Hint, row.hint)
			assert.Equal(t, vetchLines+row.line, e.Line, e.Error())
		})
	}
	bare := "weeks = 44\n[on_hand]\nleaves = \"40 sacks\"\n[bay.one]\nsize = \"2 m3\"\n[cover_crop.rye]\n"
	_, err := readSeason(t, bare, 0)
	e := firstFault(t, err)
	assert.Equal(t, "the first hard frost is missing, before which it is sown", e.Problem)
	assert.Equal(t, 6, e.Line)
	_, err = readSeason(t, bare+"frost = 2027-10-25\n", 0)
	e = firstFault(t, err)
	assert.Equal(t, "a frost date needs the start of the season", e.Problem)
	assert.Equal(t, "write start = 2027-03-01 at the top", e.Hint)
	assert.Equal(t, 7, e.Line)
}

func firstFault(t *testing.T, err error) *blend.PlanError {
	t.Helper()
	require.Error(t, err)
	e, ok := errors.AsType[*blend.PlanError](err)
	require.True(t, ok, err)
	return e
}

// TestCutServesBed: with the leaves alone no batch is in range; with what was
// cut one is, from the week of the cut on, and the bed is served.
func TestCutServesBed(t *testing.T) {
	bare := solved(t, mustRead(t, vetchSeason+"[cover_crop.rye]\n", 0))
	assert.Empty(t, bare.Batches)
	assert.InDelta(t, 0.5, bare.ShortM3(), 1e-9)

	p := solved(t, mustRead(t, vetchSeason+cutVetch, 0))
	assert.InDelta(t, 0, p.ShortM3(), 1e-3)
	require.NotEmpty(t, p.Batches)
	vetch := p.Season.Arrivals[p.Season.Beds.CoverCrops[0].Arrival]
	used := 0.0
	for _, b := range p.Batches {
		assert.GreaterOrEqual(t, b.Week, 8)
		used += b.Kg[vetch.Material]
	}
	assert.Positive(t, used)
	assert.LessOrEqual(t, used, vetch.Kg*(1+1e-9))
	var kinds []season.EventKind
	for _, e := range p.Events() {
		if e.Week == 8 {
			kinds = append(kinds, e.Kind)
		}
	}
	assert.Equal(t, []season.EventKind{season.Cut, season.Comes, season.Build}, kinds)
}

const cutVetch = "[cover_crop.x]\nfrost = 2026-10-25\nmaterial = \"hairy vetch\"\namount = \"9 barrows\"\nweek = 8\nkeeps = \"6 weeks\"\n"

// TestCutIsAnArrival: planned anew, what was cut before is there, or is what
// [done] says of it, just as if it had been written as an arrival.
func TestCutIsAnArrival(t *testing.T) {
	arrival := strings.NewReplacer("cover_crop", "arrival", "frost = 2026-10-25\n", "").Replace(cutVetch)
	for _, row := range []struct {
		name, done string
		from       int
		came       float64 // barrows
	}{
		{"from the start", "", 0, 9},
		{"after the cut", "", 10, 9},
		{"after a poor cut", "[done.cut]\nweek = 8\narrived = { \"hairy vetch\" = \"4 barrows\" }\n", 10, 4},
		{"spoilt by then", "", 20, 9},
	} {
		t.Run(row.name, func(t *testing.T) {
			crop := solved(t, mustRead(t, vetchSeason+cutVetch+row.done, row.from))
			plain := solved(t, mustRead(t, vetchSeason+arrival+row.done, row.from))
			assert.Equal(t, plain.Stocks, crop.Stocks)
			assert.Equal(t, plain.Batches, crop.Batches)
			assert.InDelta(t, row.came*0.09*220, crop.Stocks[1].Came[7], 1e-9)
			for _, e := range crop.Events() {
				if row.from > 8 {
					assert.NotEqual(t, season.Cut, e.Kind, "it is past")
				}
			}
		})
	}
}

// TestSowing: the window is told in its first week, or in the first to plan
// while it is open, and no longer when it has passed.
func TestSowing(t *testing.T) {
	for _, row := range []struct {
		name, frost string
		from        int
		week        int // 0 for none
		first, last string
	}{
		{"ahead", "2027-10-25", 0, 29, "2027-09-13", "2027-09-27"},
		{"within a week", "2027-10-28", 0, 29, "2027-09-16", "2027-09-30"},
		{"open", "2027-10-25", 30, 30, "2027-09-20", "2027-09-27"},
		{"its last day", "2027-10-25", 31, 31, "2027-09-27", "2027-09-27"},
		{"past", "2027-10-25", 32, 0, "", ""},
		{"open at the start", "2027-04-05", 0, 1, "2027-03-01", "2027-03-08"},
		{"closed the day before the start", "2027-03-28", 0, 0, "", ""},
		{"open at the end", "2028-02-06", 0, 43, "2027-12-26", "2028-01-09"},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := solved(t, mustRead(t, vetchSeason+"[cover_crop.rye]\nfrost = "+row.frost, row.from))
			var sown []season.Event
			for _, e := range p.Events() {
				if e.Kind == season.Sow {
					sown = append(sown, e)
				}
			}
			if row.week == 0 {
				assert.Empty(t, sown)
				return
			}
			require.Len(t, sown, 1)
			assert.Equal(t, row.week, sown[0].Week)
			assert.Equal(t, "rye", sown[0].Name)
			assert.Equal(t, row.first, sown[0].First.Format(time.DateOnly))
			assert.Equal(t, row.last, sown[0].Last.Format(time.DateOnly))
		})
	}
}

// TestCropOutOfPlace: a cover crop whose cut is in no week or no arrival of the
// season is refused.
func TestCropOutOfPlace(t *testing.T) {
	for _, c := range []season.CoverCrop{{CutWeek: -1}, {CutWeek: 45}, {CutWeek: 8, Arrival: 1}, {CutWeek: 8, Arrival: -1}} {
		s := mustRead(t, vetchSeason, 0)
		s.Beds.CoverCrops = []season.CoverCrop{c}
		var e *season.SeasonError
		require.ErrorAs(t, s.Validate(), &e)
		assert.Equal(t, "cover_crop", e.Path[0])
	}
}
