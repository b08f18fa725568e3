package feedstocks

import "fmt"

const (
	// bookMoistureHalf is how far moisture from a bucket weight alone can be
	// trusted: 10 points, a judgement, and only at the packing of the book.
	bookMoistureHalf = 0.10
	// bookMoistureMost is the wettest that the relation is used to.
	bookMoistureMost = 0.9
)

// MoistureFromDensity estimates moisture, wet basis, from a bulk density that
// was measured and the published density and moisture of the same material:
// what was published is taken to hold as much dry matter in a cubic metre,
//
//	D = book density x (1 - book moisture),  moisture = 1 - D / measured
//
// so it is right only at the same particle size and packing, and to some 10
// points (a judgement). Densities are kg/m3 as received, moisture fractions.
// The error is a [*TestError].
func MoistureFromDensity(measuredKgM3, bookKgM3, bookMoisture float64) (*Finding, error) {
	for _, d := range []struct {
		field string
		kgM3  float64
	}{{"measured density", measuredKgM3}, {"published density", bookKgM3}} {
		if problem := badDensity(d.kgM3); problem != "" {
			return nil, &TestError{d.field, problem, ""}
		}
	}
	if !(bookMoisture >= 0 && bookMoisture < 1) {
		return nil, &TestError{"published moisture", fmt.Sprintf("%g is not a share of the wet weight", bookMoisture), ""}
	}
	f := &Finding{Test: "bucket weight against the published density"}
	dry := bookKgM3 * (1 - bookMoisture)
	m := 1 - dry/measuredKgM3
	f.step("published: %s kg/m3 at %s %% moisture, so %s x (1 - %s) = %s kg of dry matter in a m3",
		digits(bookKgM3), points(bookMoisture), digits(bookKgM3), digits(bookMoisture), digits(dry))
	f.step("moisture = 1 - dry matter / measured = 1 - %s / %s = %s %%", digits(dry), digits(measuredKgM3), points(m))
	switch {
	case m < 0:
		f.doubt("lighter-than-dry", "The bucket is lighter than the published material would be bone dry (%s kg/m3): it lies looser than that, and its weight tells nothing of its moisture. Dry a sample.", digits(dry))
		m = 0
	case m > bookMoistureMost:
		f.doubt("heavier-than-wet", "The bucket is heavier than the published material could be from water: it lies closer, or holds soil. Dry a sample.")
		m = bookMoistureMost
	}
	low, high := max(m-bookMoistureHalf, 0), min(m+bookMoistureHalf, moistureMost)
	f.step("range: 10 points either way")
	f.figure(Moisture, low, m, high, "10 points either way (a judgement): right only where it lies as loose and as coarse as the published material")
	f.warn("same-packing", "This holds only for the same particle size and packing as the published figure. Drying a sample takes ten minutes in a microwave and is three times as sharp.")
	return f, nil
}
