package feedstocks

// Atomic masses, of the IUPAC table of standard atomic weights, abridged (from
// memory): P 30.974, K 39.098, O 15.999.
const (
	atomicP = 30.974
	atomicK = 39.098
	atomicO = 15.999
)

// PhosphateFromPhosphorus gives the P2O5 that holds a mass of phosphorus: 2.291
// times as much.
func PhosphateFromPhosphorus(p float64) float64 {
	return p * (2*atomicP + 5*atomicO) / (2 * atomicP)
}

// PotashFromPotassium gives the K2O that holds a mass of potassium: 1.205 times
// as much.
func PotashFromPotassium(k float64) float64 {
	return k * (2*atomicK + atomicO) / (2 * atomicK)
}
