package feedstocks_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/feedstocks"
)

func TestReadFaults(t *testing.T) {
	rows := []struct {
		name, line        string // of the table [feedstock.x]
		property, problem string
		hint              string
		why               string
	}{
		{"unknown key", `nitrogn = 3`, "nitrogn", "not a key", "did you mean nitrogen?", "misspelt"},
		{"nan", `nitrogen = nan`, "nitrogen", "not a number to reckon with", "", "the decoder lets nan through"},
		{"inf", `bulk_density = inf`, "bulk_density", "not a number to reckon with", "", "the decoder lets inf through"},
		{"negative", `ash = -1`, "ash", "under 0", "per cent", "no less than none"},
		{"over a hundred", `nitrogen = 130`, "nitrogen", "over 100", "per cent, of dry matter", "perhaps g/kg"},
		{"carbon over a hundred", `carbon = 101`, "carbon", "over 100", "", "impossible"},
		{"range out of order", `nitrogen = [3, 2, 4]`, "nitrogen", "out of order", "smallest first", "low is over typical"},
		{"range turned round", `nitrogen = [4, 2]`, "nitrogen", "out of order", "smallest first", "high first"},
		{"table out of order", `nitrogen = { low = 1, typical = 4, high = 3 }`, "nitrogen", "out of order", "", "typical over high"},
		{"four figures", `nitrogen = [1, 2, 3, 4]`, "nitrogen", "list of 4", "[low, high]", "what would the fourth be"},
		{"no figures", `nitrogen = []`, "nitrogen", "list of 0", "[low, high]", "empty"},
		{"C:N in words", `carbon_to_nitrogen = "high"`, "carbon_to_nitrogen", "not a ratio", "as in 30", "text"},
		{"C:N to two", `carbon_to_nitrogen = "30:2"`, "carbon_to_nitrogen", "not a ratio", "as in 30", "not to one"},
		{"density out of order", `bulk_density = [300, 200]`, "bulk_density", "out of order: 300, 250, 200", "smallest first", "high first"},
		{"C:N of nought", `carbon_to_nitrogen = 0`, "carbon_to_nitrogen", "over 0", "carbon and nitrogen", "ratio of nothing"},
		{"C:N beyond sense", `carbon_to_nitrogen = 100000`, "carbon_to_nitrogen", "beyond any", "", "slip"},
		{"no dry matter", `moisture = 100`, "moisture", "no dry matter", "wet basis", "water is not a feedstock"},
		{"dry basis moisture", `moisture = 250`, "moisture", "over 100", "wet basis", "dry-basis moisture"},
		{"density of nought", `bulk_density = 0`, "bulk_density", "over 0", "kg/m3", "weightless"},
		{"absurd density", `bulk_density = 4000`, "bulk_density", "heavier than", "kg/m3", "pounds a yard of rock"},
		{"density without a volume", `bulk_density = "420 kg"`, "bulk_density", "which volume", "9 kg per 20 L", "half a density"},
		{"wrong type", `nitrogen = true`, "nitrogen", "not true or false", "", "boolean"},
		{"title not text", `title = 3`, "title", "text in quotes", "", "number"},
		{"also not a list", `also = "y"`, "also", "a list of texts", `["one", "two"]`, "one text"},
		{"unknown caution", `cautions = ["manur"]`, "cautions", "not a caution", "did you mean manure", "misspelt"},
		{"unknown standing", `nitrogen = { typical = 3, standing = "heard" }`, "nitrogen", "not a standing", `"read"`, "closed set"},
		{"no such source", `nitrogen = { typical = 3, source = "ZZ", standing = "read" }`, "nitrogen", `no source "ZZ"`, "[source.ZZ]", "a published figure must be traceable"},
		{"published without a source", `nitrogen = { typical = 3, standing = "read" }`, "nitrogen", "needs its source", "", "a published figure must be traceable"},
		{"range without a source", `nitrogen = { low = 1, typical = 3, high = 4, range_standing = "read" }`, "nitrogen", "needs range_source", "", "half a citation"},
		{"unknown key of a figure", `nitrogen = { typcal = 3, typical = 3 }`, "nitrogen", `"typcal"`, "did you mean typical?", "misspelt"},
		{"no typical", `nitrogen = { low = 1 }`, "nitrogen", "typical figure is missing", "", "one end of a range"},
		{"duplicate alias", `also = ["heaps", "heap"]`, "also", "belongs to x already", "singular and plural", "one name twice"},
		{"control characters", `title = "a\u001b[31m"`, "title", "control characters", "", "a terminal would obey them"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			_, err := feedstocks.Read(strings.NewReader("# a library\n[feedstock.x]\n\n"+row.line+"\n"), "mine.toml")
			require.Error(t, err, row.why)
			faults := feedstocks.Faults(err)
			require.Len(t, faults, 1, "%v", err)
			f := faults[0]
			assert.Equal(t, "mine.toml", f.File)
			assert.Equal(t, "x", f.Feedstock)
			assert.Equal(t, row.property, f.Property)
			assert.Equal(t, 4, f.Line)
			assert.Contains(t, f.Problem, row.problem, row.why)
			assert.Contains(t, f.Hint, row.hint, row.why)
			assert.True(t, strings.HasPrefix(err.Error(), "feedstocks: mine.toml:4: x: "+row.property+": "), err.Error())
		})
	}
}

func TestReadFaultsOfTheFile(t *testing.T) {
	rows := []struct {
		name, text, problem string
		line                int
		why                 string
	}{
		{"name too long", "[feedstock." + strings.Repeat("a", 61) + "]\n", "at most 60", 1, "no name is so long"},
		{"control characters in a name", "[feedstock.\"a\\u0007\"]\n", "control characters", 1, "a terminal would obey them"},
		{"not TOML", "a = \n", "", 1, "syntax"},
		{"key twice", "[feedstock.x]\nnitrogen = 1\nnitrogen = 2\n", "", 3, "the decoder refuses it"},
		{"unknown table", "[feedstock.x]\n[sources.HK]\n", `"sources" is not a table`, 2, "misspelt"},
		{"feedstock not a table", "feedstock = 3\n", "not a set of tables", 1, "number"},
		{"material not a table", "[feedstock]\nx = 3\n", "a feedstock is a table", 2, "number"},
		{"array of tables", "[[feedstock]]\nx = 3\n", "not a set of tables", 1, "wrong brackets"},
		{"source not a table", "[source]\nHK = 3\n", "not a table", 2, "number"},
		{"unknown key of a source", "[source.HK]\nauther = \"A\"\n", "auther is not a key", 2, "misspelt"},
		{"year in words", "[source.HK]\nyear = \"1996\"\n", "whole number", 2, "text"},
		{"name of nothing", "[feedstock.\"-\"]\n", "needs a name", 1, "only a hyphen"},
		{"endless dots", "\n" + strings.Repeat("a.", 100_000) + "b = 1\n", "too many dots", 2, "the decoder would take minutes"},
		{"two names alike", "[feedstock.leaf]\n[feedstock.leaves]\n", "belongs to leaf already", 2, "singular and plural are one"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			_, err := feedstocks.Read(strings.NewReader(row.text), "mine.toml")
			faults := feedstocks.Faults(err)
			require.Len(t, faults, 1, "%v", err)
			assert.Equal(t, row.line, faults[0].Line, "%v", err)
			assert.Contains(t, faults[0].Problem, row.problem, row.why)
			assert.NotEmpty(t, faults[0].Problem)
		})
	}
	_, err := feedstocks.Read(strings.NewReader(strings.Repeat("#", 1<<18+1)), "mine.toml")
	assert.ErrorContains(t, err, "over 262144 bytes")
	_, err = feedstocks.Read(failing{}, "mine.toml")
	assert.ErrorIs(t, err, errTorn)
}

var errTorn = errors.New("torn")

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errTorn }

func TestAllFaultsAreTold(t *testing.T) {
	_, err := feedstocks.Read(strings.NewReader(`
[feedstock.b]
nitrogen = -1
moisture = 300

[feedstock.a]
carbon = 200
colour = "green"
`), "mine.toml")
	var at []int
	for _, f := range feedstocks.Faults(err) {
		at = append(at, f.Line)
	}
	assert.Equal(t, []int{3, 4, 7, 8}, at, "%v", err)
}

func TestReadForms(t *testing.T) {
	lib := read(t, `
[source.SHEET]
author = "A. Grower"
title = "Own trials"
year = 2020

[feedstock."hop waste"]
nitrogen = 3.1
carbon_to_nitrogen = "14:1"
moisture = "70 %"
bulk_density = "420 kg/m3"
ash = [8, 12]
lignin = [5, 6, 9]
phosphate = { typical = 1, high = 1.4 }
potash = { low = 1, high = 2, source = "SHEET", standing = "derived", note = "middle" }
source = "laboratory sheet, 3 November"

[feedstock.shreds]
bulk_density = ["250 lb/yd3", "350 lb/yd3"]
`)
	hops, err := lib.Find("hop waste")
	require.NoError(t, err)
	figure := func(k feedstocks.Kind) feedstocks.Property { return hops.Properties[k] }
	yours := feedstocks.Cite{Source: "laboratory sheet, 3 November", Standing: feedstocks.Yours}
	check := func(k feedstocks.Kind, low, typical, high float64, cite feedstocks.Cite) {
		t.Helper()
		p := figure(k)
		assert.InDelta(t, low, p.Low, 1e-12, k)
		assert.InDelta(t, typical, p.Typical, 1e-12, k)
		assert.InDelta(t, high, p.High, 1e-12, k)
		assert.Equal(t, cite, p.Cite, k)
	}
	check(feedstocks.Nitrogen, 0.031, 0.031, 0.031, yours)
	check(feedstocks.CarbonToNitrogen, 14, 14, 14, yours)
	check(feedstocks.Moisture, 0.70, 0.70, 0.70, yours)
	check(feedstocks.BulkDensity, 420, 420, 420, yours)
	check(feedstocks.Ash, 0.08, 0.10, 0.12, yours)
	check(feedstocks.Lignin, 0.05, 0.06, 0.09, yours)
	check(feedstocks.Phosphate, 0.01, 0.01, 0.014, yours)
	check(feedstocks.Potash, 0.01, 0.015, 0.02, feedstocks.Cite{Source: "SHEET", Standing: feedstocks.Derived})
	source, ok := lib.Source("SHEET")
	require.True(t, ok)
	assert.Equal(t, feedstocks.Source{Key: "SHEET", Author: "A. Grower", Title: "Own trials", Year: 2020}, source)
	shreds, err := lib.Find("shreds")
	require.NoError(t, err)
	p := shreds.Properties[feedstocks.BulkDensity]
	assert.InDelta(t, 300*0.593276, p.Typical, 1e-3, "the middle of the two")
}

func TestEntryInAPlan(t *testing.T) {
	const text = `title = "Hedge end"

[feedstock."hop waste"]
nitrogen = 3.1
carbon_to_nitrogen = 14

[feedstock."bad one"]
nitrogen = 310
moisture = { typical = 50, standing = "read" }
`
	var plan struct {
		Title     string                      `toml:"title"`
		Feedstock map[string]feedstocks.Entry `toml:"feedstock"`
	}
	md, err := toml.Decode(text, &plan)
	require.NoError(t, err, "the faults come with Feedstock, all together")
	assert.Empty(t, md.Undecoded())

	f, err := plan.Feedstock["hop waste"].Feedstock("hop waste", "plan.toml")
	require.NoError(t, err)
	assert.Equal(t, feedstocks.Yours, f.Properties[feedstocks.Nitrogen].Standing)

	_, err = plan.Feedstock["bad one"].Feedstock("bad one", "plan.toml")
	err = feedstocks.Locate([]byte(text), errors.Join(err, errTorn))
	faults := feedstocks.Faults(err)
	require.Len(t, faults, 2)
	assert.ErrorIs(t, err, errTorn, "other errors are kept")
	assert.Equal(t, []any{"moisture", 9, "nitrogen", 8}, []any{faults[0].Property, faults[0].Line, faults[1].Property, faults[1].Line})
	assert.Contains(t, faults[0].Problem, "a plan are yours")

	none, err := feedstocks.Entry{}.Feedstock("straw", "plan.toml")
	require.NoError(t, err, "an empty table is a name and nothing else")
	assert.Empty(t, none.Properties)
	assert.NoError(t, feedstocks.Locate(nil, nil))

	lines := feedstocks.LinesOf([]byte(text))
	assert.Equal(t, []int{1, 4, 8, 7, 0}, []int{
		lines.Of("title"), lines.Of("feedstock", "hop waste", "nitrogen"), lines.Of("feedstock", "bad one", "nitrogen"),
		lines.Of("feedstock", "bad one", "colour"), lines.Of("target"),
	})
	assert.Zero(t, feedstocks.LinesOf([]byte("no = ")).Of("no"))

	own, err := feedstocks.Collect([]*feedstocks.Feedstock{f}).Find("Hop Wastes")
	require.NoError(t, err)
	assert.Same(t, f, own)
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"", "[feedstock.x]\nnitrogen = 3\n", "[feedstock.x]\nnitrogen = [1,2,3]\n", "feedstock = 3", "[[feedstock]]\n",
		"[source.A]\nyear = 3\n[feedstock.x]\nash = { typical = 3, source = \"A\", standing = \"read\" }\n",
		"[feedstock.x]\nbulk_density = \"9 kg per 20 L\"\nnitrogen = nan\n", "[feedstock]\n\"\" = {}\n", "[feedstock.x.nitrogen.low]\n",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		lib, err := feedstocks.Read(strings.NewReader(text), "fuzz.toml")
		if err != nil {
			require.NotEmpty(t, feedstocks.Faults(err))
			require.NotEmpty(t, err.Error())
			return
		}
		for _, m := range lib.All() {
			for k, p := range m.Properties {
				require.True(t, p.Low <= p.Typical && p.Typical <= p.High && p.Low >= 0, "%s %v", k, p)
			}
			found, err := lib.Find(m.Name)
			require.NoError(t, err)
			require.Equal(t, m.Name, found.Name)
			if c, err := m.Composition(); err == nil {
				require.True(t, c.Carbon >= 0 && c.Nitrogen >= 0 && c.VolatileSolids >= 0, "%+v", c)
			}
		}
	})
}
