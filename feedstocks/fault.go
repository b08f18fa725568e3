package feedstocks

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"
)

// FaultError is one fault of a library file, or of a feedstock table in a plan.
// Fields that do not apply are empty.
type FaultError struct {
	File      string
	Feedstock string
	Property  string // the key inside the feedstock's table
	Line      int    // 1 for the first; 0 when not known
	Problem   string
	Hint      string

	path []string // keys that lead to the fault, for the line
}

func (e *FaultError) Error() string {
	var b strings.Builder
	b.WriteString("feedstocks: ")
	if e.File != "" {
		b.WriteString(e.File)
		if e.Line > 0 {
			fmt.Fprintf(&b, ":%d", e.Line)
		}
		b.WriteString(": ")
	} else if e.Line > 0 {
		fmt.Fprintf(&b, "line %d: ", e.Line)
	}
	if e.Feedstock != "" {
		fmt.Fprintf(&b, "%s: ", shorten(e.Feedstock))
	}
	if e.Property != "" {
		fmt.Fprintf(&b, "%s: ", shorten(e.Property))
	}
	b.WriteString(e.Problem)
	if e.Hint != "" {
		b.WriteString("; " + e.Hint)
	}
	return b.String()
}

// Faults lists the [*FaultError] values joined in err, in order.
func Faults(err error) []*FaultError {
	if err == nil {
		return nil
	}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []*FaultError
		for _, e := range joined.Unwrap() {
			all = append(all, Faults(e)...)
		}
		return all
	}
	if f, ok := errors.AsType[*FaultError](err); ok {
		return []*FaultError{f}
	}
	return nil
}

// Locate returns err with the line filled in for every [*FaultError] in it that
// has none, text being the TOML that they were found in. [Read] has done so
// already; it is for a caller who decodes [Entry] tables out of a larger file,
// where they stand under [feedstock."name"]. Other errors joined in err are
// kept as they are.
func Locate(text []byte, err error) error {
	if err == nil {
		return nil
	}
	at := newLocator(text)
	var locate func(error) error
	locate = func(err error) error {
		if joined, ok := err.(interface{ Unwrap() []error }); ok {
			var all []error
			for _, e := range joined.Unwrap() {
				all = append(all, locate(e))
			}
			return errors.Join(all...)
		}
		if f, ok := err.(*FaultError); ok && f.Line == 0 {
			c := *f
			c.Line = at.line(f.path)
			return &c
		}
		return err
	}
	return locate(err)
}

// locator finds the line of a key. The decoder tells positions only through
// the error of an Unmarshaler, so the locator decodes the value at the key
// into one that always fails.
type locator struct {
	md   toml.MetaData
	root map[string]toml.Primitive
}

func newLocator(text []byte) *locator {
	var at locator
	md, err := toml.Decode(string(text), &at.root)
	if err != nil {
		return &locator{}
	}
	at.md = md
	return &at
}

// line gives the line of the deepest key of path that has one. A table that is
// only there by the name of another, as x in [x.y], has the line of its first
// key. It is 0 when nothing is found.
func (at *locator) line(path []string) int {
	line, table := 0, at.root
	var value toml.Primitive
	for i, key := range path {
		v, ok := table[key]
		if !ok {
			if i == 0 {
				return 0
			}
			break
		}
		value = v
		line = cmp.Or(at.position(value), line)
		table = nil
		if at.md.PrimitiveDecode(value, &table) != nil {
			break
		}
	}
	return cmp.Or(line, at.firstBelow(value))
}

// position gives the line of one value, or 0.
func (at *locator) position(value toml.Primitive) int {
	p, _ := errors.AsType[toml.ParseError](at.md.PrimitiveDecode(value, new(alwaysFails)))
	return max(p.Position.Line, 0)
}

// firstBelow gives the first line among the keys of a table, or 0.
func (at *locator) firstBelow(value toml.Primitive) int {
	var table map[string]toml.Primitive
	if at.md.PrimitiveDecode(value, &table) != nil {
		return 0
	}
	first := 0
	for _, v := range table {
		if n := cmp.Or(at.position(v), at.firstBelow(v)); n > 0 && (first == 0 || n < first) {
			first = n
		}
	}
	return first
}

type alwaysFails struct{}

func (*alwaysFails) UnmarshalTOML(any) error { return errors.New("position") }
