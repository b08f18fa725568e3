package feedstocks

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Composition is what the arithmetic of a mixture needs of one material: its
// typical figures, with carbon settled.
type Composition struct {
	// Moisture is kg of water in a kg as received.
	Moisture float64
	// Carbon and Nitrogen are kg in a kg of dry matter.
	Carbon, Nitrogen float64
	// DensityKgM3 is as received and loose; NaN when it is not known.
	DensityKgM3 float64
	// VolatileSolids is kg in a kg of dry matter: 1 - ash where ash is known,
	// else 1.8 x Carbon, the relation for carbon turned round, and 1 at most.
	VolatileSolids float64
	// Lignin, Phosphate (P2O5) and Potash (K2O) are kg in a kg of dry matter;
	// NaN when not known.
	Lignin, Phosphate, Potash float64
	// CarbonFrom tells how Carbon was come by.
	CarbonFrom CarbonBasis
	// Notes say in words what was assumed and what looks impossible.
	Notes []string
}

// Composition settles the typical figures of a material. Moisture is needed,
// and enough to give carbon and nitrogen; the error is otherwise a
// [*MissingError]. Everything else may be missing.
//
// Carbon is settled by the first of these rules that applies. R is C:N.
//
//  1. The user gave two of carbon, nitrogen and R, or carbon: those are used
//     as given, and a note is made when the carbon is outside 25 to 58 % of
//     dry matter. Carbon given alone is paired with the library's nitrogen.
//  2. The user gave only one of nitrogen and R. Nitrogen differs far more
//     between two heaps of one material than carbon does, so the carbon is
//     that of the user's ash if given, else of the library's own figures, and
//     the user's figure stands.
//  3. Laboratory carbon with nitrogen, or with R (nitrogen = carbon / R).
//  4. Nitrogen x R when that is 25 to 58 % of dry matter.
//  5. (1 - ash) / 1.8, with nitrogen = carbon / R where R is known: when the
//     product is outside the band or one of its factors is missing.
//  6. Where ash is missing too: a product over 58 % becomes 1 / 1.8, the most
//     that the relation allows, with nitrogen = carbon / R; a product under
//     25 % is kept, as it can be real where ash is high.
//
// The band is a check on published averages that do not belong together; the
// relation carbon = volatile solids / 1.8 is that of Adams et al. 1951 as
// taught by Cornell (carbon is 45 to 60 % of volatile solids in most organic
// materials), good to about a tenth.
func (f *Feedstock) Composition() (Composition, error) {
	typical := func(k Kind) float64 {
		if v, ok := f.Typical(k); ok {
			return v
		}
		return math.NaN()
	}
	c := Composition{
		Moisture:    typical(Moisture),
		DensityKgM3: typical(BulkDensity),
		Lignin:      typical(Lignin),
		Phosphate:   typical(Phosphate),
		Potash:      typical(Potash),
	}
	var missing []Kind
	settled, lacks := f.settleCarbon()
	missing = append(missing, lacks...)
	if math.IsNaN(c.Moisture) {
		missing = append(missing, Moisture)
	}
	if len(missing) > 0 {
		return Composition{}, &MissingError{Feedstock: f.Name, Kinds: missing}
	}
	c.Carbon, c.Nitrogen, c.CarbonFrom, c.Notes = settled.carbon, settled.nitrogen, settled.from, settled.notes
	if ash, ok := f.Typical(Ash); ok {
		c.VolatileSolids = 1 - ash
	} else {
		c.VolatileSolids = min(1, vsPerCarbon*c.Carbon)
	}
	return c, nil
}

// MissingError says which figures of a material a calculation lacks.
type MissingError struct {
	Feedstock string
	// Kinds are the figures that would do, in the order of [Kinds].
	Kinds []Kind
}

// Error says what is missing and how to give or measure it.
func (e *MissingError) Error() string {
	var names, hints []string
	for _, k := range Kinds() {
		if slices.Contains(e.Kinds, k) {
			names = append(names, k.Label())
			hints = append(hints, howToMeasure(k))
		}
	}
	return fmt.Sprintf("feedstocks: %s: no figure for %s: %s",
		e.Feedstock, listWords(names), strings.Join(hints, "; "))
}

// listWords joins words as in "a, b and c".
func listWords(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

func howToMeasure(k Kind) string {
	switch k {
	case Nitrogen:
		return `give nitrogen (or carbon), per cent of dry matter, from a laboratory sheet`
	case CarbonToNitrogen:
		return `give carbon_to_nitrogen (or carbon, or ash) from a laboratory sheet`
	case Moisture:
		return `give moisture: weigh a sample, dry it at 105 C until its weight holds, and divide the loss by the wet weight`
	case BulkDensity:
		return `give bulk_density: weigh a bucket of known size filled loosely to the brim`
	}
	return fmt.Sprintf(`give %s, %s, from a laboratory sheet`, k, k.Unit())
}
