package feedstocks

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
)

// Read reads a library file. file names it in errors. The error joins one
// [*FaultError] for each fault that was found ([Faults] lists them); where the
// file is not TOML at all there is one.
//
// The file holds [source.KEY] tables (author, title, year, table, where, trust)
// and [feedstock."name"] tables (title, also, group, cautions, note, source,
// and the properties). A property is a number, [low, high], [low, typical,
// high], or { low, typical, high, source, standing, range_source,
// range_standing, note }. Numbers are per cent, C:N to one, or kg/m3; bulk
// density may be text with its unit. A number without standing is the user's.
func Read(r io.Reader, file string) (*Library, error) {
	doc, err := ReadDocument(r, file)
	if err != nil {
		return nil, err
	}
	d := libraryDecoder{file: file, sources: make(map[string]Source)}
	l := d.library(doc.Root)
	if len(d.faults) > 0 {
		return nil, inOrder(Locate(doc.Text, errors.Join(d.faults...)))
	}
	return l, nil
}

// inOrder sorts joined faults by line.
func inOrder(err error) error {
	faults := Faults(err)
	slices.SortStableFunc(faults, func(a, b *FaultError) int { return cmp.Compare(a.Line, b.Line) })
	all := make([]error, len(faults))
	for i, f := range faults {
		all[i] = f
	}
	return errors.Join(all...)
}

// libraryDecoder gathers the faults of one file.
type libraryDecoder struct {
	file    string
	strict  bool
	sources map[string]Source
	faults  []error
}

func (d *libraryDecoder) fault(path []string, problem, hint string) {
	d.faults = append(d.faults, &FaultError{File: d.file, Problem: problem, Hint: hint, path: path})
}

func (d *libraryDecoder) library(root map[string]any) *Library {
	for _, key := range slices.Sorted(maps.Keys(root)) {
		if key != "source" && key != "feedstock" {
			d.fault([]string{key}, fmt.Sprintf("%q is not a table of a library", shorten(key)),
				orElse(didYouMean(Nearest(key, []string{"source", "feedstock"})), "a library has source and feedstock tables"))
		}
	}
	for _, key := range d.keys(root, "source") {
		d.sources[key] = d.sourceTable(key, root["source"].(map[string]any)[key])
	}
	var all []*Feedstock
	owners := make(map[string]string) // nameKey -> name of the material that has it
	for _, name := range d.keys(root, "feedstock") {
		e := Entry{value: root["feedstock"].(map[string]any)[name]}
		f, err := e.decode(name, entryRules{file: d.file, strict: d.strict, sources: d.sources})
		if err != nil {
			for _, f := range Faults(err) {
				d.faults = append(d.faults, f)
			}
			continue
		}
		all = append(all, f)
	}
	// Names first: an alias must not hide a name that comes later.
	for _, f := range all {
		d.own(owners, f, f.Name, "")
	}
	for _, f := range all {
		for _, a := range f.Aliases {
			d.own(owners, f, a, "also")
		}
	}
	l := newLibrary(all, d.sources)
	for _, f := range all {
		l.index(f)
	}
	return l
}

func (d *libraryDecoder) own(owners map[string]string, f *Feedstock, name, property string) {
	key := nameKey(name)
	if other, taken := owners[key]; taken {
		path := []string{"feedstock", f.Name}
		if property != "" {
			path = append(path, property)
		}
		d.faults = append(d.faults, &FaultError{
			File: d.file, Feedstock: f.Name, Property: property, path: path,
			Problem: fmt.Sprintf("the name %q belongs to %s already", shorten(name), other),
			Hint:    "singular and plural, hyphens and spaces count as one name",
		})
		return
	}
	owners[key] = f.Name
}

// keys lists the tables under key, sorted.
func (d *libraryDecoder) keys(root map[string]any, key string) []string {
	v, ok := root[key]
	if !ok {
		return nil
	}
	table, ok := v.(map[string]any)
	if !ok {
		d.fault([]string{key}, fmt.Sprintf("%s is %s, not a set of tables", key, typeName(v)), "write ["+key+`."name"]`)
		return nil
	}
	return slices.Sorted(maps.Keys(table))
}

func (d *libraryDecoder) sourceTable(key string, v any) Source {
	s := Source{Key: key}
	path := []string{"source", key}
	table, ok := v.(map[string]any)
	if !ok {
		d.fault(path, fmt.Sprintf("source %q is %s, not a table", shorten(key), typeName(v)), "")
		return s
	}
	texts := map[string]*string{"author": &s.Author, "title": &s.Title, "table": &s.Table, "where": &s.Where, "trust": &s.Trust}
	for _, name := range slices.Sorted(maps.Keys(table)) {
		at := append(slices.Clone(path), name)
		label := fmt.Sprintf("source %q: %s", shorten(key), shorten(name))
		if into, ok := texts[name]; ok {
			text := entryDecoder{}
			*into = text.text(name, table[name])
			for _, err := range text.faults {
				f, _ := errors.AsType[*FaultError](err)
				d.fault(at, label+": "+f.Problem, f.Hint)
			}
			continue
		}
		if name != "year" {
			d.fault(at, label+" is not a key of a source", didYouMean(Nearest(name, append(slices.Collect(maps.Keys(texts)), "year"))))
			continue
		}
		year, ok := table[name].(int64)
		if !ok || year < 0 || year > 9999 {
			d.fault(at, label+": a year is a whole number, as in 1996", "")
			continue
		}
		s.Year = int(year)
	}
	return s
}
