package pile

import (
	"fmt"
	"math"
)

// Bay is a box of boards, pallets or wire filled to a depth. V = w d f.
type Bay struct {
	WidthM float64 // along the front
	DepthM float64 // from front to back
	FillM  float64 // height of the filling, level
}

// VolumeM3 is what the bay holds as filled.
func (b Bay) VolumeM3() float64 { return b.WidthM * b.DepthM * b.FillM }

// FillBay tells how high volumeM3 stands in a bay of the width and depth. The
// error is a [*ShapeError].
func FillBay(volumeM3, widthM, depthM float64) (Bay, error) {
	if err := positive(size{"volume", volumeM3}, size{"width", widthM}, size{"depth", depthM}); err != nil {
		return Bay{}, err
	}
	return Bay{widthM, depthM, volumeM3 / widthM / depthM}, nil
}

// HeapForm is the outline of a free-standing heap.
type HeapForm uint8

// The forms.
const (
	Rounded HeapForm = iota // a paraboloid, as a heap settles: V = pi r^2 h / 2
	Cone                    // as it falls from a fork: V = pi r^2 h / 3
)

// part is the share of the volume of the cylinder around the heap.
func (f HeapForm) part() float64 {
	if f == Cone {
		return 1.0 / 3
	}
	return 1.0 / 2
}

// Heap is a free-standing heap on a round base.
type Heap struct {
	DiameterM, HeightM float64
	Form               HeapForm
}

// VolumeM3 is the volume of the heap.
func (h Heap) VolumeM3() float64 {
	r := h.DiameterM / 2
	return math.Pi * r * r * h.HeightM * h.Form.part()
}

// HeapOfSlope gives the heap of volumeM3 that is baseToHeight times as wide as
// it is high. The error is a [*ShapeError].
func HeapOfSlope(volumeM3 float64, form HeapForm, baseToHeight float64) (Heap, error) {
	if err := positive(size{"volume", volumeM3}, size{"width to height", baseToHeight}); err != nil {
		return Heap{}, err
	}
	h := math.Cbrt(4 * volumeM3 / (math.Pi * form.part() * baseToHeight * baseToHeight))
	return Heap{DiameterM: baseToHeight * h, HeightM: h, Form: form}, nil
}

// HeapOfHeight gives the heap of volumeM3 that is heightM high. The error is a
// [*ShapeError].
func HeapOfHeight(volumeM3 float64, form HeapForm, heightM float64) (Heap, error) {
	if err := positive(size{"volume", volumeM3}, size{"height", heightM}); err != nil {
		return Heap{}, err
	}
	return Heap{DiameterM: 2 * math.Sqrt(volumeM3/(math.Pi*form.part()*heightM)), HeightM: heightM, Form: form}, nil
}

// HeapOfDiameter gives the heap of volumeM3 that is diameterM across. The error
// is a [*ShapeError].
func HeapOfDiameter(volumeM3 float64, form HeapForm, diameterM float64) (Heap, error) {
	if err := positive(size{"volume", volumeM3}, size{"diameter", diameterM}); err != nil {
		return Heap{}, err
	}
	r := diameterM / 2
	return Heap{DiameterM: diameterM, HeightM: volumeM3 / (math.Pi * r * r * form.part()), Form: form}, nil
}

// size is a length, volume or ratio with its name, for errors.
type size struct {
	name  string
	value float64
}

// ShapeError is a size that no shape can have.
type ShapeError struct {
	Name    string // of the size: "volume", "width" ...
	Value   float64
	Problem string
}

func (e *ShapeError) Error() string {
	return fmt.Sprintf("pile: %s %g: %s", e.Name, e.Value, e.Problem)
}

func positive(sizes ...size) error {
	for _, s := range sizes {
		if !(s.value > 0) || math.IsInf(s.value, 0) {
			return &ShapeError{s.name, s.value, "it must be more than zero"}
		}
	}
	return nil
}
