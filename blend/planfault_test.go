package blend_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// leavesOnHand ends a bad plan whose fault lies elsewhere.
const leavesOnHand = "\n[on_hand]\nleaves = \"14 sacks\"\n"

// Each bad plan has one fault. at is its line and problem its whole text
// without the file; hint is what to do about it.
func TestBadPlans(t *testing.T) {
	for _, row := range []struct {
		name, plan string
		line       int
		path       string
		problem    string
		hint       string
	}{
		// Not TOML.
		{"an open string", "title = \"a\n[on_hand]", 1, "", "strings cannot contain newlines", "the file must be TOML"},
		{"an open table", "title = \"a\"\n\n[on_hand leaves", 3, "", "expected '.' or ']' to end table name, but got 'l' instead", "the file must be TOML"},
		{"no value", "[on_hand]\nleaves =", 2, "", "unexpected EOF; expected value", "the file must be TOML"},
		{"a key twice", "[on_hand]\nleaves = \"1 kg\"\nleaves = \"2 kg\"", 3, "", "Key 'on_hand.leaves' has already been defined.", "the file must be TOML"},

		// Keys.
		{"an unknown table", "[piles]\nsize = \"1 m3\"" + leavesOnHand, 1, "piles", "this is not a key of a plan", "did you mean pile?"},
		{"an unknown key", "[target]\nmoistrue = 55" + leavesOnHand, 2, "target, moistrue", "this is not a key of a plan", "did you mean moisture?"},
		{"a key of nothing", "[pile]\nxyzzy = 1" + leavesOnHand, 2, "pile, xyzzy", "this is not a key of a plan",
			"the keys here are size, largest, water, mixing_shrink, prefer, densest, air_at_least"},
		{"an unknown key of a lot", "[on_hand]\nleaves = { amount = \"1 kg\", at_most = \"2 kg\" }", 2, "on_hand, leaves, at_most", "this is not a key of a plan", "did you mean share_at_most?"},
		{"an unknown figure", leavesOnHand + "[feedstock.leaves]\nnitrogn = 2", 5, "feedstock, leaves, nitrogn", "this is not a key of a feedstock", "did you mean nitrogen?"},

		// Feedstocks.
		{"an unknown feedstock", "[on_hand]\nleafs = \"1 kg\"\nbroad = \"2 kg\"", 3, "on_hand, broad", `no feedstock is known as "broad"`, ""},
		{"a slip in a feedstock", "[on_hand]\n\"gras clipings\" = \"1 kg\"", 2, "on_hand, gras clipings", `no feedstock is known as "gras clipings"`, ""},
		{"an unknown feedstock behind a name", "[on_hand]\nlawn = { feedstock = \"xyzzy\", amount = \"1 kg\" }", 2, "on_hand, lawn", `no feedstock is known as "xyzzy"`,
			`give its figures under [feedstock."xyzzy"], or look into "heapwright feedstocks"`},
		{"a feedstock without moisture", "[on_hand]\npomace = \"1 kg\"\n[feedstock.pomace]\nnitrogen = 2\ncarbon = 45", 2, "on_hand, pomace", "the library has no moisture for pomace",
			"give moisture: weigh a sample, dry it at 105 C until its weight holds, and divide the loss by the wet weight; write it as moisture = \"... %\" under [feedstock.\"pomace\"], or let \"heapwright measure moisture\" work it out and save it"},
		{"impossible moisture", leavesOnHand + "[feedstock.leaves]\nmoisture = 120", 5, "feedstock, leaves, moisture", "120 % is over 100", "give per cent, wet basis"},
		{"impossible moisture of a lot", "[on_hand]\nleaves = { amount = \"1 kg\", moisture = 120 }", 2, "on_hand, leaves, moisture", "120 % is over 100", "give per cent, wet basis"},
		{"nan in a figure", leavesOnHand + "[feedstock.leaves]\nnitrogen = nan", 5, "feedstock, leaves, nitrogen", "NaN is not a number to reckon with", "give per cent, of dry matter"},
		{"figures upside down", leavesOnHand + "[feedstock.leaves]\nnitrogen = [3, 2]", 5, "feedstock, leaves, nitrogen", "low, typical and high are out of order: 3, 2.5, 2", "write the smallest first"},

		// Amounts.
		{"nothing on hand", "title = \"a\"", 0, "on_hand", "nothing is on hand", `list what there is, as in leaves = "14 sacks" under [on_hand], or --have "leaves=14 sacks"`},
		{"an empty [on_hand]", "title = \"a\"\n[on_hand]\n", 2, "on_hand", "nothing is on hand", `list what there is, as in leaves = "14 sacks" under [on_hand], or --have "leaves=14 sacks"`},
		{"none of the one thing", "[on_hand]\nleaves = \"0 sacks\"", 0, "", "nothing is on hand", "list at least one material with an amount"},
		{"an amount without a unit", "[on_hand]\nleaves = { amount = 14 }", 2, "on_hand, leaves, amount", "the unit is missing after 14", `write the unit too, as in "14 kg" or "14 L"`},
		{"a bare number", "[on_hand]\nleaves = 14", 2, "on_hand, leaves", "this must be an amount in quotes, not 14", `write an amount, as in "14 sacks"`},
		{"a number in quotes", "[on_hand]\nleaves = \"14\"", 2, "on_hand, leaves", `"14": the unit is missing`, `write a number and a unit, as in "14 sacks"`},
		{"an empty amount", "[on_hand]\nleaves = \"\"", 2, "on_hand, leaves", "the quantity is empty", `write a number and a unit, as in "14 sacks"`},
		{"a missing amount", "[on_hand]\nleaves = { moisture = 50 }", 2, "on_hand, leaves", "the amount is missing", `as in { amount = "5 barrows" }`},
		{"an unknown unit", "[on_hand]\nleaves = \"14 saks\"", 2, "on_hand, leaves", `"14 saks": "saks" is not a unit or measure that is known`, "did you mean sack?"},
		{"an unclear unit", "[on_hand]\nleaves = \"3 tons\"", 2, "on_hand, leaves",
			`"3 tons": a ton is 1000 kg, 2000 lb or 2240 lb: write t for tonnes, or short ton for 2000 lb`, ""},
		{"a negative amount", "[on_hand]\nleaves = \"-3 sacks\"", 2, "on_hand, leaves", `"-3 sacks": a quantity cannot be negative`, ""},
		{"nan as an amount", "[on_hand]\nleaves = \"nan kg\"", 2, "on_hand, leaves", `"nan kg": it does not begin with a number`, `write a number and a unit, as in "14 sacks"`},
		{"inf as an amount", "[on_hand]\nleaves = inf", 2, "on_hand, leaves", "this must be an amount in quotes, not +Inf", `write an amount, as in "14 sacks"`},
		{"a thousands separator", "[on_hand]\nleaves = \"1,000 kg\"", 2, "on_hand, leaves", `"1,000 kg": "1,000" could be 1000 or 1.000: write the one you mean`, ""},
		{"a volume without a density", "[on_hand]\n\"sheep manure\" = \"4 barrows\"", 2, "on_hand, sheep manure", "4 barrows cannot become a weight: the bulk density of sheep manure is not known",
			`give the amount by weight, or weigh a full bucket and write bulk_density = "... kg/m3" under [feedstock."sheep manure"]`},
		{"a least volume without a density", "[on_hand]\n\"sheep manure\" = { amount = \"40 kg\", at_least = \"1 barrow\" }", 2, "on_hand, sheep manure, at_least",
			"1 barrow cannot become a weight: the bulk density of sheep manure is not known",
			`give the amount by weight, or weigh a full bucket and write bulk_density = "... kg/m3" under [feedstock."sheep manure"]`},
		{"more at least than there is", "[on_hand]\nleaves = { amount = \"10 kg\", at_least = \"12 kg\" }", 2, "on_hand, leaves",
			"at least 12 kg must go in, but only 10 kg are on hand", "lower at_least or raise the amount"},
		{"a share of none", "[on_hand]\nleaves = { amount = \"10 kg\", share_at_most = 0 }", 2, "on_hand, leaves, share_at_most", "a share of nothing allows none of it", "leave the material out instead"},
		{"a share over all", "[on_hand]\nleaves = { amount = \"10 kg\", share_at_most = \"130 %\" }", 2, "on_hand, leaves, share_at_most", "130 % is over 100", ""},
		{"a share needs densities", "[on_hand]\n\"sheep manure\" = \"50 kg\"\nleaves = { amount = \"10 kg\", share_at_most = 50 }", 2, "on_hand, sheep manure",
			"its bulk density is not known, and a pile size, share or density limit needs it",
			`weigh a full bucket of it and give bulk_density under [feedstock."sheep manure"], or leave the size and shares out`},
		{"a price for nothing", "[on_hand]\nleaves = { amount = \"10 kg\", price = \"4.50\" }", 2, "on_hand, leaves, price", `"4.50": it does not say what the price is for`, `write a price for one unit, as in "4.50 per sack"`},
		{"a price as a number", "[on_hand]\nleaves = { amount = \"10 kg\", price = 4.5 }", 2, "on_hand, leaves, price", "this must be text in quotes, not 4.5", `write it in quotes, as in price = "..."`},
		{"a negative price", "[on_hand]\nleaves = { amount = \"10 kg\", price = \"-4 per kg\" }", 2, "on_hand, leaves, price", `"-4 per kg": a price cannot be negative`, ""},
		{"no nitrogen", "[on_hand]\nchar = \"10 kg\"\n[feedstock.char]\ncarbon = 50\nnitrogen = 0\nmoisture = 10", 0, "", "nothing on hand holds nitrogen, so C:N has no meaning",
			"add a material with nitrogen, such as grass clippings or manure"},

		// The target.
		{"a range upside down", "[target]\ncarbon_to_nitrogen_range = [35, 25]" + leavesOnHand, 2, "target, carbon_to_nitrogen_range", "range is upside down: 35 to 25", ""},
		{"a moisture range upside down", "[target]\nmoisture_range = [60, 50]" + leavesOnHand, 2, "target, moisture_range", "range is upside down: 60 to 50 %", ""},
		{"an aim outside its range", "[target]\ncarbon_to_nitrogen = 40\ncarbon_to_nitrogen_range = [25, 35]" + leavesOnHand, 2, "target, carbon_to_nitrogen",
			"aim of 40 lies outside its range of 25 to 35", "widen carbon_to_nitrogen_range, or leave it out for the usual range about the aim"},
		{"a moisture aim outside its range", "[target]\nmoisture = 55\nmoisture_range = [56, 58]" + leavesOnHand, 2, "target, moisture",
			"aim of 55 % lies outside its range of 56 to 58 %", "widen moisture_range, or leave it out for the usual range about the aim"},
		{"an aim on the edge", "[target]\ncarbon_to_nitrogen = 25\ncarbon_to_nitrogen_range = [25, 35]" + leavesOnHand, 2, "target, carbon_to_nitrogen",
			"aim of 25 lies on the edge of its range of 25 to 35, which must reach a little beyond it on both sides",
			"widen carbon_to_nitrogen_range, or leave it out for the usual range about the aim"},
		{"a range of no width", "[target]\nmoisture_range = [55, 55]" + leavesOnHand, 2, "target, moisture_range",
			"aim of 55 % lies on the edge of its range of 55 to 55 %, which must reach a little beyond it on both sides", ""},
		{"moisture 120", "[target]\nmoisture = 120" + leavesOnHand, 2, "target, moisture", "120 % is over 100", ""},
		{"a range up to 100", "[target]\nmoisture_range = [50, 100]" + leavesOnHand, 2, "target, moisture_range", "must stay below 100 %, and the range reaches 100 %", ""},
		{"a negative aim", "[target]\ncarbon_to_nitrogen = -5" + leavesOnHand, 2, "target, carbon_to_nitrogen", "must be more than zero", ""},
		{"no aim", "[target]\ncarbon_to_nitrogen = 0" + leavesOnHand, 2, "target, carbon_to_nitrogen", "must be more than zero", ""},
		{"nan as an aim", "[target]\ncarbon_to_nitrogen = nan" + leavesOnHand, 2, "target, carbon_to_nitrogen", "this must be a number, not NaN", ""},
		{"inf as an aim", "[target]\ncarbon_to_nitrogen = inf" + leavesOnHand, 2, "target, carbon_to_nitrogen", "this must be a number, not +Inf", ""},
		{"nan as moisture", "[target]\nmoisture = nan" + leavesOnHand, 2, "target, moisture", "NaN is not a number to reckon with", ""},
		{"inf in a range", "[target]\ncarbon_to_nitrogen_range = [25, inf]" + leavesOnHand, 2, "target, carbon_to_nitrogen_range", "this must be a low and a high number, not [25 +Inf]", "write two numbers, as in carbon_to_nitrogen_range = [25, 35]"},
		{"a range of three", "[target]\ncarbon_to_nitrogen_range = [25, 30, 35]" + leavesOnHand, 2, "target, carbon_to_nitrogen_range", "this must be a low and a high number, not [25 30 35]", "write two numbers, as in carbon_to_nitrogen_range = [25, 35]"},
		{"a ratio in quotes", "[target]\ncarbon_to_nitrogen = \"30\"" + leavesOnHand, 2, "target, carbon_to_nitrogen", "this must be a number, not 30", ""},

		// The pile.
		{"a size by weight", "[pile]\nsize = \"500 kg\"" + leavesOnHand, 2, "pile, size", "500 kg is a weight, and a volume is wanted", `give a volume, as in "1.5 m3"`},
		{"a size without a unit", "[pile]\nsize = 1.5" + leavesOnHand, 2, "pile, size", "the unit is missing after 1.5", `write the unit too, as in "1.5 kg" or "1.5 L"`},
		{"a pile of none", "[pile]\nlargest = \"0 m3\"" + leavesOnHand, 2, "pile, largest", "a pile of 0 m3 is none", "leave it out for no limit"},
		{"larger than the largest", "[pile]\nsize = \"3 m3\"\nlargest = \"2 m3\"" + leavesOnHand, 2, "pile, size", "the pile wanted (3 m3) is larger than the largest that fits (2 m3)", "lower size or raise largest"},
		{"a size of what has no density", "[pile]\nsize = \"1 m3\"\n[on_hand]\n\"sheep manure\" = \"50 kg\"", 4, "on_hand, sheep manure",
			"its bulk density is not known, and a pile size, share or density limit needs it",
			`weigh a full bucket of it and give bulk_density under [feedstock."sheep manure"], or leave the size and shares out`},
		{"negative water", "[pile]\nwater = \"-3 L\"" + leavesOnHand, 2, "pile, water", `"-3 L": a quantity cannot be negative`, ""},
		{"shrink of all", "[pile]\nmixing_shrink = 1.0" + leavesOnHand, 2, "pile, mixing_shrink", "the share of volume lost in mixing must be from 0 to below 1, not 1", `write a share, as in 0.2 or "20 %"`},
		{"shrink as a bare per cent", "[pile]\nmixing_shrink = 20" + leavesOnHand, 2, "pile, mixing_shrink", "the share of volume lost in mixing must be from 0 to below 1, not 20", `write a share, as in 0.2 or "20 %"`},
		{"shrink that is no number", "[pile]\nmixing_shrink = nan" + leavesOnHand, 2, "pile, mixing_shrink", "the share of volume lost in mixing must be from 0 to below 1, not NaN", `write a share, as in 0.2 or "20 %"`},
		{"an unknown preference", "[pile]\nprefer = \"biggest\"" + leavesOnHand, 2, "pile, prefer", `"biggest" is not known`, "it is one of target, largest, cheapest, fewest"},
		{"the cheapest of no size", "[pile]\nprefer = \"cheapest\"" + leavesOnHand, 2, "pile, prefer", "the cheapest pile needs a size: the cheapest of all is none", `say how big, as in size = "1.5 m3"`},
		{"density by weight", "[pile]\ndensest = \"600 kg\"" + leavesOnHand, 2, "pile, densest", `"600 kg": it does not say which mass for which volume`, `write a mass for a volume, as in "420 kg/m3" or "9 kg per 20 L"`},
		{"all air", "[pile]\nair_at_least = 100" + leavesOnHand, 2, "pile, air_at_least", "free air space must stay below 100 %", ""},
		{"negative air", "[pile]\nair_at_least = -5" + leavesOnHand, 2, "pile, air_at_least", "-5 % is under 0", ""},

		// Measures.
		{"a measure of nothing", "[measures]\nsack = \"0 L\"" + leavesOnHand, 2, "measures, sack", `"sack": a measure must hold more than nothing`, `write its size, as in "85 L"`},
		{"a measure named as a unit", "[measures]\nkg = \"3 L\"" + leavesOnHand, 2, "measures, kg", `"kg": this is the name of a unit already`, "give the measure another name"},
		{"a measure of an unknown", "[measures]\nsack = \"2 xyzzys\"" + leavesOnHand, 2, "measures, sack", `"2 xyzzys": "xyzzys" is not a unit or measure that is known`, `a measure of your own needs its size, as in sack = "110 L"`},

		// Kinds of TOML value in the wrong place.
		{"a title of numbers", "title = 5" + leavesOnHand, 1, "title", "this must be text in quotes, not 5", `write it in quotes, as in title = "..."`},
		{"a target of text", "target = \"30\"" + leavesOnHand, 1, "target", "this must be a table, not 30", "write [target] and its keys below it"},
		{"a pile of text", "pile = true" + leavesOnHand, 1, "pile", "this must be a table, not true", "write [pile] and its keys below it"},
		{"measures in a list", "measures = [1, 2]" + leavesOnHand, 1, "measures", "this must be a table, not [1 2]", "write [measures] and its keys below it"},
		{"on_hand as text", "on_hand = \"leaves\"", 1, "on_hand", "this must be a table, not leaves", "write [on_hand] and its keys below it"},
		{"feedstock as text", "feedstock = 1" + leavesOnHand, 1, "feedstock", "this must be a table, not 1", "write [feedstock] and its keys below it"},
		{"one feedstock as text", leavesOnHand + "[feedstock]\nhops = 3", 5, "feedstock, hops", "a feedstock is a table, not a number", `write [feedstock."hops"] with the figures below it`},
		{"an amount in a list", "[on_hand]\nleaves = [1, 2]", 2, "on_hand, leaves", "this must be an amount in quotes, not [1 2]", `write an amount, as in "14 sacks"`},
		{"an amount as a yes", "[on_hand]\nleaves = { amount = true }", 2, "on_hand, leaves, amount", "this must be text in quotes, not true", `write it in quotes, as in amount = "..."`},
		{"a feedstock's name as a number", "[on_hand]\nlawn = { feedstock = 3, amount = \"1 kg\" }", 2, "on_hand, lawn, feedstock", "this must be text in quotes, not 3", `write it in quotes, as in feedstock = "..."`},
		{"moisture as a yes", "[target]\nmoisture = true" + leavesOnHand, 2, "target, moisture", "a percentage is a number, not true or false", ""},
		{"moisture as a date", "[target]\nmoisture = 2026-11-03" + leavesOnHand, 2, "target, moisture", "a percentage is a number, not a date", ""},
		{"a ratio as a list", "[target]\ncarbon_to_nitrogen = [30]" + leavesOnHand, 2, "target, carbon_to_nitrogen", "this must be a number, not [30]", ""},
		{"water as a table", "[pile]\nwater = { litres = 3 }" + leavesOnHand, 2, "pile, water", "this must be text in quotes, not map[litres:3]", `write it in quotes, as in water = "..."`},
		{"prefer as a number", "[pile]\nprefer = 2" + leavesOnHand, 2, "pile, prefer", "this must be text in quotes, not 2", `write it in quotes, as in prefer = "..."`},
		{"density as a number", "[pile]\ndensest = 600" + leavesOnHand, 2, "pile, densest", "this must be text in quotes, not 600", `write it in quotes, as in densest = "..."`},
	} {
		t.Run(row.name, func(t *testing.T) {
			plan, err := blend.ReadPlan(strings.NewReader(row.plan), "bad.toml")
			if err == nil {
				var p *blend.Problem
				p, err = plan.Problem(library(t))
				assert.Nil(t, p)
			}
			require.Error(t, err)
			faults := faultsOf(err)
			require.Len(t, faults, 1, "%v", err)
			f := faults[0]
			assert.Equal(t, "bad.toml", f.File)
			assert.Equal(t, row.line, f.Line, "line of %q", f.Error())
			assert.Equal(t, row.path, strings.Join(f.Path, ", "))
			assert.Equal(t, row.problem, f.Problem)
			if row.hint != "" {
				assert.Equal(t, row.hint, f.Hint)
			}
			assert.NotContains(t, f.Error(), "\n")
			assert.True(t, strings.HasPrefix(f.Error(), "blend: bad.toml"), f.Error())
		})
	}
}

// faultsOf lists the faults that an error joins.
func faultsOf(err error) []*blend.PlanError {
	if f, ok := errors.AsType[*blend.PlanError](err); ok {
		if joined, ok := err.(interface{ Unwrap() []error }); ok {
			var all []*blend.PlanError
			for _, e := range joined.Unwrap() {
				all = append(all, faultsOf(e)...)
			}
			return all
		}
		return []*blend.PlanError{f}
	}
	return nil
}

// All faults are told at once, in the order of their lines.
func TestFaultsComeTogether(t *testing.T) {
	plan, err := blend.ReadPlan(strings.NewReader(`
[on_hand]
leaves = "14"
"grass clippings" = "5 barows"

[pile]
size = "5 kg"

[target]
moisture = 120
`), "bad.toml")
	require.NoError(t, err)
	_, err = plan.Problem(library(t))
	var lines []int
	for _, f := range faultsOf(err) {
		lines = append(lines, f.Line)
	}
	assert.Equal(t, []int{3, 4, 7, 10}, lines)
}

// The text of a fault names file, line, keys and problem.
func TestTextOfAFault(t *testing.T) {
	plan, err := blend.ReadPlan(strings.NewReader("[pile]\nsize = \"5 kg\"\n[on_hand]\nleaves = \"1 kg\""), "bad.toml")
	require.NoError(t, err)
	_, err = plan.Problem(library(t))
	assert.EqualError(t, err, "blend: bad.toml:2: pile, size: 5 kg is a weight, and a volume is wanted")

	set := blend.NewPlan("")
	set.Set("5 kg", "pile", "size")
	set.Set("1 kg", "on_hand", "leaves")
	_, err = set.Problem(library(t))
	assert.EqualError(t, err, "blend: pile, size: 5 kg is a weight, and a volume is wanted", "no file and no line where none was read")
}

// A fault of a value that was set does not point at the line it replaced.
func TestFaultOfASetValueHasNoLine(t *testing.T) {
	plan, err := blend.ReadPlan(strings.NewReader("[on_hand]\nleaves = \"14 sacks\""), "good.toml")
	require.NoError(t, err)
	plan.Set("14 saks", "on_hand", "leaves")
	_, err = plan.Problem(library(t))
	faults := faultsOf(err)
	require.Len(t, faults, 1)
	assert.Zero(t, faults[0].Line, "line 2 of the file is good")
}

// A slip in a feedstock's name is answered with names that are near.
func TestNearNamesOfFeedstocks(t *testing.T) {
	plan := blend.NewPlan("")
	plan.Set("1 kg", "on_hand", "gras clipings")
	_, err := plan.Problem(library(t))
	faults := faultsOf(err)
	require.Len(t, faults, 1)
	assert.True(t, strings.HasPrefix(faults[0].Hint, "did you mean grass clippings"), faults[0].Hint)
}

// A file is read up to a limit, and no further.
func TestPlanTooLong(t *testing.T) {
	_, err := blend.ReadPlan(strings.NewReader(strings.Repeat("# padding\n", 1<<17)), "long.toml")
	require.Error(t, err)
	assert.Regexp(t, `^blend: long\.toml: the file is over \d+ bytes$`, err.Error())
}

// FuzzPlan asks that no text whatever makes the package panic, and that a plan
// that is taken is answered.
func FuzzPlan(f *testing.F) {
	lib, err := feedstocks.Default()
	require.NoError(f, err)
	f.Add(wholePlan)
	f.Add("[on_hand]\nleaves = \"14 sacks\"\n\"grass clippings\" = \"5 barrows\"")
	f.Add("[pile]\nsize = \"1 m3\"\nprefer = \"cheapest\"\n[on_hand]\nleaves = { amount = \"14 sacks\", price = \"1 per sack\" }")
	f.Add("[on_hand]\n\"sheep manure\" = \"0 kg\"\nleaves = \"1 L\"\n[pile]\nlargest = \"1 m3\"")
	f.Add("[on_hand]\nurea = \"1e9 kg\"\n[feedstock.urea]\ncarbon = 0\nnitrogen = 46\nmoisture = 0")
	f.Add("[on_hand]\nx = { amount = \"1 g\", share_at_most = 1, at_least = \"1 g\" }\n[feedstock.x]\nnitrogen = 0.0001\ncarbon = 100\nmoisture = 99.999\nbulk_density = 3000\nash = 100\nlignin = 100")
	f.Add("[target]\nmoisture_range = [0, 99.9]\ncarbon_to_nitrogen_range = [0, 1e300]\n[on_hand]\nleaves = \"1000000000 t\"\nhay = \"0.001 mL\"")
	f.Add("a.b.c = [[[{}]]]\n[[on_hand]]\nleaves = 1\n[feedstock]\n\"\" = nan")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 4096 {
			t.Skip("long texts are slow and teach little")
		}
		plan, err := blend.ReadPlan(strings.NewReader(text), "fuzz.toml")
		if err != nil {
			return
		}
		_, _ = plan.Title(), plan.Measures()
		p, err := plan.Problem(lib)
		if err != nil {
			require.NotEmpty(t, faultsOf(err), "an error that is no fault of a plan: %v", err)
			return
		}
		judged, err := blend.Judge(p)
		require.NoError(t, err)
		_, _ = judged.Breaches(), judged.Cautions()
		// What the optimiser makes of numbers that nobody has is not asked
		// here; that it comes back without a panic is.
		if r, err := blend.Formulate(t.Context(), p); err == nil {
			_, _ = r.Breaches(), r.Cautions()
		}
	})
}
