package feedstocks

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
)

// SetFigures writes figures into the [feedstock."name"] table of a TOML text, a
// library file or a plan, and returns the new text. Every byte that is not of a
// figure set stays as it is: comments, order, line ends. A figure that is there
// is replaced where it stands; one that is not goes behind the others of its
// table; a missing table goes to the end of the text. Both may be in an inline
// table. name must be the table's own if it is there (see [TableOf]); file
// names the text in errors.
//
// A figure is written as { low, typical, high, shape, source }, in per cent, kg/m3 or
// to one, rounded by [Rounded]. The new text is decoded and held against the
// old: it must say the same but for the figures. The error joins [*FaultError]
// values, and the old text is then to be kept.
func SetFigures(text []byte, file, name string, figures []Figure) ([]byte, error) {
	before, err := ReadDocument(bytes.NewReader(text), file)
	if err != nil {
		return nil, err
	}
	fail := func(line int, problem, hint string) ([]byte, error) {
		return nil, &FaultError{File: file, Line: line, Feedstock: name, Problem: problem, Hint: hint}
	}
	if problem := badName(name); problem != "" {
		return fail(0, problem, "")
	}
	table, _ := before.Root["feedstock"].(map[string]any)
	if v, there := before.Root["feedstock"]; there && table == nil {
		return fail(LinesOf(text).Of("feedstock"), "feedstock is "+typeName(v)+", not a set of tables", "write [feedstock.\"name\"]")
	}
	if v, there := table[name]; there {
		if _, ok := v.(map[string]any); !ok {
			return fail(LinesOf(text).Of("feedstock", name), "a feedstock is a table, not "+typeName(v), "")
		}
	}
	for _, f := range figures {
		if !savable(f) {
			return fail(0, fmt.Sprintf("%s of %g (%g to %g) cannot be written", f.Kind.Label(), f.Typical, f.Low, f.High), "")
		}
		next, line, problem := setFigure(text, name, f)
		if problem != "" {
			return fail(line, f.Kind.String()+": "+problem, "put the figure on one line, as in "+f.Kind.String()+" = 50, and try again")
		}
		text = next
	}
	after, err := ReadDocument(bytes.NewReader(text), file)
	if err != nil {
		return nil, fmt.Errorf("feedstocks: the new text cannot be read back, so nothing is written: %w", err)
	}
	if problem := differs(before.Root, after.Root, name, figures); problem != "" {
		return fail(0, "this file is laid out in a way that cannot be changed safely ("+problem+"), so nothing is written",
			"give the material a table of its own, [feedstock."+quoted(name)+"]")
	}
	return text, nil
}

// savable says whether low, typical and high are in order and within what a
// file may say.
func savable(f Figure) bool {
	for _, v := range []float64{f.Low, f.Typical, f.High} {
		if _, problem, _ := kindValue(f.Kind, fileNumber(f.Kind, v)); problem != "" {
			return false
		}
	}
	return f.Low <= f.Typical && f.Typical <= f.High
}

// Saved gives the property as [SetFigures] writes it: rounded.
func Saved(f Figure) Property {
	inner := func(v float64) float64 {
		v = fileNumber(f.Kind, v)
		if f.Kind.Percent() {
			v /= 100
		}
		return v
	}
	p := Property{Low: inner(f.Low), Typical: inner(f.Typical), High: inner(f.High), Cite: f.Cite}
	if f.HasRange() {
		p.Shape = f.Shape
	}
	return p
}

// fileNumber is a figure in the unit of files, rounded.
func fileNumber(k Kind, v float64) float64 {
	if k.Percent() {
		v *= 100
	}
	return Rounded(v)
}

// figureText is a figure as it stands in a file.
func figureText(f Figure) string {
	var b strings.Builder
	b.WriteString("{ ")
	if f.HasRange() {
		fmt.Fprintf(&b, "low = %s, ", formatNumber(fileNumber(f.Kind, f.Low)))
	}
	fmt.Fprintf(&b, "typical = %s", formatNumber(fileNumber(f.Kind, f.Typical)))
	if f.HasRange() {
		fmt.Fprintf(&b, ", high = %s", formatNumber(fileNumber(f.Kind, f.High)))
		if f.Shape != "" {
			fmt.Fprintf(&b, ", shape = %s", quoted(f.Shape))
		}
	}
	if f.Source != "" {
		fmt.Fprintf(&b, ", source = %s", quoted(f.Source))
	}
	b.WriteString(" }")
	return b.String()
}

// quoted writes text as a TOML string. Control characters are left out; a
// reader of these files refuses them.
func quoted(text string) string {
	text = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == unicode.ReplacementChar {
			return -1
		}
		return r
	}, text)
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(text) + `"`
}

// quotedKey writes a key, bare where it can be.
func quotedKey(key string) string {
	bare := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_'
	}
	if key == "" || strings.ContainsFunc(key, func(r rune) bool { return !bare(r) }) {
		return quoted(key)
	}
	return key
}
