package feedstocks

import (
	"fmt"
	"slices"
	"strings"
)

// Dimension tells mass from volume.
type Dimension uint8

// The dimensions.
const (
	Mass   Dimension = iota // kg
	Volume                  // m3
)

// String gives "mass" or "volume".
func (d Dimension) String() string {
	if d == Mass {
		return "mass"
	}
	return "volume"
}

// Unit is a unit of mass or volume, or a vessel that serves as one.
type Unit struct {
	Name, Plural string
	Dimension    Dimension
	// Factor is the kg or the m3 in one unit.
	Factor float64
	// Measure is true for a vessel of the user's or of the defaults, as
	// against a unit of a standard.
	Measure bool
}

// Exact factors. The pound and the foot are those of the international yard
// and pound agreement of 1959; the US gallon is 231 in3 and the struck US
// bushel 2150.42 in3 (NIST Handbook 44, appendix C); the imperial gallon is
// 4.54609 L (United Kingdom units of measurement regulations, from memory).
const (
	kgPerPound          = 0.45359237
	metresPerFoot       = 0.3048
	m3PerCubicFoot      = metresPerFoot * metresPerFoot * metresPerFoot
	m3PerCubicYard      = 27 * m3PerCubicFoot
	m3PerCubicInch      = m3PerCubicFoot / 1728
	m3PerUSGallon       = 231 * m3PerCubicInch
	m3PerBushel         = 2150.42 * m3PerCubicInch
	m3PerImperialGallon = 4.54609e-3
)

// standardUnit is a unit with its spellings, each as unitKey leaves it.
type standardUnit struct {
	Unit
	spellings []string
}

func standardUnits() []standardUnit {
	mass := func(name, plural string, kg float64, spellings ...string) standardUnit {
		return standardUnit{Unit{Name: name, Plural: plural, Dimension: Mass, Factor: kg}, spellings}
	}
	volume := func(name, plural string, m3 float64, spellings ...string) standardUnit {
		return standardUnit{Unit{Name: name, Plural: plural, Dimension: Volume, Factor: m3}, spellings}
	}
	return []standardUnit{
		mass("kg", "kg", 1, "kg", "kgs", "kilo", "kilogram", "kilogramme"),
		mass("g", "g", 1e-3, "g", "gram", "gramme", "gm"),
		mass("t", "t", 1000, "t", "tonne", "metric ton", "metric tonne"),
		mass("lb", "lb", kgPerPound, "lb", "lbs", "pound"),
		mass("oz", "oz", kgPerPound/16, "oz", "ounce"),
		mass("short ton", "short tons", 2000*kgPerPound, "short ton", "us ton"),
		volume("L", "L", 1e-3, "l", "litre", "liter", "ltr", "dm3"),
		volume("mL", "mL", 1e-6, "ml", "millilitre", "milliliter", "cm3", "cc"),
		volume("m3", "m3", 1, "m3", "cubic metre", "cubic meter", "cu m", "cubic m", "cum"),
		volume("ft3", "ft3", m3PerCubicFoot, "ft3", "cubic foot", "cu ft", "cubic ft", "cuft"),
		volume("yd3", "yd3", m3PerCubicYard, "yd3", "cubic yard", "cu yd", "cubic yd", "cuyd"),
		volume("US gal", "US gal", m3PerUSGallon, "us gal", "us gallon"),
		volume("imperial gal", "imperial gal", m3PerImperialGallon, "imperial gal", "imperial gallon", "imp gal", "imp gallon", "uk gal", "uk gallon"),
		volume("bushel", "bushels", m3PerBushel, "bushel", "bu", "us bushel"),
	}
}

// unclearUnit tells what is wrong with words that mean different
// things in different places, or gives "".
func unclearUnit(key string) string {
	switch key {
	case "gal", "gallon":
		return "a gallon is 3.785 L in the United States and 4.546 L by imperial measure: write US gal or imperial gal"
	case "ton":
		return "a ton is 1000 kg, 2000 lb or 2240 lb: write t for tonnes, or short ton for 2000 lb"
	case "yard", "yd":
		return "a yard is a length: write yd3 for cubic yards"
	case "foot", "ft":
		return "a foot is a length: write ft3 for cubic feet"
	case "m", "metre", "meter":
		return "a metre is a length: write m3 for cubic metres"
	case "quart", "pint", "cup", "fl oz", "fluid ounce":
		return "it differs between the United States and imperial measure: write L or mL"
	}
	return ""
}

// unitKey brings the spellings of a unit together.
func unitKey(text string) string {
	text = strings.NewReplacer("³", "3", "^3", "3", ".", "").Replace(text)
	return nameKey(text)
}

// lookUpUnit finds a unit of a standard by the unitKey of any of its spellings.
func lookUpUnit(key string) (Unit, bool) {
	for _, u := range standardUnits() {
		if slices.Contains(u.spellings, key) {
			return u.Unit, true
		}
	}
	return Unit{}, false
}

// QuantityError is a quantity, price, density or unit that cannot be read.
type QuantityError struct {
	Text    string   // what was given
	Problem string   // what is wrong with it
	Near    []string // units or measures that it may have meant
	Hint    string   // what to write instead; may be empty
}

func (e *QuantityError) Error() string {
	s := fmt.Sprintf("feedstocks: %q: %s", shorten(e.Text), e.Problem)
	if hint := didYouMean(e.Near); hint != "" {
		s += "; " + hint
	}
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// shorten keeps what the user typed short enough for an error message.
func shorten(text string) string {
	const most = 60
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "..."
	}
	return text
}
