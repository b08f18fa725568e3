package feedstocks_test

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/feedstocks"
)

func moisture(low, typical, high float64) feedstocks.Figure {
	return feedstocks.Figure{Kind: feedstocks.Moisture, Property: feedstocks.Property{
		Low: low, Typical: typical, High: high, Cite: feedstocks.Cite{Source: "oven", Standing: feedstocks.Yours},
	}}
}

// TestSetFiguresForms is one row for each way in which a material can stand in
// a file; [[ and ]] mark what is to change.
func TestSetFiguresForms(t *testing.T) {
	const value = `{ low = 58, typical = 60, high = 62, source = "oven" }`
	for name, test := range map[string]struct{ before, after string }{
		"new file":       {"", "[feedstock.\"hop waste\"]\nmoisture = " + value + "\n"},
		"missing table":  {"[on_hand]\nleaves = \"1 sack\" # few\n", "[on_hand]\nleaves = \"1 sack\" # few\n\n[feedstock.\"hop waste\"]\nmoisture = " + value + "\n"},
		"no line end":    {"title = 'x' # end", "title = 'x' # end\n\n[feedstock.\"hop waste\"]\nmoisture = " + value + "\n"},
		"blank line":     {"title = 'x'\n\n", "title = 'x'\n\n[feedstock.\"hop waste\"]\nmoisture = " + value + "\n"},
		"carriage":       {"title = 'x'\r\n", "title = 'x'\r\n\r\n[feedstock.\"hop waste\"]\r\nmoisture = " + value + "\r\n"},
		"byte order":     {"\ufefftitle = 'x'\n", "\ufefftitle = 'x'\n\n[feedstock.\"hop waste\"]\nmoisture = " + value + "\n"},
		"replaced":       {"[feedstock.'hop waste']\n  moisture=70#damp\nash = 3\n", "[feedstock.'hop waste']\n  moisture=" + value + "#damp\nash = 3\n"},
		"replaced text":  {"[feedstock.'hop waste']\nmoisture = \"70 % \\\" #\" # damp\n", "[feedstock.'hop waste']\nmoisture = " + value + " # damp\n"},
		"replaced list":  {"[feedstock.'hop waste']\nmoisture = [\n 60,\n 70 ] # damp\n", "[feedstock.'hop waste']\nmoisture = " + value + " # damp\n"},
		"replaced table": {"[feedstock.'hop waste']\nmoisture = { typical = 3 , note = '}' } # damp\n", "[feedstock.'hop waste']\nmoisture = " + value + " # damp\n"},
		"added":          {"[feedstock.'hop waste']\n  ash = 3 # grey\n# on\n\n[pile]\nsize = '1 m3'\n", "[feedstock.'hop waste']\n  ash = 3 # grey\n  moisture = " + value + "\n# on\n\n[pile]\nsize = '1 m3'\n"},
		"added, bare":    {"[feedstock.'hop waste'] # mine\n[pile]\n", "[feedstock.'hop waste'] # mine\nmoisture = " + value + "\n[pile]\n"},
		"added, carriage": {"[feedstock.'hop waste']\r\nash = 3\r\n[pile]\r\n",
			"[feedstock.'hop waste']\r\nash = 3\r\nmoisture = " + value + "\r\n[pile]\r\n"},
		"added, no end":    {"[feedstock.'hop waste']\nash = 3", "[feedstock.'hop waste']\nash = 3\nmoisture = " + value},
		"inline, replaced": {"[feedstock]\n'hop waste' = { moisture = 70, ash = 3 } # x\n", "[feedstock]\n'hop waste' = { moisture = " + value + ", ash = 3 } # x\n"},
		"inline, added":    {"[feedstock]\n'hop waste' = { ash = 3 } # x\n", "[feedstock]\n'hop waste' = { ash = 3, moisture = " + value + " } # x\n"},
		"inline, empty":    {"[feedstock]\n'hop waste' = {} # x\n", "[feedstock]\n'hop waste' = { moisture = " + value + " } # x\n"},
		"inline, all":      {"feedstock = { leaves = { ash = 3 } } # x\n", "feedstock = { leaves = { ash = 3 }, \"hop waste\" = { moisture = " + value + " } } # x\n"},
		"inline, lines":    {"feedstock.'hop waste' = {\n  ash = 3, # grey\n}\n", "feedstock.'hop waste' = {\n  ash = 3, moisture = " + value + ", # grey\n}\n"},
		"dotted, replaced": {"feedstock.\"hop\\u0020waste\".moisture = 70 # x\n", "feedstock.\"hop\\u0020waste\".moisture = " + value + " # x\n"},
		"dotted, added":    {"[feedstock]\n'hop waste'.ash = 3 # x\nleaves.ash = 4\n", "[feedstock]\n'hop waste'.ash = 3 # x\n\"hop waste\".moisture = " + value + "\nleaves.ash = 4\n"},
		"beside a table of a figure": {"[feedstock.'hop waste'.ash]\ntypical = 3\n",
			"[feedstock.'hop waste'.ash]\ntypical = 3\n\n[feedstock.\"hop waste\"]\nmoisture = " + value + "\n"},
		"a name that only looks like it": {"note = \"\"\"\n[feedstock.'hop waste']\nmoisture = 70\n\"\"\"\n",
			"note = \"\"\"\n[feedstock.'hop waste']\nmoisture = 70\n\"\"\"\n\n[feedstock.\"hop waste\"]\nmoisture = " + value + "\n"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := feedstocks.SetFigures([]byte(test.before), "f.toml", "hop waste", []feedstocks.Figure{moisture(0.58, 0.6, 0.62)})
			require.NoError(t, err)
			assert.Equal(t, test.after, string(got))
			again, err := feedstocks.SetFigures(got, "f.toml", "hop waste", []feedstocks.Figure{moisture(0.58, 0.6, 0.62)})
			require.NoError(t, err)
			assert.Equal(t, string(got), string(again), "saving twice is saving once")
		})
	}
}

func TestSetFiguresRefuses(t *testing.T) {
	good := moisture(0.58, 0.6, 0.62)
	for name, test := range map[string]struct {
		text, material string
		figure         feedstocks.Figure
		line           int
		says           string
	}{
		"not TOML":            {"moisture =", "leaves", good, 1, "TOML"},
		"a table of its own":  {"\n[feedstock.leaves.moisture]\ntypical = 3\n", "leaves", good, 2, "a table of its own"},
		"dotted":              {"[feedstock.leaves]\nmoisture.typical = 3\n", "leaves", good, 2, "dotted keys"},
		"comments inside":     {"[feedstock.leaves]\nash = 3\nmoisture = [ 50, # low\n 60 ]\n", "leaves", good, 3, "comments inside"},
		"inline dotted":       {"feedstock = { leaves.ash = 3 }\n", "leaves", good, 1, "dotted keys of an inline table"},
		"feedstock a number":  {"feedstock = 3\n", "leaves", good, 1, "not a set of tables"},
		"material a number":   {"[feedstock]\nleaves = 3\n", "leaves", good, 2, "a feedstock is a table"},
		"an array of tables":  {"[[feedstock]]\nname = 'x'\n", "leaves", good, 1, "not a set of tables"},
		"an array of a name":  {"[[feedstock.leaves]]\nash = 3\n", "leaves", good, 1, "a feedstock is a table"},
		"no name":             {"", " ", good, 0, "needs a name"},
		"upside down":         {"", "leaves", moisture(0.7, 0.6, 0.62), 0, "cannot be written"},
		"nan":                 {"", "leaves", moisture(math.NaN(), 0.6, 0.62), 0, "cannot be written"},
		"over the whole":      {"", "leaves", moisture(0.5, 0.6, 1.62), 0, "cannot be written"},
		"control in the name": {"", "le\x01aves", good, 0, "control characters"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := feedstocks.SetFigures([]byte(test.text), "f.toml", test.material, []feedstocks.Figure{test.figure})
			assert.Nil(t, got)
			faults := feedstocks.Faults(err)
			require.Len(t, faults, 1, "%v", err)
			assert.Equal(t, test.line, faults[0].Line)
			assert.Contains(t, faults[0].Error(), test.says)
		})
	}
}

func TestRounded(t *testing.T) {
	for v, want := range map[float64]float64{599.1321: 599.1, 61.9: 61.9, 0.240149: 0.2401, 12345: 12350, 0: 0, -3.14159: -3.142, 1e-7 / 3: 3.333e-8} {
		assert.Equal(t, want, feedstocks.Rounded(v))
	}
}

func TestTableOf(t *testing.T) {
	var root map[string]any
	_, err := toml.Decode("[feedstock.Leaf]\nalso = ['Beech mast']\n[feedstock.'autumn leaves']\n", &root)
	require.NoError(t, err)
	never := func(string) bool { return false }
	assert.Equal(t, "Leaf", feedstocks.TableOf(root, "leaves", never))
	assert.Equal(t, "Leaf", feedstocks.TableOf(root, "beech-mast", never))
	assert.Equal(t, "autumn leaves", feedstocks.TableOf(root, "Autumn-Leaf", never))
	assert.Equal(t, "autumn leaves", feedstocks.TableOf(root, "fall leaves", func(s string) bool { return s == "autumn leaves" }))
	assert.Empty(t, feedstocks.TableOf(root, "straw", never))
	assert.Empty(t, feedstocks.TableOf(nil, "straw", never))
}

// planWriter writes random plans that are valid TOML, every comment with a
// number of its own.
type planWriter struct {
	t       *rapid.T
	out     strings.Builder
	br      string
	comment int
	have    []string
	inline  []string
}

func (w *planWriter) pick(label string, of ...string) string {
	return rapid.SampledFrom(of).Draw(w.t, label)
}

func (w *planWriter) trail() string {
	if !rapid.Bool().Draw(w.t, "comment") {
		return ""
	}
	w.comment++
	return fmt.Sprintf("%s# c%d %s", w.pick("gap", " ", "\t", ""), w.comment, w.pick("said", "", "moisture = 3", "[feedstock.leaves]", "'\"", "ü {"))
}

func (w *planWriter) line(format string, v ...any) {
	for range rapid.IntRange(0, 1).Draw(w.t, "above") {
		w.out.WriteString(w.pick("filler", "", "  ", "\t") + strings.TrimLeft(w.trail(), " \t") + w.br)
	}
	fmt.Fprintf(&w.out, format, v...)
	w.out.WriteString(w.trail() + w.br)
}

func (w *planWriter) figure() string {
	return w.pick("figure", "70", "[60, 70]", "[60, 65, 70]", "'70 %'", "\"70\"", "{ typical = 70 }", "{low=60,typical=65,high=70,note='a } b, # c'}", "[\n 60,\n 70 ]", "7.0e1", `"""70"""`)
}

func (w *planWriter) properties() []string {
	return rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"moisture", "ash", "nitrogen", "lignin"}), 0, 4, rapid.ID[string]).Draw(w.t, "properties")
}

func (w *planWriter) key(name string) string {
	if strings.ContainsAny(name, " \"") {
		return w.pick("quote", "'"+name+"'", fmt.Sprintf("%q", name))
	}
	return w.pick("quote", name, "'"+name+"'", fmt.Sprintf("%q", name))
}

// material writes one feedstock table in a form of its own.
func (w *planWriter) material(name, form string) {
	k := w.key(name)
	switch form {
	case "table":
		w.line("[%sfeedstock . %s]", w.pick("in", "", " "), k)
		if rapid.Bool().Draw(w.t, "titled") {
			w.line("title = '[x] = # %s'", name)
		}
		for _, p := range w.properties() {
			w.line("%s%s%s=%s%s", w.pick("indent", "", "  ", "\t"), w.key(p), w.pick("eq", "", " "), w.pick("eq", "", " "), w.figure())
		}
	case "inline":
		w.inline = append(w.inline, name)
		var pairs []string
		for _, p := range w.properties() {
			pairs = append(pairs, w.key(p)+" = "+w.figure())
		}
		w.line("feedstock.%s = { %s }", k, strings.Join(pairs, w.pick("comma", ", ", ",", " , ")))
	}
}

var commentOf = regexp.MustCompile(`# c\d+ [^\r\n]*`)

// TestSetFiguresKeepsTheRest saves figures into random plans: the new text is
// the old one but for one stretch for each figure, it holds every comment in
// its order, and it decodes to the same but for the figure. The decoding here is
// not that of the code under test.
func TestSetFiguresKeepsTheRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := &planWriter{t: t, br: rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "line end")}
		names := []string{"leaves", "hop waste", `6" pots`}
		w.line("title = %s", w.pick("title", "'a'", `"b \" # c"`, "'''c\n[feedstock.leaves]\nmoisture = 2'''"))
		// Dotted keys of the root stand above the first table.
		forms := []string{"inline", "table"}
		for _, form := range forms {
			for _, name := range rapid.Permutation(names).Draw(t, "order")[:rapid.IntRange(0, 2).Draw(t, "materials")] {
				if !slices.Contains(w.have, name) {
					w.have = append(w.have, name)
					w.material(name, form)
				}
			}
		}
		w.line("[on_hand]")
		w.line("leaves = '14 sacks'")
		w.line("'hop waste' = { amount = '60 kg', moisture = 50 }")
		text := w.out.String()
		if rapid.Bool().Draw(t, "no line end") {
			text = strings.TrimSuffix(text, w.br)
		}
		var before map[string]any
		if _, err := toml.Decode(text, &before); err != nil {
			t.Fatalf("the test wrote no TOML: %v\n%s", err, text)
		}
		name := rapid.SampledFrom(append(names, "nettles")).Draw(t, "name")
		kind := rapid.SampledFrom([]feedstocks.Kind{feedstocks.Moisture, feedstocks.Ash, feedstocks.Nitrogen, feedstocks.BulkDensity}).Draw(t, "kind")
		typical := rapid.Float64Range(0.01, 0.9).Draw(t, "typical")
		figure := feedstocks.Figure{Kind: kind, Property: feedstocks.Measured(typical)}
		figure.Source = rapid.SampledFrom([]string{"", "oven", `a "b" \ c`}).Draw(t, "source")
		figure.Low, figure.High = typical*0.9, typical*1.1

		got, err := feedstocks.SetFigures([]byte(text), "plan.toml", name, []feedstocks.Figure{figure})
		require.NoError(t, err, "%s", text)

		oneStretch(t, text, string(got))
		assert.Equal(t, commentOf.FindAllString(text, -1), commentOf.FindAllString(string(got), -1))

		old, _ := before["feedstock"].(map[string]any)
		oldEntry, had := old[name].(map[string]any)
		was, replaced := oldEntry[kind.String()]
		if !replaced && !slices.Contains(w.inline, name) {
			linesKept(t, text, string(got))
		}

		var after map[string]any
		_, err = toml.Decode(string(got), &after)
		require.NoError(t, err)
		tables := after["feedstock"].(map[string]any)
		entry := tables[name].(map[string]any)
		found := entry[kind.String()].(map[string]any)
		per := 100.0
		if kind == feedstocks.BulkDensity {
			per = 1
		}
		assert.InEpsilon(t, per*typical, number(found["typical"]), 0.0005)
		assert.InEpsilon(t, per*figure.High, number(found["high"]), 0.0005)
		if figure.Source != "" {
			assert.Equal(t, figure.Source, found["source"])
		}
		// Put back what was there, and both are the same.
		switch {
		case !had:
			delete(tables, name)
			if old == nil {
				delete(after, "feedstock")
			}
		case replaced:
			entry[kind.String()] = was
		default:
			delete(entry, kind.String())
		}
		assert.Equal(t, before, after)
	})
}

func number(v any) float64 {
	switch v := v.(type) {
	case int64:
		return float64(v)
	case float64:
		return v
	}
	return math.NaN()
}

// linesKept checks that every line of a is a line of b, in the same order.
func linesKept(t require.TestingT, a, b string) {
	have := strings.Split(strings.ReplaceAll(b, "\r", ""), "\n")
	for line := range strings.SplitSeq(strings.ReplaceAll(a, "\r", ""), "\n") {
		i := slices.Index(have, line)
		if !assert.GreaterOrEqual(t, i, 0, "the line %q is not what it was", line) {
			return
		}
		have = have[i+1:]
	}
}

// oneStretch checks that b is a but for one stretch, without comments in what
// went.
func oneStretch(t require.TestingT, a, b string) {
	head := 0
	for head < min(len(a), len(b)) && a[head] == b[head] {
		head++
	}
	tail := 0
	for tail < min(len(a), len(b))-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	gone := a[head : len(a)-tail]
	assert.NotRegexp(t, `# c\d+`, gone, "a comment went")
	assert.LessOrEqual(t, len(gone), len("{low=60,typical=65,high=70,note='a } b, # c'}"), "no more went than one figure: %q", gone)
}

func FuzzSetFigures(f *testing.F) {
	for _, text := range []string{
		"", "title = 'x' # y", "[feedstock.leaves]\nmoisture = 3 # c\n", "[feedstock]\nleaves = { ash = 3 }\n", "feedstock.leaves.ash = 3\r\n",
		"feedstock = {}\n", "[feedstock.leaves.ash]\ntypical = 3\n", "[[x]]\ny = [ { a = 1 }, # c\n { b = '''x''' } ]\n", "\ufeff[feedstock.'le\u00e4ves']\n",
		"x = 1979-05-27 07:32:00Z\n", "[feedstock.leaves]\nmoisture = [1, # c\n2]\n", "x = nan\n'' = 1\n", "x = \"\"\"a\\\"\"\"\"\"\n",
	} {
		f.Add([]byte(text), "leaves", byte(3), 0.6)
	}
	f.Fuzz(func(t *testing.T, text []byte, name string, kind byte, typical float64) {
		figure := feedstocks.Figure{Kind: feedstocks.Kind(kind % 9), Property: feedstocks.Measured(typical)}
		kept := bytes.Clone(text)
		got, err := feedstocks.SetFigures(text, "f.toml", name, []feedstocks.Figure{figure})
		assert.Equal(t, kept, text, "the text given stays as it is")
		if err != nil {
			assert.Nil(t, got)
			return
		}
		var before, after map[string]any
		_, err = toml.Decode(string(text), &before)
		require.NoError(t, err)
		_, err = toml.Decode(string(got), &after)
		require.NoError(t, err)
		tables := after["feedstock"].(map[string]any)
		entry := tables[name].(map[string]any)
		require.Contains(t, entry, figure.Kind.String())
		delete(entry, figure.Kind.String())
		old, _ := before["feedstock"].(map[string]any)
		oldEntry, had := old[name].(map[string]any)
		delete(oldEntry, figure.Kind.String())
		if !had {
			delete(tables, name)
			if old == nil {
				delete(after, "feedstock")
			}
		}
		// Printed, because nan is not equal to itself.
		assert.Equal(t, fmt.Sprint(before), fmt.Sprint(after))
	})
}
