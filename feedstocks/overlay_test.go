package feedstocks_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/feedstocks"
)

func TestOverlay(t *testing.T) {
	base := library(t)
	over := read(t, `
[source.SHEET]
title = "Own trials"

[feedstock."chicken manure"]
nitrogen = 3.0
cautions = ["dust"]

[feedstock."Hop Waste"]
also = ["bine waste"]
nitrogen = 3.1
carbon_to_nitrogen = 14
moisture = 70

[feedstock.shreds]
moisture = { typical = 12, source = "SHEET", standing = "derived" }
`)
	both := base.Overlay(over)
	assert.Len(t, both.All(), 112)
	assert.Len(t, base.All(), 110, "the first library stays as it was")

	hen, err := both.Find("hen droppings")
	require.NoError(t, err)
	assert.Equal(t, "hen manure", hen.Name, "a table under an alias changes the material")
	assert.InDelta(t, 0.03, hen.Properties[feedstocks.Nitrogen].Typical, 1e-12)
	assert.Equal(t, feedstocks.Yours, hen.Properties[feedstocks.Nitrogen].Standing)
	old, err := base.Find("hen manure")
	require.NoError(t, err)
	assert.Equal(t, old.Properties[feedstocks.Moisture], hen.Properties[feedstocks.Moisture], "what the table does not give stays")
	assert.InDelta(t, 0.08, old.Properties[feedstocks.Nitrogen].Typical, 1e-12)
	assert.Equal(t, old.Title, hen.Title)
	assert.Subset(t, hen.Cautions, []string{"manure", "dust"}, "cautions add up")
	assert.NotContains(t, old.Cautions, "dust")
	c, err := hen.Composition()
	require.NoError(t, err)
	assert.InDelta(t, 16, c.Carbon/c.Nitrogen, 1e-9, "the library's carbon, 8 x 6 = 48 %, over the user's 3 %")

	for _, name := range []string{"hop waste", "bine waste"} {
		f, err := both.Find(name)
		require.NoError(t, err)
		assert.Equal(t, "Hop Waste", f.Name)
	}
	_, ok := both.Source("SHEET")
	assert.True(t, ok)
	_, ok = both.Source("HK")
	assert.True(t, ok)
	_, ok = base.Source("SHEET")
	assert.False(t, ok)

	twice := both.Overlay(read(t, "[feedstock.\"hen manure\"]\nnitrogen = 4\n[feedstock.\"poultry manure\"]\nmoisture = 40\n"))
	hen, err = twice.Find("hen manure")
	require.NoError(t, err)
	assert.InDelta(t, 0.04, hen.Properties[feedstocks.Nitrogen].Typical, 1e-12, "the last word counts")
	assert.InDelta(t, 0.40, hen.Properties[feedstocks.Moisture].Typical, 1e-12, "two tables for one material add up")
	c, err = hen.Composition()
	require.NoError(t, err)
	assert.InDelta(t, 0.48, c.Carbon, 1e-9, "the published carbon is still known")
}

func TestOverlayOfWords(t *testing.T) {
	both := library(t).Overlay(read(t, `
[feedstock.straw]
title = "Our own straw"
group = "bedding"
note = "barn-dry"
also = ["barn straw", "cereal straw"]
cautions = ["herbicide", "dust"]
`))
	f, err := both.Find("barn straw")
	require.NoError(t, err)
	assert.Equal(t, []string{"straw", "Our own straw", "bedding", "barn-dry"}, []string{f.Name, f.Title, f.Group, f.Note})
	assert.Equal(t, []string{"herbicide", "dust"}, f.Cautions)
	assert.Equal(t, find(t, "straw").Properties, f.Properties)
	assert.Equal(t, len(find(t, "straw").Aliases)+1, len(f.Aliases))
}

func TestNamesOfTheOverlayWin(t *testing.T) {
	both := library(t).Overlay(read(t, "[feedstock.\"my leaves\"]\nalso = [\"dry leaves\"]\nmoisture = 20\n"))
	f, err := both.Find("dry leaves")
	require.NoError(t, err)
	assert.Equal(t, "my leaves", f.Name)
	f, err = both.Find("leaves")
	require.NoError(t, err)
	assert.Equal(t, "leaves", f.Name)
}

func TestWithLeavesTheReceiverAlone(t *testing.T) {
	leaves := find(t, "leaves")
	before := leaves.Properties[feedstocks.Moisture]
	wet := leaves.With(feedstocks.Moisture, feedstocks.Measured(0.7))
	assert.Equal(t, before, leaves.Properties[feedstocks.Moisture])
	v, ok := wet.Typical(feedstocks.Moisture)
	assert.True(t, ok)
	assert.Equal(t, 0.7, v)
	_, ok = (&feedstocks.Feedstock{}).Typical(feedstocks.Ash)
	assert.False(t, ok)
	bare := (&feedstocks.Feedstock{Name: "x"}).With(feedstocks.Ash, feedstocks.Measured(0.1))
	assert.Len(t, bare.Properties, 1)
}

func TestNearest(t *testing.T) {
	names := []string{"moisture", "nitrogen", "carbon", "bulk_density", "ash"}
	rows := []struct {
		name, ask string
		want      []string
		why       string
	}{
		{"letter left out", "moisure", []string{"moisture"}, "one edit"},
		{"letters swapped", "cabron", []string{"carbon"}, "one swap"},
		{"capitals", "NITROGEN", []string{"nitrogen"}, "case is no difference"},
		{"hyphen", "bulk-density", []string{"bulk_density"}, "hyphen for underscore"},
		{"word of two", "density", []string{"bulk_density"}, "a whole word"},
		{"written together", "bulkdens", []string{"bulk_density"}, "all of it is inside, spaces left out"},
		{"short", "as", []string{"ash"}, "one edit of a short name"},
		{"far", "zzzzzz", nil, "nothing near"},
		{"nothing", "", nil, "nothing asked"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			assert.Equal(t, row.want, feedstocks.Nearest(row.ask, names), row.why)
		})
	}
	assert.Equal(t, []string{"aaaa", "aaab", "aaac"}, feedstocks.Nearest("aaaa", []string{"aaad", "aaac", "aaab", "aaaa"}), "three at most, nearest first, then by alphabet")
}

func TestNearestFindsItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfNDistinct(rapid.StringMatching(`[a-z]{3,12}( [a-z]{3,8})?`), 1, 12, rapid.ID[string]).Draw(t, "names")
		want := rapid.SampledFrom(names).Draw(t, "want")
		got := feedstocks.Nearest(want, names)
		if len(got) == 0 || len(got) > 3 {
			t.Fatalf("%q among %q: %q", want, names, got)
		}
		if got[0] != want && !(len(got) > 1 && got[1] == want) && !(len(got) > 2 && got[2] == want) {
			t.Fatalf("%q among %q: %q", want, names, got)
		}
	})
}

func TestWords(t *testing.T) {
	assert.Len(t, feedstocks.Kinds(), 9)
	for _, k := range feedstocks.Kinds() {
		assert.NotContains(t, k.String()+k.Label()+k.Unit(), "unknown")
		assert.NotContains(t, k.String(), " ", "a key")
	}
	assert.Equal(t, "carbon_to_nitrogen", feedstocks.CarbonToNitrogen.String())
	assert.Equal(t, []string{"C:N", "to one"}, []string{feedstocks.CarbonToNitrogen.Label(), feedstocks.CarbonToNitrogen.Unit()})
	assert.Equal(t, []string{"% wet basis", "kg/m3", "% of dry matter"}, []string{feedstocks.Moisture.Unit(), feedstocks.BulkDensity.Unit(), feedstocks.Ash.Unit()})
	var said []string
	for _, s := range []feedstocks.Standing{feedstocks.AsRead, feedstocks.Derived, feedstocks.FromMemory, feedstocks.Yours} {
		said = append(said, s.String())
	}
	assert.Equal(t, []string{"read", "derived", "from memory", "yours"}, said)
	assert.Equal(t, "unknown standing", feedstocks.Standing(9).String())
	assert.Equal(t, "unknown property", feedstocks.Kind(99).String())
	for _, b := range []feedstocks.CarbonBasis{feedstocks.FromCarbon, feedstocks.FromProduct, feedstocks.FromAsh, feedstocks.FromLimit, feedstocks.FromPublished} {
		assert.NotContains(t, b.String(), "unknown")
	}
	assert.Equal(t, "mass volume", feedstocks.Mass.String()+" "+feedstocks.Volume.String())
}
