package pile

import "fmt"

const (
	metresPerFoot = 0.3048
	m3PerFoot3    = metresPerFoot * metresPerFoot * metresPerFoot
)

// How small a pile may be and still heat, and how large before air and fire
// are a matter.
const (
	// LeastM3 is a cube of 3 ft, 0.765 m3 (Klickitat County, "Volume and
	// construction").
	LeastM3 = 27 * m3PerFoot3
	// SureM3 is a cubic metre (Mueller-Saemann 1986, as a student report of
	// Birzeit University quotes it).
	SureM3 = 1.0
	// ColdM3 is a cube of 4 ft, 1.81 m3, asked for in colder climates (garden
	// notes, "size and timing").
	ColdM3 = 64 * m3PerFoot3
	// UnturnedHeightM is 5 ft: the height, and for a windrow the width, to which
	// air gets in by itself (Klickitat County).
	UnturnedHeightM = 5 * metresPerFoot
	// TurnedHeightM is 6 ft, for leaf windrows that are turned (New Jersey DEP
	// 1994, tables 1 to 3).
	TurnedHeightM = 6 * metresPerFoot
	// FireHeightM is 12 ft, above which the fire reports begin; some say 10
	// (University of Tennessee; Naylor; NC DEQ on spontaneous combustion).
	FireHeightM = 12 * metresPerFoot
	// LeastBaseToHeight and MostBaseToHeight bound the width of a heap or
	// windrow over its height: steeper slides, flatter sheds heat and holds rain
	// (the dimensions of published windrows; the bounds are a judgement).
	LeastBaseToHeight = 2.0
	MostBaseToHeight  = 2.4
)

// SizeNotes says what to mind about a pile of the volume and height, in whole
// sentences; none when both are well. A height of 0 is not known.
func SizeNotes(volumeM3, heightM float64) []string {
	var notes []string
	switch {
	case volumeM3 < LeastM3:
		notes = append(notes, fmt.Sprintf("Under %.2f m3 (a cube of 3 ft) a pile loses warmth faster than it makes it.", LeastM3))
	case volumeM3 < SureM3:
		notes = append(notes, fmt.Sprintf("Small: sources ask for %.2f to 1 m3 at least, and %.1f m3 (a cube of 4 ft) where it is cold.", LeastM3, ColdM3))
	}
	switch {
	case heightM > FireHeightM:
		notes = append(notes, fmt.Sprintf("Over %.1f m (12 ft) high: piles of this size have caught fire by themselves. Make it lower, and ask the fire service how to store it.", FireHeightM))
	case heightM > TurnedHeightM:
		notes = append(notes, fmt.Sprintf("Over %.1f m (6 ft) high: too high to get air, even when turned.", TurnedHeightM))
	case heightM > UnturnedHeightM*(1+roundOff):
		notes = append(notes, fmt.Sprintf("Over %.1f m (5 ft) high: it will need turning to get air.", UnturnedHeightM))
	}
	return notes
}

// roundOff keeps a height that is exactly on a bound from being over it.
const roundOff = 1e-9

// SlopeNote says that a heap or windrow is steeper or flatter than it will
// stand or stay warm, or "" when it is neither.
func SlopeNote(baseM, heightM float64) string {
	switch ratio := baseM / heightM; {
	case ratio < LeastBaseToHeight*(1-roundOff):
		return fmt.Sprintf("Steep: it stands best %.1f to %.1f times as wide as it is high, and this is %.1f.", LeastBaseToHeight, MostBaseToHeight, ratio)
	case ratio > MostBaseToHeight*(1+roundOff):
		return fmt.Sprintf("Flat: it keeps its warmth best %.1f to %.1f times as wide as it is high, and this is %.1f.", LeastBaseToHeight, MostBaseToHeight, ratio)
	}
	return ""
}
