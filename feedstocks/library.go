package feedstocks

import (
	"cmp"
	_ "embed"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
)

//go:embed library.toml
var builtIn string

// Library is a set of materials and the sources of their figures. It does not
// change once made.
type Library struct {
	byKey   map[string]*Feedstock // by nameKey of every name and alias
	all     []*Feedstock          // sorted by group, then name
	sources map[string]Source
}

// Default returns the built-in library. It parses the embedded file, so call
// it once and keep the result; an error means that the build is broken.
func Default() (*Library, error) {
	root, err := builtInRoot()
	if err == nil {
		d := libraryDecoder{file: "library.toml", strict: true, sources: make(map[string]Source)}
		l := d.library(root)
		if err = errors.Join(d.faults...); err == nil {
			return l, nil
		}
	}
	return nil, fmt.Errorf("feedstocks: built-in library: %w", err)
}

// builtInRoot decodes the embedded file. That takes most of the time of a short
// command, so it is taken apart between two materials and both parts are
// decoded at once.
func builtInRoot() (map[string]any, error) {
	middle := len(builtIn) / 2
	middle += strings.Index(builtIn[middle:], "\n[feedstock.") + 1
	var docs [2]*Document
	var errs [2]error
	var wg sync.WaitGroup
	for i, text := range []string{builtIn[:middle], builtIn[middle:]} {
		wg.Go(func() { docs[i], errs[i] = ReadDocument(strings.NewReader(text), "library.toml") })
	}
	wg.Wait()
	if err := errors.Join(errs[:]...); err != nil {
		return nil, err
	}
	root := docs[0].Root
	feedstocks, _ := root["feedstock"].(map[string]any)
	more, _ := docs[1].Root["feedstock"].(map[string]any)
	maps.Copy(feedstocks, more)
	return root, nil
}

func newLibrary(all []*Feedstock, sources map[string]Source) *Library {
	l := &Library{byKey: make(map[string]*Feedstock, 4*len(all)), all: all, sources: sources}
	slices.SortFunc(l.all, func(a, b *Feedstock) int {
		return cmp.Or(cmp.Compare(a.Group, b.Group), cmp.Compare(a.Name, b.Name))
	})
	return l
}

// Collect makes a library of materials that stand outside a library file,
// such as the tables of a plan. Where two have one name the later wins.
func Collect(all []*Feedstock) *Library {
	l := newLibrary(slices.Clone(all), nil)
	for _, f := range all {
		l.index(f)
	}
	return l
}

// index puts a material under its name and aliases, over what stood there.
func (l *Library) index(f *Feedstock) {
	for _, a := range f.Aliases {
		l.byKey[nameKey(a)] = f
	}
	l.byKey[nameKey(f.Name)] = f
}

// Find looks a material up by name or alias. Upper and lower case, spaces,
// hyphens and underscores, singular and plural make no difference. The error
// is an [*UnknownError] with names that are near. The result belongs to the
// library: do not change it.
func (l *Library) Find(name string) (*Feedstock, error) {
	if f, ok := l.byKey[nameKey(name)]; ok {
		return f, nil
	}
	e := &UnknownError{Name: name, Near: l.near(name), LeftOut: LeftOut(name)}
	if e.LeftOut != "" {
		e.Near = slices.DeleteFunc(e.Near, func(near string) bool { return !l.isSlip(name, near) })
	}
	return nil, e
}

// isSlip reports whether a name is a slip of the finger away from the name or
// an alias of a material.
func (l *Library) isSlip(name, of string) bool {
	f, ok := l.byKey[nameKey(of)]
	if !ok {
		return false
	}
	typed := clip(nameKey(name))
	return slices.ContainsFunc(append([]string{f.Name}, f.Aliases...), func(s string) bool {
		return editDistance(typed, clip(nameKey(s))) <= min(slipMost, len(typed)/4)
	})
}

// slipMost is the number of wrong letters up to which a name is mistyped rather
// than another one.
const slipMost = 2

// near suggests names of materials for one that is not known, looking among
// aliases too. Behind slips of the finger come those that can be used as they
// are, and then those that lack figures; where none of the best is usable, the
// next that is comes first.
func (l *Library) near(name string) []string {
	owner := make(map[string]string)
	var spellings []string
	for _, f := range l.all {
		for _, s := range append([]string{f.Name}, f.Aliases...) {
			owner[s] = f.Name
			spellings = append(spellings, s)
		}
	}
	var names []string
	for _, s := range rankNear(name, spellings) {
		if !slices.Contains(names, owner[s]) {
			names = append(names, owner[s])
		}
	}
	lacks := func(of string) bool {
		_, err := l.byKey[nameKey(of)].Composition()
		return err != nil
	}
	best := slices.Clone(names[:min(nearestMost, len(names))])
	if !slices.ContainsFunc(best, func(of string) bool { return !lacks(of) || l.isSlip(name, of) }) {
		for _, of := range names[len(best):] {
			if !lacks(of) {
				best = append([]string{of}, best[:len(best)-1]...)
				break
			}
		}
	}
	place := func(of string) int {
		switch {
		case l.isSlip(name, of):
			return 0
		case !lacks(of):
			return 1
		}
		return 2
	}
	slices.SortStableFunc(best, func(a, b string) int { return place(a) - place(b) })
	return best
}

// UnknownError is a name that is not in the library.
type UnknownError struct {
	Name string
	Near []string // names of materials that it may have meant; may be empty
	// LeftOut says why such a thing is usually left out of a pile; "" for none.
	LeftOut string
}

// Hint says what to do about it: what the name may have meant, or why the thing
// is usually left out and how to put it in all the same; "" for none.
func (e *UnknownError) Hint() string {
	hint := ""
	if len(e.Near) > 0 {
		hint = "did you mean " + strings.Join(e.Near, ", or ") + "?"
	}
	if e.LeftOut == "" {
		return hint
	}
	if hint != "" {
		hint += " If not: "
	}
	return hint + fmt.Sprintf("%s; local rules come first. Figures of your own may be given under [feedstock.%q]", e.LeftOut, shorten(e.Name))
}

func (e *UnknownError) Error() string {
	s := fmt.Sprintf("feedstocks: no material called %q", shorten(e.Name))
	if hint := didYouMean(e.Near); hint != "" {
		s += "; " + hint
	}
	if e.LeftOut != "" {
		s += "; " + e.LeftOut
	}
	return s
}

// All returns every material, sorted by group and then name. The slice is the
// caller's; the materials belong to the library.
func (l *Library) All() []*Feedstock { return slices.Clone(l.all) }

// Source returns the source with the given key.
func (l *Library) Source(key string) (Source, bool) {
	s, ok := l.sources[key]
	return s, ok
}

// Sources returns every source, sorted by key.
func (l *Library) Sources() []Source {
	return slices.SortedFunc(maps.Values(l.sources), func(a, b Source) int { return cmp.Compare(a.Key, b.Key) })
}

// Overlay returns a library of l with over laid on top: a material of over
// whose name l knows replaces it property by property, another is added, and
// cautions add up. Names and aliases of over win over those of l, and so do
// its sources. Neither library changes.
func (l *Library) Overlay(over *Library) *Library { return l.WithFeedstocks(over.sources, over.all...) }

// WithFeedstocks is [Library.Overlay] for single materials, such as those of a
// plan. The map gives the sources of their published figures by key; nil if
// they have none.
func (l *Library) WithFeedstocks(sources map[string]Source, over ...*Feedstock) *Library {
	merged := maps.Clone(l.sources)
	if merged == nil {
		merged = make(map[string]Source)
	}
	maps.Copy(merged, sources)
	all := slices.Clone(l.all)
	at := make(map[string]int, len(l.byKey)) // nameKey -> index in all
	for i, f := range all {
		for _, name := range append([]string{f.Name}, f.Aliases...) {
			if key := nameKey(name); l.byKey[key] == f {
				at[key] = i
			}
		}
	}
	var changed []int
	for _, o := range over {
		key := nameKey(o.Name)
		i, ok := at[key]
		if ok {
			all[i] = all[i].overlaid(o)
		} else {
			i = len(all)
			at[key] = i
			all = append(all, o.clone())
		}
		changed = append(changed, i)
	}
	last := make([]*Feedstock, 0, len(changed))
	for _, i := range changed {
		last = append(last, all[i])
	}
	byName := make(map[string]*Feedstock, len(all))
	for _, f := range all {
		byName[f.Name] = f
	}
	out := newLibrary(all, merged)
	maps.Copy(out.byKey, l.byKey)
	for key, f := range out.byKey {
		// What was found under a name of l is found there still, as changed.
		out.byKey[key] = byName[f.Name]
	}
	for _, f := range last {
		out.index(f)
	}
	return out
}
