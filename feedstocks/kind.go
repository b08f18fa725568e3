package feedstocks

// Kind is one property of a material.
type Kind uint8

// The properties, with their unit in files; see [Property] for the unit inside.
const (
	Nitrogen         Kind = iota // total N, % of dry matter
	CarbonToNitrogen             // total C : total N by mass, to one
	Carbon                       // total C, % of dry matter
	Moisture                     // water, % wet basis
	BulkDensity                  // kg/m3 as received
	Ash                          // % of dry matter
	Lignin                       // % of dry matter; the method is in the note where it is known
	Phosphate                    // P2O5, % of dry matter
	Potash                       // K2O, % of dry matter

	kindCount = int(Potash) + 1
)

// Kinds lists every property in the order in which they are shown.
func Kinds() []Kind {
	all := make([]Kind, kindCount)
	for i := range all {
		all[i] = Kind(i)
	}
	return all
}

// String gives the key used in library and plan files, such as
// "carbon_to_nitrogen".
func (k Kind) String() string {
	switch k {
	case Nitrogen:
		return "nitrogen"
	case CarbonToNitrogen:
		return "carbon_to_nitrogen"
	case Carbon:
		return "carbon"
	case Moisture:
		return "moisture"
	case BulkDensity:
		return "bulk_density"
	case Ash:
		return "ash"
	case Lignin:
		return "lignin"
	case Phosphate:
		return "phosphate"
	case Potash:
		return "potash"
	}
	return "unknown property"
}

// Label gives the property in words for people.
func (k Kind) Label() string {
	switch k {
	case CarbonToNitrogen:
		return "C:N"
	case BulkDensity:
		return "bulk density"
	case Phosphate:
		return "phosphate (P2O5)"
	case Potash:
		return "potash (K2O)"
	}
	return k.String()
}

// Unit gives the unit used in files and reports.
func (k Kind) Unit() string {
	switch k {
	case CarbonToNitrogen:
		return "to one"
	case Moisture:
		return "% wet basis"
	case BulkDensity:
		return "kg/m3"
	}
	return "% of dry matter"
}

// Percent reports whether the property is a percentage, kept inside as a
// fraction from 0 to 1.
func (k Kind) Percent() bool { return k != CarbonToNitrogen && k != BulkDensity }

// kindOf finds the property with the given file key.
func kindOf(key string) (Kind, bool) {
	for _, k := range Kinds() {
		if k.String() == key {
			return k, true
		}
	}
	return 0, false
}
