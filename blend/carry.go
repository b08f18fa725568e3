package blend

import (
	"math"

	"heapwright/feedstocks"
)

// measureKg is the weight of one of a unit of the material; ok is false when
// that needs a bulk density and none is known.
func (m Material) measureKg(unit feedstocks.Unit) (kg float64, ok bool) {
	kg, err := feedstocks.Quantity{Number: 1, Unit: unit}.Kg(m.Composition.DensityKgM3)
	return kg, err == nil && kg > 0
}

// unit is what the material is answered in: the measure that the plan gives
// it in, or kg.
func (m Material) unit() (unit feedstocks.Unit, kg float64) {
	if kg, ok := m.measureKg(m.OnHand.Unit); ok {
		return m.OnHand.Unit, kg
	}
	return feedstocks.Unit{Name: "kg", Plural: "kg", Dimension: feedstocks.Mass, Factor: 1}, 1
}

// Measured gives a weight of the material as a quantity of the measure that
// the plan gives it in.
func (m Material) Measured(kg float64) feedstocks.Quantity {
	unit, one := m.unit()
	return feedstocks.Quantity{Number: kg / one, Unit: unit}
}

// words writes a weight of the material for a sentence: "2.5 barrows".
func (m Material) words(kg float64) string {
	q := m.Measured(kg)
	q.Number = roundTo(q.Number, 3)
	return q.String()
}

// step is the least amount in kg by which people can measure the material
// out: a whole vessel, or the second digit of a weight or volume of the size
// of kg.
func (m Material) step(kg float64) float64 {
	unit, one := m.unit()
	if unit.Measure {
		return one
	}
	return digit(kg/one) * one
}

// digit is the value of the second significant digit of v.
func digit(v float64) float64 {
	if v <= 0 {
		return 1
	}
	return math.Pow(10, math.Floor(math.Log10(v))-1)
}

// roundTo rounds v to so many significant digits.
func roundTo(v float64, digits int) float64 {
	if v == 0 || !known(v) {
		return v
	}
	scale := math.Pow(10, float64(digits-1)-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*scale) / scale
}
