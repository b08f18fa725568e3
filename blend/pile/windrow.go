package pile

import "math"

// Section is the outline of a windrow cut across. With base b, height h and,
// for a trapezoid, top t:
//
//	triangle      A = b h / 2
//	parabola      A = 2 b h / 3
//	trapezoid     A = (b + t) h / 2
//	half-ellipse  A = pi b h / 4
//
// A triangle gives too little for a real windrow and a rectangle too much (New
// Jersey DEP, Manual on Composting Leaves, 1994, appendix A, which itself uses
// the half-circle).
type Section uint8

// The sections; a windrow put up by hand or loader is near a parabola.
const (
	Parabola Section = iota
	Triangle
	Trapezoid
	HalfEllipse
)

// Windrow is a long heap.
type Windrow struct {
	Section Section
	WidthM  float64 // of the base
	HeightM float64
	TopM    float64 // width of the flat top of a trapezoid; 0 for the others
	LengthM float64 // over all
	// SlopedEnds is true when the ends slope off like the sides, so that both
	// together make one heap with the section turned about its middle. Else the
	// ends are taken as cut off square.
	SlopedEnds bool
}

// AreaM2 is the area of the section.
func (w Windrow) AreaM2() float64 {
	box := w.WidthM * w.HeightM
	switch w.Section {
	case Triangle:
		return box / 2
	case Trapezoid:
		return (w.WidthM + w.TopM) * w.HeightM / 2
	case HalfEllipse:
		return math.Pi * box / 4
	}
	return 2 * box / 3
}

// endsM3 is the volume of both sloped ends: the solid that the section makes
// when it is turned about its middle.
func (w Windrow) endsM3() float64 {
	r, t := w.WidthM/2, w.TopM/2
	switch w.Section {
	case Triangle:
		return math.Pi * r * r * w.HeightM / 3
	case Trapezoid:
		return math.Pi * w.HeightM * (r*r + r*t + t*t) / 3
	case HalfEllipse:
		return math.Pi * r * r * w.HeightM * 2 / 3
	}
	return math.Pi * r * r * w.HeightM / 2
}

// VolumeM3 is the volume of the windrow.
func (w Windrow) VolumeM3() float64 {
	if !w.SlopedEnds {
		return w.AreaM2() * w.LengthM
	}
	return w.AreaM2()*(w.LengthM-w.WidthM) + w.endsM3()
}

// OfVolume gives the windrow of the same section, width and height that is as
// long as volumeM3 needs. The error is a [*ShapeError] when a size is not
// positive, when the top is wider than the base, or when the volume is less
// than that of its two sloped ends, which is a heap and no windrow.
func (w Windrow) OfVolume(volumeM3 float64) (Windrow, error) {
	if err := w.checkSection(volumeM3); err != nil {
		return Windrow{}, err
	}
	if !w.SlopedEnds {
		w.LengthM = volumeM3 / w.AreaM2()
		return w, nil
	}
	if volumeM3 < w.endsM3() {
		return Windrow{}, &ShapeError{"volume", volumeM3, "it is less than the two ends of the windrow hold: make it lower, or a heap"}
	}
	w.LengthM = w.WidthM + (volumeM3-w.endsM3())/w.AreaM2()
	return w, nil
}

func (w Windrow) checkSection(volumeM3 float64) error {
	if err := positive(size{"volume", volumeM3}, size{"width", w.WidthM}, size{"height", w.HeightM}); err != nil {
		return err
	}
	if w.Section == Trapezoid && !(w.TopM >= 0 && w.TopM <= w.WidthM) {
		return &ShapeError{"top", w.TopM, "it must lie between zero and the width of the base"}
	}
	return nil
}

// M3PerM2 is the volume of windrow for each m2 of ground when windrows of the
// section lie side by side with an aisle of aisleM beside each.
func (w Windrow) M3PerM2(aisleM float64) float64 { return w.AreaM2() / (w.WidthM + aisleM) }
