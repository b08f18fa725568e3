package feedstocks

import (
	"maps"
	"slices"
)

// Feedstock is a composting material.
type Feedstock struct {
	// Name is the plain name people say, and the key: "leaves".
	Name string
	// Title is longer: "Autumn leaves, mixed, loose and dry".
	Title string
	// Aliases are other names that [Library.Find] knows the material by.
	Aliases []string
	// Group is a family of materials, such as "straw" or "manure".
	Group string
	// Everyday marks what most growers can get without looking far.
	Everyday bool
	// Cautions are keys out of [Cautions].
	Cautions []string
	// Note is a short remark on the material as a whole.
	Note string
	// Properties holds what is known; a property not there is not known.
	Properties map[Kind]Property

	// published keeps the library's figures that the user's own have
	// replaced. The carbon rule needs them: one measurement of a user must
	// not be multiplied with a published figure that belonged to another.
	published map[Kind]Property
}

// Typical returns the typical value of a property in the package's inner unit
// (fraction, kg/m3 or plain ratio), and whether it is known.
func (f *Feedstock) Typical(k Kind) (float64, bool) {
	p, ok := f.Properties[k]
	return p.Typical, ok
}

// With returns a copy of the material with one property replaced. The receiver
// is not changed. Where p is of standing [Yours] the copy remembers a published
// figure that p replaces, for the sake of the carbon rule.
func (f *Feedstock) With(k Kind, p Property) *Feedstock {
	c := f.clone()
	old, ok := c.Properties[k]
	switch {
	case p.Standing != Yours:
		delete(c.published, k)
	case ok && old.Standing != Yours:
		c.published[k] = old
	}
	c.Properties[k] = p
	return c
}

func (f *Feedstock) clone() *Feedstock {
	c := *f
	c.Aliases = slices.Clone(f.Aliases)
	c.Cautions = slices.Clone(f.Cautions)
	c.Properties = maps.Clone(f.Properties)
	if c.Properties == nil {
		c.Properties = make(map[Kind]Property)
	}
	c.published = maps.Clone(f.published)
	if c.published == nil {
		c.published = make(map[Kind]Property)
	}
	return &c
}

// overlaid returns f with what over says laid on top. Cautions add up: a
// user's table that names none must not silence those of the library.
func (f *Feedstock) overlaid(over *Feedstock) *Feedstock {
	c := f
	for _, k := range Kinds() {
		if p, ok := over.Properties[k]; ok {
			c = c.With(k, p)
		}
	}
	if c == f {
		c = f.clone()
	}
	if over.Title != "" {
		c.Title = over.Title
	}
	if over.Group != "" {
		c.Group = over.Group
	}
	c.Everyday = c.Everyday || over.Everyday
	if over.Note != "" {
		c.Note = over.Note
	}
	for _, a := range over.Aliases {
		if !slices.Contains(c.Aliases, a) {
			c.Aliases = append(c.Aliases, a)
		}
	}
	for _, a := range over.Cautions {
		if !slices.Contains(c.Cautions, a) {
			c.Cautions = append(c.Cautions, a)
		}
	}
	return c
}
