package page

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// awkward draws text with all that TOML gives a meaning to.
func awkward() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		parts := rapid.SliceOfN(rapid.OneOf(
			rapid.SampledFrom([]string{`"`, `'`, `\`, "\n", "\r\n", "\t", "#", "=", "[x]", "{", "}", ",", ".", `"""`, "'''", "\x01", "\x7f", "é", "листья", "葉", "🍂", "\u2028", "true", "nan", "1979-05-27", "a", "b", " "}),
			rapid.String(),
		), 1, 6).Draw(t, "parts")
		return strings.TrimSpace(strings.ReplaceAll(strings.ToValidUTF8(strings.Join(parts, ""), "?"), "\x00", ""))
	})
}

// TestSavedPlansAreTOML writes forms full of awkward text, and has the decoder
// read back what was typed (TOML 1.0, by github.com/BurntSushi/toml).
func TestSavedPlansAreTOML(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := awkward()
		f := &Form{Title: word.Draw(t, "title"), Size: word.Draw(t, "size"), Ratio: word.Draw(t, "ratio"), RatioLow: "1", RatioHigh: word.Filter(func(s string) bool { return s != "" }).Draw(t, "high")}
		names := rapid.SliceOfNDistinct(word.Filter(func(s string) bool { return s != "" }), 1, 5, rapid.ID[string]).Draw(t, "names")
		for _, name := range names {
			f.Lots = append(f.Lots, Lot{Name: name, Amount: word.Draw(t, "amount"), Is: word.Draw(t, "is"), Moist: word.Draw(t, "moist"), Price: word.Draw(t, "price")})
			f.Own = append(f.Own, Own{Name: name, Nitrogen: word.Draw(t, "nitrogen")})
		}
		text, err := f.Plan()
		if err != nil {
			t.Fatalf("refused: %v", err)
		}
		var root map[string]any
		if _, err := toml.Decode(text, &root); err != nil {
			t.Fatalf("not TOML: %v\n%s", err, text)
		}
		same := func(where string, typed string, got any) {
			if _, isNumber := plainNumber(typed); isNumber && where != "title" {
				return
			}
			if typed == "" && got == nil {
				return
			}
			if got != typed {
				t.Fatalf("%s: typed %q, saved %v", where, typed, got)
			}
		}
		same("title", f.Title, root["title"])
		if f.Size != "" {
			same("size", f.Size, root["pile"].(map[string]any)["size"])
		}
		lots, own := root["on_hand"].(map[string]any), root["feedstock"].(map[string]any)
		if len(lots) != len(names) || len(own) != len(names) {
			t.Fatalf("%d names, %d lots, %d materials", len(names), len(lots), len(own))
		}
		for i, l := range f.Lots {
			entry, isTable := lots[l.Name].(map[string]any)
			if !isTable {
				same("amount alone", l.Amount, lots[l.Name])
				continue
			}
			same("amount", l.Amount, entry["amount"])
			same("is", l.Is, entry["feedstock"])
			same("moisture", l.Moist, entry["moisture"])
			same("price", l.Price, entry["price"])
			same("nitrogen", f.Own[i].Nitrogen, own[l.Name].(map[string]any)["nitrogen"])
		}
	})
}

// sound draws a form that can be worked out.
func sound(lib *feedstocks.Library) *rapid.Generator[*Form] {
	var names []string
	for _, m := range lib.All() {
		c, err := m.Composition()
		if err == nil && c.DensityKgM3 > 0 {
			names = append(names, m.Name)
		}
	}
	return rapid.Custom(func(t *rapid.T) *Form {
		or := func(label string, values ...string) string { return rapid.SampledFrom(values).Draw(t, label) }
		f := &Form{
			Mode: or("mode", "mix", "check"), Units: or("units", "metric", "us"), Title: awkward().Draw(t, "title"),
			Ratio: or("ratio", "", "28", "30.5"), Moisture: or("moisture", "", "55", "52.5", "55 %"),
			Size: or("size", "", "1.5 m3", "800 L"), Water: or("water", "", "0 L", "120 L"), Largest: or("largest", "", "3 m3", "4 yd3"),
			Shrink: or("shrink", "", "0.15", "20 %"), Densest: or("densest", "", "900 kg/m3"), Air: or("air", "", "20", "15 %"),
			Preferred: or("prefer", "", "largest", "cheapest", "fewest"),
		}
		f.Whole = f.Mode == "mix" && rapid.Bool().Draw(t, "whole")
		if rapid.Bool().Draw(t, "ranges") {
			f.Ratio, f.RatioLow, f.RatioHigh = "30", or("low", "20", "25"), or("high", "35", "40.5")
			f.Moisture, f.MoistLow, f.MoistHigh = "55", or("moist low", "45", "50 %"), or("moist high", "60", "65")
		}
		vessel := awkward().Filter(func(s string) bool {
			_, err := feedstocks.DefaultMeasures().With(s, feedstocks.Quantity{Number: 1, Unit: feedstocks.Unit{Dimension: feedstocks.Volume, Factor: 0.1}})
			return err == nil && s != ""
		})
		if rapid.Bool().Draw(t, "vessel") {
			f.Measures = []Measure{{vessel.Draw(t, "vessel name"), "90 L"}}
		}
		lot := func(kind, name string) Lot {
			l := Lot{
				Name: name, Amount: or(kind+" amount", "14 sacks", "5 barrows", "1 1/2 m3", "2,5 bales", "300 kg", "½ t"),
				Moist: or(kind+" moist", "", "60", "45 %"), Price: or(kind+" price", "", "4.50 per sack"), Share: or(kind+" share", "", "90 %", "80"),
				Further: or(kind+" further", "", "ash = 9", `nitrogen = [1.0, 1.2, 1.5], carbon_to_nitrogen = 40.0`, "bulk_density = 300.5"),
			}
			return l
		}
		lots := rapid.SliceOfNDistinct(rapid.SampledFrom(names), 2, 5, rapid.ID[string]).Draw(t, "lots")
		for i, name := range lots {
			l := lot("lot", name)
			if i == 0 && rapid.Bool().Draw(t, "own name") {
				l.Name, l.Is = "pet name of it", name
			}
			f.Lots = append(f.Lots, l)
		}
		if rapid.Bool().Draw(t, "may get") {
			f.MayGet = append(f.MayGet, lot("get", rapid.SampledFrom(names).Draw(t, "get name")))
		}
		if rapid.Bool().Draw(t, "own") {
			name := awkward().Filter(func(s string) bool { _, err := lib.Find(s); return err != nil && s != "" }).Draw(t, "own material")
			f.Own = append(f.Own, Own{Name: name, Nitrogen: "3.1", Ratio: "14", Moist: or("own moist", "70", "70.5"), Density: "420 kg/m3", Further: or("own further", "", `source = "laboratory sheet, 3 November"`, "ash = 8, lignin = [3, 5]")})
			f.Lots = append(f.Lots, Lot{Name: name, Amount: "3 barrows"})
		}
		return f
	})
}

// TestSaveAndLoad saves random forms and loads them again: the same form.
func TestSaveAndLoad(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	refused, checked := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		f := sound(lib).Draw(t, "form")
		text, err := f.Plan()
		if err != nil {
			t.Fatalf("refused: %v", err)
		}
		checked++
		back, err := FormOf(text, "plan.toml", lib)
		if err != nil { // values that do not go together are the plan's to refuse
			refused++
			return
		}
		back.Mode, back.Units, back.Whole = f.Mode, f.Units, f.Whole
		if !sameForm(f, back) {
			t.Fatalf("saved\n%+v\nloaded\n%+v\n%s", f, back, text)
		}
		again, err := back.Plan()
		if err != nil || again != text {
			t.Fatalf("saved again (%v):\n%s\ninstead of\n%s", err, again, text)
		}
	})
	require.Less(t, refused*2, checked, "most forms were refused, so little was checked")
}

func sameForm(a, b *Form) bool {
	x, y := *a, *b
	ok := slices.Equal(x.Lots, y.Lots) && slices.Equal(x.MayGet, y.MayGet) && slices.Equal(x.Own, y.Own) && slices.Equal(x.Measures, y.Measures)
	for _, f := range []*Form{&x, &y} {
		f.Lots, f.MayGet, f.Own, f.Measures = nil, nil, nil, nil
	}
	return ok && x.Values().Encode() == y.Values().Encode()
}

// TestFormIsPosted holds the two ways of a form through the browser together.
func TestFormIsPosted(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		f := sound(lib).Draw(t, "form")
		back, err := ReadForm(f.Values())
		if err != nil || !sameForm(f, back) {
			t.Fatalf("%v: posted\n%+v\nread\n%+v", err, f, back)
		}
	})
}

// TestFormFaults names the control that each fault is about.
func TestFormFaults(t *testing.T) {
	s := newTestPage(t)
	lot := func(name, amount string) Lot { return Lot{Name: name, Amount: amount} }
	leaves := lot("leaves", "14 sacks")
	for _, c := range []struct {
		name    string
		f       Form
		control string
	}{
		{"one name twice", Form{Lots: []Lot{leaves, leaves}}, "lot-1-name"},
		{"an amount of nothing named", Form{Lots: []Lot{leaves, lot("", "2 sacks")}}, "lot-1-name"},
		{"a material without an amount", Form{Lots: []Lot{leaves, lot("straw", "")}}, "lot-1-amount"},
		{"a unit that is not known", Form{Lots: []Lot{lot("leaves", "14 sax")}}, "lot-0-amount"},
		{"a material that is not known", Form{Lots: []Lot{lot("leavse", "14 sacks")}}, "lot-0-name"},
		{"half a range", Form{Lots: []Lot{leaves}, RatioLow: "25"}, "ratio-high"},
		{"an aim that is no number", Form{Lots: []Lot{leaves}, Ratio: "thirty"}, "ratio"},
		{"a moisture over 100", Form{Lots: []Lot{leaves}, Moisture: "120"}, "moisture"},
		{"a size by weight", Form{Lots: []Lot{leaves}, Size: "3 kg"}, "size"},
		{"a preference that is none", Form{Lots: []Lot{leaves}, Preferred: "prettiest"}, "prefer"},
		{"a vessel without a size", Form{Lots: []Lot{leaves}, Measures: []Measure{{"crate", ""}}}, "measure-0-size"},
		{"further figures out of their table", Form{Lots: []Lot{{Name: "leaves", Amount: "14 sacks", Further: "ash = 3 }\n[pile]\nx = { y = 1"}}}, "lot-0-further"},
		{"further figures that close the table", Form{Lots: []Lot{{Name: "leaves", Amount: "14 sacks", Further: "ash = 3 } #"}}}, ""},
		{"a figure given twice", Form{Lots: []Lot{{Name: "leaves", Amount: "14 sacks", Moist: "40", Further: "moisture = 50"}}}, "lot-0-further"},
		{"a further figure that is none", Form{Lots: []Lot{{Name: "leaves", Amount: "14 sacks", Further: "weight = 3"}}}, "lot-0-further"},
		{"a figure of one's own that cannot be", Form{Lots: []Lot{leaves}, Own: []Own{{Name: "hop waste", Nitrogen: "300"}}}, "own-0-nitrogen"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := s.ask(t.Context(), &c.f)
			if c.control == "" { // what follows a # is a comment, and goes no further
				require.NoError(t, err)
				return
			}
			require.Error(t, err)
			all := troubles(err, &c.f)
			require.Equal(t, c.control, all[0].Control, "%v", all)
			require.NotEmpty(t, all[0].Problem)
			require.Equal(t, 422, statusOf(err))
		})
	}
}

func FuzzReadForm(f *testing.F) {
	f.Add(example().Values().Encode())
	f.Add("lot-name=a&lot-name=b&lot-further=x%3D1&own-name=%22&measure-size=1&ratio-low=nan&do=drop+lot+99999999999999999999")
	f.Add("title=%00%ff&shrink=1e999&lot-further=a.b.c%3D%7B%7D&lot-name=%0a")
	f.Fuzz(func(t *testing.T, body string) {
		v, err := url.ParseQuery(body)
		if err != nil {
			return
		}
		form, err := ReadForm(v)
		if err != nil {
			return
		}
		form.edit(v.Get("do"))
		text, err := form.Plan()
		if err != nil {
			return
		}
		if len(text) < 1<<18 {
			if _, err := feedstocks.ReadDocument(strings.NewReader(text), ""); err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
		}
	})
}

func TestEdit(t *testing.T) {
	f := example()
	require.Equal(t, "lot-3-name", f.edit("add lot"))
	require.Len(t, f.Lots, 4)
	require.Equal(t, "add-lot", f.edit("drop lot 1"))
	require.Equal(t, "straw", f.Lots[1].Name)
	for _, nothing := range []string{"", "add", "drop lot", "drop lot 9", "drop lot -1", "add roof", "sink lot 1"} {
		require.Empty(t, f.edit(nothing), nothing)
		require.Len(t, f.Lots, 3)
	}
	for range 2 * mostRows {
		f.edit("add own")
	}
	require.Len(t, f.Own, mostRows)
}

func TestFileName(t *testing.T) {
	for title, want := range map[string]string{
		"": "plan.toml", "Hedge-end bay, week 2": "hedge-end-bay-week-2.toml", `../../"x"` + "\r\n": "x.toml", "листья": "plan.toml",
		strings.Repeat("a", 200): strings.Repeat("a", 40) + ".toml",
	} {
		require.Equal(t, want, fileName(title))
	}
	for given, want := range map[string]string{"../../etc/passwd": "passwd", `C:\plans\bay.toml`: "bay.toml", "": "the file", "..": "..", "a\x00\nb": "ab"} {
		require.Equal(t, want, calledName(given))
	}
}

// FuzzFormOf turns plans that are in order into forms and back: the same
// problem, number for number.
func FuzzFormOf(f *testing.F) {
	lib, err := feedstocks.Default()
	if err != nil {
		f.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join("..", "..", "..", "..", "testdata", "plans", "*.toml"))
	if err != nil || len(files) == 0 {
		f.Fatal("no plans", err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Add("[pile]\nmixing_shrink = \"20\"\nair_at_least = \"3,5\"\n[on_hand]\nleaves = {amount = \"1 1/2 m3\", moisture = \"45\", nitrogen = [1, 1.5]}\n")
	f.Add("[target]\nmoisture = \"52,5 %\"\nmoisture_range = [\"45 %\", 60]\ncarbon_to_nitrogen = 3e1\n[on_hand.\"straw\"]\namount = \"2 bales\"\nfeedstock = \"straw\"\nbulk_density = 90\n[feedstock.straw]\nnitrogen = 0.7\nash = 6.5\naliases = [\"stubble\"]\n")
	f.Fuzz(func(t *testing.T, text string) {
		form, err := FormOf(text, "", lib)
		if err != nil {
			return
		}
		for _, l := range slices.Concat(form.Lots, form.MayGet) {
			if l.Name != strings.TrimSpace(l.Name) {
				return // the form takes spaces off the ends of names
			}
		}
		again, err := form.Plan()
		if err != nil {
			if _, ours := errors.AsType[*FormError](err); ours && strings.Contains(text, `""`) {
				return // a lot without a name, which the form does not take
			}
			t.Fatalf("%v\n%s", err, text)
		}
		want, got := problemOf(t, text, lib), problemOf(t, again, lib)
		if want != got {
			t.Fatalf("%s\nbecame\n%s\nand\n%s\nbecame\n%s", text, again, want, got)
		}
	})
}

// problemOf writes all the numbers of a plan.
func problemOf(t *testing.T, text string, lib *feedstocks.Library) string {
	plan, err := blend.ReadPlan(strings.NewReader(text), "")
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	p, err := plan.Problem(lib)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%q %v %v\n", strings.TrimSpace(plan.Title()), p.Target, p.Pile)
	for _, m := range slices.Concat(p.Materials, p.MayGet) {
		c := m.Composition
		fmt.Fprintln(&b, m.Name, m.Feedstock.Name, m.OnHandKg, m.OnHand, m.AtLeastKg, m.ShareAtMost, m.PricePerKg, c.Moisture, c.Carbon, c.Nitrogen, c.DensityKgM3, c.VolatileSolids)
	}
	return b.String()
}

// TestFormOfMoreThanItHolds: what is opened can be sent again, and a plan with
// a row too many is refused before its rows are looked up.
func TestFormOfMoreThanItHolds(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	rows := func(n int) string {
		var b strings.Builder
		b.WriteString("[on_hand]\n")
		for i := range n {
			fmt.Fprintf(&b, "\"leaves %d\" = { amount = \"1 sack\", feedstock = \"leaves\" }\n", i+1)
		}
		return b.String()
	}
	f, err := FormOf(rows(mostRows), "plan.toml", lib)
	require.NoError(t, err)
	_, err = ReadForm(f.Values())
	require.NoError(t, err)
	for _, plan := range []string{
		rows(mostRows + 1),
		strings.ReplaceAll(rows(mostRows+1), `"leaves"`, `"nothing known"`),
		"title = \"" + strings.Repeat("heap ", mostField/5+1) + "\"\n" + rows(1),
	} {
		_, err := FormOf(plan, "plan.toml", lib)
		_, ours := errors.AsType[*FormError](err)
		require.True(t, ours, "%v", err)
	}
}

// TestControlOfPosted: the fault of a row leads to its control.
func TestControlOfPosted(t *testing.T) {
	v := example().Values()
	v["lot-amount"][2] = strings.Repeat("9", mostField+1)
	_, err := ReadForm(v)
	fault, ok := errors.AsType[*FormError](err)
	require.True(t, ok)
	require.Equal(t, "lot-2-amount", fault.Control)
	d := &pageData{Trouble: troubles(fmt.Errorf("blend: stopped: %w", context.DeadlineExceeded), nil)}
	require.Contains(t, d.Trouble[0].Problem, "not worked out in 5 seconds")
}
