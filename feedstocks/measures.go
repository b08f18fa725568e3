package feedstocks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
)

// Measure is a vessel, or another thing that material is counted in.
type Measure struct {
	Unit
	Note string // where the size comes from
	Own  bool   // set by the user
}

// Bounds on the size of a measure; more is a slip of the hand.
const (
	measureMostKg = 1e5
	measureMostM3 = 1e3
)

// measureNameLong is the most runes in the name of a measure.
const measureNameLong = 40

// Measures are the vessels that quantities may be given in. The zero value has
// none, and still knows the standard units. Measures are values: methods that
// change them return new ones.
type Measures struct {
	byKey map[string]Measure // by unitKey of the name
	alias map[string]string  // unitKey of another spelling -> unitKey of the name
}

// defaultMeasure is a row of the table of defaults.
type defaultMeasure struct {
	name      string
	dimension Dimension
	size      float64 // kg or m3
	note      string
	spellings []string
}

// DefaultMeasures returns the vessels that quantities may be given in when the
// user has not named their own. Every one is level, not heaped, and every one
// is a guess at the user's until they have measured it: Note says whence.
func DefaultMeasures() Measures {
	var m Measures
	m.byKey, m.alias = map[string]Measure{}, map[string]string{}
	for _, d := range []defaultMeasure{
		{"bucket", Volume, 10e-3, "10 L; common practice, no source", nil},
		{"pail", Volume, 5 * m3PerUSGallon, "5 US gal to the line; exact, though the brim often holds more", nil},
		{"barrow", Volume, 85e-3, "85 L, a builder's or garden barrow, level; makers give 80 to 90 L (in part from memory), and may mean heaped", []string{"wheelbarrow"}},
		{"contractor barrow", Volume, 6 * m3PerCubicFoot, "6 ft3 (170 L) struck; a heaped one holds about a third more", nil},
		{"sack", Volume, 110e-3, "110 L; common practice, near the 30 US gal (113.6 L) paper leaf bag", nil},
		{"leaf bag", Volume, 30 * m3PerUSGallon, "30 US gal (113.6 L) paper leaf bag", []string{"paper leaf bag"}},
		{"trailer", Volume, 80 * m3PerCubicFoot, "5 x 8 x 2 ft inside (2.27 m3), level; arithmetic", []string{"trailer load"}},
		{"pickup", Volume, 64 * m3PerCubicFoot, "8 x 5.33 x 1.5 ft bed (1.81 m3), level; mind the payload", []string{"pickup load", "pickup truck", "pick-up"}},
		{"short pickup", Volume, 40.5 * m3PerCubicFoot, "6 x 4.5 x 1.5 ft bed (1.15 m3), level; mind the payload", []string{"short-bed pickup"}},
		{"bale", Mass, 50 * kgPerPound, "22.7 kg, a small two-string straw bale (40 to 60 lb); a mass, because a bale is far denser than the straw shaken out of it", []string{"small bale", "two-string bale", "straw bale"}},
		{"three-string bale", Mass, 95 * kgPerPound, "43.1 kg, a three-string straw bale (70 to 120 lb, mid-point); a mass, as a bale", nil},
	} {
		key := unitKey(d.name)
		m.byKey[key] = Measure{
			Unit: Unit{Name: d.name, Plural: plural(d.name), Dimension: d.dimension, Factor: d.size, Measure: true},
			Note: d.note,
		}
		for _, s := range d.spellings {
			m.alias[unitKey(s)] = key
		}
	}
	return m
}

// With returns the measures with one added or changed; m stays as it is. One
// name is enough: singular and plural, and other spellings of a default, are
// the same measure. The quantity may be a mass, a volume or a number of another
// measure of m, and must be more than zero. The error is a [*QuantityError] when
// it is not, when the name has other characters than letters, digits, spaces
// and hyphens or does not begin with a letter, or when it is the name of a
// standard unit.
func (m Measures) With(name string, q Quantity) (Measures, error) {
	name = strings.Join(strings.Fields(name), " ")
	if problem := badMeasureName(name); problem != "" {
		return m, &QuantityError{Text: name, Problem: problem}
	}
	key := unitKey(name)
	if _, ok := lookUpUnit(key); ok {
		return m, &QuantityError{Text: name, Problem: "this is the name of a unit already", Hint: "give the measure another name"}
	}
	if unclear := unclearUnit(key); unclear != "" {
		return m, &QuantityError{Text: name, Problem: unclear, Hint: "give the measure another name"}
	}
	size := q.Number * q.Unit.Factor
	if !positive(size) {
		return m, &QuantityError{Text: name, Problem: "a measure must hold more than nothing", Hint: `write its size, as in "85 L"`}
	}
	if q.Unit.Dimension == Mass && size > measureMostKg || q.Unit.Dimension == Volume && size > measureMostM3 {
		return m, &QuantityError{Text: name, Problem: fmt.Sprintf("%s is too large for a measure", q)}
	}
	out := Measures{byKey: maps.Clone(m.byKey), alias: maps.Clone(m.alias)}
	if out.byKey == nil {
		out.byKey, out.alias = map[string]Measure{}, map[string]string{}
	}
	own := Measure{
		Unit: Unit{Name: name, Plural: plural(name), Dimension: q.Unit.Dimension, Factor: size, Measure: true},
		Note: "your own, " + q.String(),
		Own:  true,
	}
	if one := singularPhrase(name); one != name && plural(one) == name {
		own.Name, own.Plural = one, name
	}
	if unitKey(own.Plural) != key {
		// A word that the rules for English do not fit: one form for both.
		own.Plural = own.Name
	}
	if kept, ok := out.alias[key]; ok {
		key = kept
	}
	out.byKey[key] = own
	return out, nil
}

func badMeasureName(name string) string {
	if name == "" {
		return "a measure needs a name"
	}
	for i, r := range name {
		switch {
		case i == 0 && !unicode.IsLetter(r):
			return "the name of a measure begins with a letter"
		case r == 'μ' || !unicode.IsLetter(r) && (r < '0' || r > '9') && r != ' ' && r != '-':
			return "the name of a measure has letters, digits, spaces and hyphens only"
		}
	}
	if len([]rune(name)) > measureNameLong {
		return fmt.Sprintf("the name of a measure has at most %d characters", measureNameLong)
	}
	if unitKey(name) == "" {
		return "a measure needs a name"
	}
	return ""
}

// singularPhrase makes the last word of a name singular.
func singularPhrase(name string) string {
	i := strings.LastIndexAny(name, " -") + 1
	return name[:i] + singular(name[i:])
}

// List returns the measures: the user's own first, then by dimension (volume
// first) and name.
func (m Measures) List() []Measure {
	return slices.SortedFunc(maps.Values(m.byKey), func(a, b Measure) int {
		own := func(x Measure) int {
			if x.Own {
				return 0
			}
			return 1
		}
		return cmp.Or(cmp.Compare(own(a), own(b)), cmp.Compare(b.Dimension, a.Dimension), cmp.Compare(a.Name, b.Name))
	})
}

// Parse reads a quantity such as "14 sacks", "2,5 m3", "1 1/2 barrows" or
// "300L". Units and measures may be singular or plural, in upper or lower case.
// A comma is a decimal comma; thousands separators are refused. The error is a
// [*QuantityError].
func (m Measures) Parse(text string) (Quantity, error) {
	number, rest, err := leadingNumber(text)
	if err != nil {
		return Quantity{}, &QuantityError{Text: text, Problem: err.Error(), Hint: numberHint(err, `write a number and a unit, as in "14 sacks"`)}
	}
	if rest == "" {
		return Quantity{}, &QuantityError{Text: text, Problem: "the unit is missing", Hint: `write a number and a unit, as in "14 sacks"`}
	}
	u, err := m.unit(text, rest)
	if err != nil {
		return Quantity{}, err
	}
	return Quantity{Number: number, Unit: u}, nil
}

// ParseUnit reads the name of a unit or measure. The error is a
// [*QuantityError] with the nearest names.
func (m Measures) ParseUnit(text string) (Unit, error) { return m.unit(text, text) }

// unit reads name, which is a part of text.
func (m Measures) unit(text, name string) (Unit, error) {
	key := unitKey(name)
	if key == "" {
		return Unit{}, &QuantityError{Text: text, Problem: "the unit is missing"}
	}
	if u, ok := lookUpUnit(key); ok {
		return u, nil
	}
	if kept, ok := m.alias[key]; ok {
		key = kept
	}
	if own, ok := m.byKey[key]; ok {
		return own.Unit, nil
	}
	if unclear := unclearUnit(key); unclear != "" {
		return Unit{}, &QuantityError{Text: text, Problem: unclear}
	}
	return Unit{}, &QuantityError{
		Text:    text,
		Problem: fmt.Sprintf("%q is not a unit or measure that is known", shorten(name)),
		Near:    Nearest(name, m.unitNames()),
		Hint:    `a measure of your own needs its size, as in sack = "110 L"`,
	}
}

func (m Measures) unitNames() []string {
	var names []string
	for _, x := range m.List() {
		names = append(names, x.Name)
	}
	for _, u := range standardUnits() {
		names = append(names, u.Name)
	}
	return names
}
