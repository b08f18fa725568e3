package blend

import (
	"errors"
	"fmt"
	"slices"

	"heapwright/feedstocks"
)

// Sheet reads a file that is laid out like a plan and holds more than one: it
// opens its tables, turns their words into numbers, and gathers the faults
// with their lines. Every method that finds a fault notes it and gives the
// zero value; [Sheet.Err] has them all.
type Sheet struct {
	read     *reading
	measures feedstocks.Measures
	library  *feedstocks.Library
}

// Sheet opens the plan as a sheet, with its [measures], and its own
// [feedstock] tables laid over lib.
func (p *Plan) Sheet(lib *feedstocks.Library) *Sheet {
	r := &reading{plan: p, lines: feedstocks.LinesOf(p.text)}
	s := &Sheet{read: r, measures: r.measures(r.top().table("measures"))}
	s.library = r.own(r.top().table("feedstock"), lib)
	return s
}

// Measures are the vessels that quantities are read with.
func (s *Sheet) Measures() feedstocks.Measures { return s.measures }

// Library is that of the sheet, its own feedstocks included.
func (s *Sheet) Library() *feedstocks.Library { return s.library }

// Top is the table of the whole file.
func (s *Sheet) Top() SheetTable { return SheetTable{s.read.top(), s} }

// Err joins one *[PlanError] for each fault found so far, in the order of the
// file; nil for none.
func (s *Sheet) Err() error {
	faults := slices.Clone(s.read.faults)
	slices.SortStableFunc(faults, func(a, b error) int { return a.(*PlanError).Line - b.(*PlanError).Line })
	return errors.Join(faults...)
}

// SheetTable is one table of a sheet; one that is not there is empty.
type SheetTable struct {
	table
	sheet *Sheet
}

// Table opens the table at key.
func (t SheetTable) Table(key string) SheetTable { return SheetTable{t.table.table(key), t.sheet} }

// Keys lists the keys as they were written.
func (t SheetTable) Keys() []string { return t.keys() }

// Only refuses keys that are not among the known.
func (t SheetTable) Only(known ...string) { t.only(known...) }

// Has reports whether the key is there.
func (t SheetTable) Has(key string) bool {
	_, ok := t.values[key]
	return ok
}

// Value is what stands at key, of the kinds that TOML has; nil when it is not
// there.
func (t SheetTable) Value(key string) any { return t.values[key] }

// With returns the table with a value at key, for a word that stands for a
// table with that one key.
func (t SheetTable) With(key string, value any) SheetTable {
	values := map[string]any{key: value}
	for k, v := range t.values {
		if k != key {
			values[k] = v
		}
	}
	t.values = values
	return t
}

// Text reads a string; "" when it is not there.
func (t SheetTable) Text(key string) string { return t.text(key) }

// Number reads a plain number.
func (t SheetTable) Number(key string) (float64, bool) { return t.number(key) }

// Share reads a percentage into a fraction.
func (t SheetTable) Share(key string) (float64, bool) { return t.percent(key) }

// Quantity reads a quantity of any unit.
func (t SheetTable) Quantity(key string) (feedstocks.Quantity, bool) {
	return t.quantity(key, t.sheet.measures)
}

// VolumeM3 reads a volume; 0 when it is not there.
func (t SheetTable) VolumeM3(key string) float64 { return t.volume(key, t.sheet.measures) }

// Target reads a target from the table, on top of the usual one.
func (t SheetTable) Target() Target { return t.read.target(t.table) }

// Kg reads a quantity into kg through the bulk density of a material.
func (t SheetTable) Kg(key string, m Material) (feedstocks.Quantity, float64) {
	return t.read.kg(t.table, key, m, t.sheet.measures)
}

// Price reads a price into money a kg.
func (t SheetTable) Price(key string, m Material) (float64, bool) {
	text := t.text(key)
	if text == "" {
		return 0, false
	}
	price, err := t.sheet.measures.ParsePrice(text)
	if err != nil {
		t.read.refuse(t.at(key), err)
		return 0, false
	}
	one := feedstocks.Quantity{Number: 1, Unit: price.Per}
	kg, err := one.Kg(m.Composition.DensityKgM3)
	if err != nil {
		t.read.noDensity(t.at(key), m.Name, one)
		return 0, false
	}
	return price.Amount / kg, true
}

// Fault notes a fault at key, or at the table itself when key is "".
func (t SheetTable) Fault(key, hint, format string, v ...any) {
	path := t.path
	if key != "" {
		path = t.at(key)
	}
	t.read.fault(path, hint, format, v...)
}

// Material finds the feedstock called name, and its figures; faults are laid
// at key.
func (t SheetTable) Material(key, name string) (Material, bool) {
	at := table{t.read, t.at(key), nil}
	if key == "" {
		at.path = t.path
	}
	f, err := t.sheet.library.Find(name)
	if err != nil {
		unknown, _ := errors.AsType[*feedstocks.UnknownError](err)
		hint := fmt.Sprintf(`give its figures under [feedstock.%q], or look into "heapwright feedstocks"`, name)
		if unknown != nil && unknown.Hint() != "" {
			hint = unknown.Hint()
		}
		t.read.fault(at.path, hint, "no feedstock is known as %q", name)
		return Material{}, false
	}
	m := Material{Name: name, Feedstock: f}
	if m.Composition, err = f.Composition(); err != nil {
		if missing, ok := errors.AsType[*feedstocks.MissingError](err); ok {
			t.read.missing(at, name, missing)
		} else {
			t.read.refuse(at.path, err)
		}
		return Material{}, false
	}
	return m, true
}
