package feedstocks

import (
	"fmt"
	"math"
)

// Quantity is a number of units: 14 sacks, 2.5 m3. Vessels are level.
type Quantity struct {
	Number float64
	Unit   Unit
}

// String prints a quantity as people write it: "14 sacks", "1 barrow",
// "2.5 m3". [Measures.Parse] reads it back as the same quantity, as long as
// the measures are the same.
func (q Quantity) String() string {
	return formatNumber(q.Number) + " " + q.Unit.Count(q.Number)
}

// Count gives the name of the unit as it stands after n: "sack" after 1,
// "sacks" after any other number.
func (u Unit) Count(n float64) string {
	if n == 1 || u.Plural == "" {
		return u.Name
	}
	return u.Plural
}

// Kg gives the quantity in kg. A volume needs the as-received bulk density in
// kg/m3; the error is an [*DensityError] when that is not a positive number. A
// mass does not look at the density.
func (q Quantity) Kg(densityKgM3 float64) (float64, error) {
	if q.Unit.Dimension == Mass {
		return q.Number * q.Unit.Factor, nil
	}
	if !positive(densityKgM3) {
		return 0, &DensityError{Quantity: q, DensityKgM3: densityKgM3}
	}
	return q.Number * q.Unit.Factor * densityKgM3, nil
}

// M3 gives the quantity in m3, loose. A mass needs the as-received bulk
// density in kg/m3; the error is an [*DensityError] when that is not a positive
// number. A volume does not look at the density.
func (q Quantity) M3(densityKgM3 float64) (float64, error) {
	if q.Unit.Dimension == Volume {
		return q.Number * q.Unit.Factor, nil
	}
	if !positive(densityKgM3) {
		return 0, &DensityError{Quantity: q, DensityKgM3: densityKgM3}
	}
	return q.Number * q.Unit.Factor / densityKgM3, nil
}

func positive(v float64) bool { return v > 0 && !math.IsInf(v, 1) }

// DensityError says that a mass and a volume cannot be turned into each other
// for want of a bulk density.
type DensityError struct {
	Quantity    Quantity
	DensityKgM3 float64 // NaN when it is not known
}

func (e *DensityError) Error() string {
	wanted := "a mass"
	if e.Quantity.Unit.Dimension == Mass {
		wanted = "a volume"
	}
	if math.IsNaN(e.DensityKgM3) {
		return fmt.Sprintf("feedstocks: %s cannot become %s without a bulk density: weigh a bucket of known size filled loosely to the brim", e.Quantity, wanted)
	}
	return fmt.Sprintf("feedstocks: %s cannot become %s: bulk density must be over 0, not %g kg/m3", e.Quantity, wanted, e.DensityKgM3)
}
