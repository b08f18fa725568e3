package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"slices"

	"heapwright/blend"
	"heapwright/cmd/heapwright/internal/report"
	"heapwright/feedstocks"
)

// save adds a finding to the [feedstock] table of a material in a plan or a
// library file. Nothing is written unless the new file reads back as it should.
func save(file, material, source string, finding *feedstocks.Finding, lib *feedstocks.Library) (*report.Saved, error) {
	if file == "-" {
		return nil, &usageError{"--save wants a file, not standard output", "name one, as in --save plan.toml"}
	}
	text, isNew, err := readForChange(file)
	if err != nil {
		return nil, err
	}
	doc, err := feedstocks.ReadDocument(bytes.NewReader(text), file)
	if err != nil {
		return nil, err
	}
	figures := make([]feedstocks.Figure, len(finding.Figures))
	for i, f := range finding.Figures {
		if source != "" {
			f.Source = source
		}
		figures[i] = f
	}
	known, unknown := lib.Find(material)
	table := feedstocks.TableOf(doc.Root, material, func(name string) bool {
		f, err := lib.Find(name)
		return err == nil && unknown == nil && f == known
	})
	saved := &report.Saved{File: file, Table: table, NewFile: isNew, Figures: figures}
	if table == "" {
		saved.Table = material
		if unknown != nil {
			finding.Warnings = append(finding.Warnings, newMaterial(material, unknown))
		}
	}
	read := libraryReader(file)
	if isPlan(doc.Root) {
		read = planReader(file, lib)
		finding.Warnings = append(finding.Warnings, overridden(doc.Root, saved.Table, figures, lib)...)
	}
	if err := read.before(text); err != nil {
		return nil, err
	}
	changed, err := feedstocks.SetFigures(text, file, saved.Table, figures)
	if err != nil {
		return nil, err
	}
	return saved, writeBeside(file, changed, isNew, func(written []byte) error {
		f, err := read.after(written, saved.Table)
		if err != nil {
			return err
		}
		finding.Warnings = append(finding.Warnings, leftOver(f)...)
		return hasFigures(f, figures)
	})
}

// reader reads a file of one sort before and after a change.
type reader struct {
	before func(text []byte) error
	after  func(text []byte, name string) (*feedstocks.Feedstock, error)
}

// libraryReader reads a library file.
func libraryReader(file string) reader {
	read := func(text []byte) (*feedstocks.Library, error) {
		return feedstocks.Read(bytes.NewReader(text), file)
	}
	return reader{
		before: func(text []byte) error { _, err := read(text); return err },
		after: func(text []byte, name string) (*feedstocks.Feedstock, error) {
			own, err := read(text)
			if err != nil {
				return nil, err
			}
			return own.Find(name)
		},
	}
}

// planReader reads a plan. A plan may be unfinished for want of the very figure
// that was measured; one that was in order must stay so.
func planReader(file string, lib *feedstocks.Library) reader {
	inOrder := false
	problem := func(text []byte) error {
		plan, err := blend.ReadPlan(bytes.NewReader(text), file)
		if err == nil {
			_, err = plan.Problem(lib)
		}
		return err
	}
	return reader{
		before: func(text []byte) error { inOrder = problem(text) == nil; return nil },
		after: func(text []byte, name string) (*feedstocks.Feedstock, error) {
			if err := problem(text); err != nil && inOrder {
				return nil, err
			}
			doc, err := feedstocks.ReadDocument(bytes.NewReader(text), file)
			if err != nil {
				return nil, err
			}
			tables, _ := doc.Root["feedstock"].(map[string]any)
			var e feedstocks.Entry
			_ = e.UnmarshalTOML(tables[name]) // never fails
			f, err := e.Feedstock(name, file)
			return f, feedstocks.Locate(text, err)
		},
	}
}

// hasFigures checks what was read back.
func hasFigures(f *feedstocks.Feedstock, figures []feedstocks.Figure) error {
	for _, want := range figures {
		if got := f.Properties[want.Kind]; got != feedstocks.Saved(want) {
			return fmt.Errorf("%s reads back as %g instead of %g, so nothing is written", want.Kind.Label(), got.Typical, feedstocks.Saved(want).Typical)
		}
	}
	return nil
}

// leftOverShare is how far C:N may be from carbon / nitrogen of one table.
const leftOverShare = 0.02

// leftOver warns of an older figure that no longer goes with those saved.
func leftOver(f *feedstocks.Feedstock) []feedstocks.Warning {
	c, hasC := f.Typical(feedstocks.Carbon)
	n, hasN := f.Typical(feedstocks.Nitrogen)
	r, hasR := f.Typical(feedstocks.CarbonToNitrogen)
	if !hasC || !hasN || !hasR || n <= 0 || math.Abs(c/n-r) <= leftOverShare*r {
		return nil
	}
	return []feedstocks.Warning{{Key: "left-over", Text: fmt.Sprintf(
		"The table of %s now has carbon / nitrogen of %.3g beside a C:N of %.3g: take out the figure that is from an older test. Carbon and nitrogen go first.", f.Name, c/n, r)}}
}

// isPlan tells a plan from a library file by the tables that only a plan has.
func isPlan(root map[string]any) bool {
	for key := range root {
		if key != "feedstock" && key != "source" {
			return true
		}
	}
	return false
}

// overridden warns of figures that a lot of the plan gives for itself, which go
// before those of the material.
func overridden(root map[string]any, material string, figures []feedstocks.Figure, lib *feedstocks.Library) []feedstocks.Warning {
	same := func(name string) bool {
		a, errA := lib.Find(material)
		b, errB := lib.Find(name)
		return name == material || errA == nil && errB == nil && a == b
	}
	var out []feedstocks.Warning
	for _, table := range []string{"on_hand", "may_get"} {
		lots, _ := root[table].(map[string]any)
		for _, name := range slices.Sorted(maps.Keys(lots)) {
			lot, _ := lots[name].(map[string]any)
			is := name
			if other, ok := lot["feedstock"].(string); ok {
				is = other
			}
			if !same(is) {
				continue
			}
			for _, f := range figures {
				if _, own := lot[f.Kind.String()]; own {
					out = append(out, feedstocks.Warning{Key: "overridden", Text: fmt.Sprintf(
						"The plan gives %s of %s in [%s] too, and that goes first: take it out there for the new figure to count.", f.Kind.Label(), name, table)})
				}
			}
		}
	}
	return out
}

// newMaterial warns of a name that nothing is known by.
func newMaterial(name string, err error) feedstocks.Warning {
	text := fmt.Sprintf("Nothing is known as %s, so it is a new material with this figure alone.", name)
	if e, ok := errors.AsType[*feedstocks.UnknownError](err); ok && len(e.Near) > 0 {
		text += fmt.Sprintf(" If you meant %s, take the table out and save again.", e.Near[0])
	}
	return feedstocks.Warning{Key: "new-material", Text: text}
}

// readForChange reads a file that is to be changed; isNew says that there is
// none yet.
func readForChange(file string) (text []byte, isNew bool, err error) {
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		return nil, true, nil
	}
	f, err := openFile(file)
	if err != nil {
		return nil, false, err
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, false, &usageError{file + " is not an ordinary file", "name a plan or library file"}
	}
	doc, err := feedstocks.ReadDocument(f, file)
	if err != nil {
		return nil, false, err
	}
	return doc.Text, false, nil
}
