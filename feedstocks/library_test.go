package feedstocks_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/feedstocks"
)

func library(t testing.TB) *feedstocks.Library {
	t.Helper()
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	return lib
}

func find(t testing.TB, name string) *feedstocks.Feedstock {
	t.Helper()
	f, err := library(t).Find(name)
	require.NoError(t, err)
	return f
}

func read(t testing.TB, text string) *feedstocks.Library {
	t.Helper()
	lib, err := feedstocks.Read(strings.NewReader(text), "mine.toml")
	require.NoError(t, err)
	return lib
}

// The counts are those of the survey that the library was made from: 110
// materials, of which 74 have a published typical figure for nitrogen, C:N and
// moisture, and 39 of those for bulk density too. Two more, hay and pig
// separated solids, have one of the three as the middle of a range only.
func TestDefaultIsComplete(t *testing.T) {
	lib := library(t)
	assert.Len(t, lib.All(), 110)
	three, four, middle := 0, 0, []string{}
	for _, f := range lib.All() {
		published := true
		for _, k := range []feedstocks.Kind{feedstocks.Nitrogen, feedstocks.CarbonToNitrogen, feedstocks.Moisture} {
			p, ok := f.Properties[k]
			published = published && ok
			if ok && (f.Name == "hay" && k == feedstocks.CarbonToNitrogen || f.Name == "pig separated solids" && k == feedstocks.Nitrogen) {
				assert.Contains(t, p.Note, "middle", f.Name)
				assert.InDelta(t, (p.Low+p.High)/2, p.Typical, 1e-12, f.Name)
				middle = append(middle, f.Name)
				published = false
			}
		}
		if published {
			three++
			if _, ok := f.Properties[feedstocks.BulkDensity]; ok {
				four++
			}
		}
	}
	assert.Equal(t, 74, three, "materials with nitrogen, C:N and moisture")
	assert.Equal(t, 39, four, "materials with bulk density too")
	assert.ElementsMatch(t, []string{"hay", "pig separated solids"}, middle)
}

// The survey gives 375 headline typical figures or ranges: 255 read, 45
// derived, 75 from memory. Carbon, phosphate and potash are besides those.
func TestEveryFigureIsCited(t *testing.T) {
	lib := library(t)
	headline := map[feedstocks.Standing]int{}
	for _, f := range lib.All() {
		assert.NotEmpty(t, f.Title, f.Name)
		assert.NotEmpty(t, f.Group, f.Name)
		assert.NotEmpty(t, f.Properties, f.Name)
		for k, p := range f.Properties {
			for _, c := range []feedstocks.Cite{p.Cite, p.RangeCite()} {
				s, ok := lib.Source(c.Source)
				assert.True(t, ok, "%s: %s: source %q", f.Name, k, c.Source)
				assert.NotEqual(t, feedstocks.Yours, c.Standing, "%s: %s", f.Name, k)
				if s.Trust == "M" {
					assert.Equal(t, feedstocks.FromMemory, c.Standing, "%s: %s: a source recalled from memory", f.Name, k)
				} else {
					assert.NotEqual(t, feedstocks.FromMemory, c.Standing, "%s: %s: a source that was read", f.Name, k)
				}
			}
			assert.LessOrEqual(t, p.Low, p.Typical, "%s: %s", f.Name, k)
			assert.LessOrEqual(t, p.Typical, p.High, "%s: %s", f.Name, k)
			switch k {
			case feedstocks.Carbon, feedstocks.Phosphate, feedstocks.Potash:
			default:
				headline[p.Standing]++
			}
		}
	}
	assert.Equal(t, map[feedstocks.Standing]int{feedstocks.AsRead: 255, feedstocks.Derived: 45, feedstocks.FromMemory: 75}, headline)
	for _, s := range lib.Sources() {
		assert.NotEmpty(t, s.Author+s.Title, s.Key)
		assert.Contains(t, []string{"A", "B", "C", "D", "M", "-"}, s.Trust, s.Key)
	}
}

// Figures as published, in per cent, to one, or kg/m3, with the source that
// the library must name.
func TestPublishedFigures(t *testing.T) {
	lbYd3 := func(v float64) float64 { return v * 0.593276 }
	rows := []struct {
		name               string
		material           string
		kind               feedstocks.Kind
		low, typical, high float64
		source             string
		standing           feedstocks.Standing
		why                string
	}{
		{"leaf nitrogen", "leaves", feedstocks.Nitrogen, 0.66, 0.94, 1.62, "HK", feedstocks.AsRead, "Heckman and Kluchinski 1996, 100 samples"},
		{"leaf C:N", "leaves", feedstocks.CarbonToNitrogen, 26.8, 48.5, 71.8, "HK", feedstocks.AsRead, "Heckman and Kluchinski 1996"},
		{"leaf phosphorus as P2O5", "leaves", feedstocks.Phosphate, 0.02 * 2.2914, 0.1 * 2.2914, 0.29 * 2.2914, "HK", feedstocks.Derived, "P 0.10 (0.02-0.29) % x 2.2914"},
		{"packed leaf density", "packed leaves", feedstocks.BulkDensity, lbYd3(400), lbYd3(450), lbYd3(500), "NR", feedstocks.FromMemory, "NRAES-54 table A.1, from memory, lb/yd3"},
		{"grass nitrogen", "grass clippings", feedstocks.Nitrogen, 2, 3.4, 6, "NR", feedstocks.FromMemory, "NRAES-54 table A.1, from memory"},
		{"grass density", "grass clippings", feedstocks.BulkDensity, lbYd3(300), lbYd3(350), lbYd3(400), "NR", feedstocks.FromMemory, "NRAES-54 table A.1, from memory, lb/yd3"},
		{"wheat straw nitrogen", "wheat straw", feedstocks.Nitrogen, 1.3 / 6.25, 3.9 / 6.25, 6.2 / 6.25, "FT", feedstocks.Derived, "INRAE-CIRAD-AFZ: crude protein 3.9 (1.3-6.2) % / 6.25"},
		{"wheat straw C:N", "wheat straw", feedstocks.CarbonToNitrogen, 80, 80, 150, "NC", feedstocks.AsRead, "USDA NRCS 2011 table 1"},
		{"coffee grounds C:N", "coffee grounds", feedstocks.CarbonToNitrogen, 20, 20, 20, "TB", feedstocks.AsRead, "technical bulletin"},
		{"maize cob nitrogen", "maize cobs", feedstocks.Nitrogen, 0.4, 0.6, 0.8, "TB", feedstocks.AsRead, "technical bulletin"},
		{"cull potato density", "cull potatoes", feedstocks.BulkDensity, lbYd3(1540), lbYd3(1540), lbYd3(1540), "TB", feedstocks.AsRead, "technical bulletin, lb/yd3"},
		{"oak sawdust ash", "oak sawdust", feedstocks.Ash, 0.31, 0.31, 0.31, "TM", feedstocks.AsRead, "Miles et al. 1995"},
		{"rice hull moisture", "rice hulls", feedstocks.Moisture, 7, 14, 14, "TB", feedstocks.AsRead, "published 14 outside its own 7-12: the range holds both"},
		{"dairy manure potash", "dairy manure", feedstocks.Potash, 0.6 / 0.21, 0.6 / 0.21, 0.6 / 0.21, "UA", feedstocks.Derived, "Alaska LPM-00340: 0.6 % as is at 79 % moisture"},
		{"water hyacinth lignin", "water hyacinth", feedstocks.Lignin, 7, 16.7, 26.4, "FO", feedstocks.AsRead, "FAO review, middle of the range"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			p, ok := find(t, row.material).Properties[row.kind]
			require.True(t, ok)
			scale := 1.0
			if row.kind.Percent() {
				scale = 100
			}
			// To a printed step of the library: four figures.
			near := func(want, got float64) { t.Helper(); assert.InEpsilon(t, want, got*scale, 0.015, row.why) }
			near(row.low, p.Low)
			near(row.typical, p.Typical)
			near(row.high, p.High)
			assert.Equal(t, row.source, p.Source)
			assert.Equal(t, row.standing, p.Standing)
		})
	}
}

func TestRangeHasItsOwnSource(t *testing.T) {
	p := find(t, "straw").Properties[feedstocks.Nitrogen]
	assert.Equal(t, feedstocks.Cite{Source: "NR", Standing: feedstocks.FromMemory}, p.Cite)
	assert.Equal(t, feedstocks.Cite{Source: "AB", Standing: feedstocks.AsRead}, p.RangeCite())
	assert.True(t, p.HasRange())
	p = find(t, "coffee grounds").Properties[feedstocks.Nitrogen]
	assert.Equal(t, p.Cite, p.RangeCite())
	assert.False(t, p.HasRange())
}

func TestEveryNameFindsItsMaterial(t *testing.T) {
	lib := library(t)
	for _, f := range lib.All() {
		for _, name := range append([]string{f.Name, strings.ToUpper(f.Name), strings.ReplaceAll(f.Name, " ", "_")}, f.Aliases...) {
			got, err := lib.Find(name)
			if assert.NoError(t, err, name) {
				assert.Equal(t, f.Name, got.Name, name)
			}
		}
		for _, c := range f.Cautions {
			assert.NotEmpty(t, feedstocks.CautionText(c), "%s: %s", f.Name, c)
		}
		if f.Group == "manure" {
			assert.Contains(t, f.Cautions, feedstocks.CautionManure, f.Name)
		}
	}
}

func TestCautionsOfTheLibrary(t *testing.T) {
	rows := map[string][]string{
		"horse manure":         {"manure", "herbicide"},
		"hay":                  {"herbicide"},
		"grass clippings":      {"herbicide"},
		"fish waste":           {"meat"},
		"feather meal":         {"meat"},
		"slaughterhouse blood": {"meat"},
		"seaweed":              {"salt"},
		"water hyacinth":       {"invasive"},
		"furniture wood waste": {"treated-wood"},
		"wood ash":             {"dust", "caustic"},
	}
	for name, want := range rows {
		assert.Subset(t, find(t, name).Cautions, want, name)
	}
	for _, key := range feedstocks.Cautions() {
		assert.NotEmpty(t, feedstocks.CautionText(key), key)
	}
	assert.Empty(t, feedstocks.CautionText("dragons"))
}

func TestFind(t *testing.T) {
	rows := []struct{ name, ask, want, why string }{
		{"alias", "kitchen scraps", "food scraps", "as growers say it"},
		{"American alias", "corn stalks", "maize stalks", "American English"},
		{"poultry", "chicken manure", "hen manure", "common practice, no source"},
		{"singular", "leaf", "leaves", "irregular plural"},
		{"plural", "Horse Manures", "horse manure", "regular plural and capitals"},
		{"hyphen", "grass-clippings", "grass clippings", "hyphens count as spaces"},
		{"spaces", "  grass   clipping ", "grass clippings", "spaces are squeezed"},
		{"underscore", "coffee_ground", "coffee grounds", "underscores count as spaces"},
	}
	lib := library(t)
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			f, err := lib.Find(row.ask)
			require.NoError(t, err, row.why)
			assert.Equal(t, row.want, f.Name, row.why)
		})
	}
}

func TestFindUnknown(t *testing.T) {
	rows := []struct{ name, ask, near, why string }{
		{"swapped letters", "levaes", "leaves", "a slip of the finger"},
		{"missing letter", "chiken manure", "hen manure", "the alias is near, the material is named"},
		{"two kinds", "wood chips", "softwood chips", "stem wood and young wood differ too far for one row"},
		{"short word", "cow", "cattle manure", "a whole word of an alias"},
	}
	lib := library(t)
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			_, err := lib.Find(row.ask)
			var unknown *feedstocks.UnknownError
			require.ErrorAs(t, err, &unknown)
			assert.Equal(t, row.ask, unknown.Name)
			assert.Contains(t, unknown.Near, row.near, row.why)
			assert.LessOrEqual(t, len(unknown.Near), 3)
			assert.ErrorContains(t, err, row.near)
		})
	}
	_, err := lib.Find("xyzzy")
	assert.EqualError(t, err, `feedstocks: no material called "xyzzy"`)
}

func TestAllIsSortedAndTheCallersOwn(t *testing.T) {
	lib := library(t)
	all := lib.All()
	for i := range all[1:] {
		a, b := all[i], all[i+1]
		assert.Less(t, a.Group+"\x00"+a.Name, b.Group+"\x00"+b.Name)
	}
	all[0] = nil
	assert.NotNil(t, lib.All()[0])
}

func BenchmarkDefault(b *testing.B) {
	for b.Loop() {
		if _, err := feedstocks.Default(); err != nil {
			b.Fatal(err)
		}
	}
}
