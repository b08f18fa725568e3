package pile

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestSections checks the areas of a section 12 ft wide and 6 ft high, and the
// heaps of 3 ft radius and 4 ft height, against exact geometry.
func TestSections(t *testing.T) {
	for _, c := range []struct {
		name string
		row  Windrow
		ft2  float64
	}{
		{"triangle", Windrow{Section: Triangle, WidthM: 12, HeightM: 6}, 36},
		{"parabola", Windrow{Section: Parabola, WidthM: 12, HeightM: 6}, 48},
		{"trapezoid with a top of 4", Windrow{Section: Trapezoid, WidthM: 12, HeightM: 6, TopM: 4}, 48},
		{"half-circle", Windrow{Section: HalfEllipse, WidthM: 12, HeightM: 6}, math.Pi * 36 / 2},
	} {
		assert.InDelta(t, c.ft2, c.row.AreaM2(), 1e-12, c.name)
	}
	assert.InDelta(t, 12*math.Pi, Heap{DiameterM: 6, HeightM: 4, Form: Cone}.VolumeM3(), 1e-12)
	assert.InDelta(t, 18*math.Pi, Heap{DiameterM: 6, HeightM: 4, Form: Rounded}.VolumeM3(), 1e-12)
	assert.InDelta(t, 2.4, Bay{1.5, 1, 1.6}.VolumeM3(), 1e-12)
}

// TestWindrowsPerAcre: New Jersey DEP (Strom and Finstein), Manual on
// Composting Leaves and Management of Other Yard Trimmings, 1994, appendix A
// section 1, has 3509 yd3 an acre for half-circular windrows 6 ft high and 12
// ft wide with aisles of 14 ft on average.
func TestWindrowsPerAcre(t *testing.T) {
	row := Windrow{Section: HalfEllipse, WidthM: 12 * metresPerFoot, HeightM: 6 * metresPerFoot}
	perM2 := row.M3PerM2(14 * metresPerFoot)
	yd3 := perM2 * 43560 * metresPerFoot * metresPerFoot / (27 * m3PerFoot3)
	assert.Equal(t, 3509.0, math.Round(yd3))
}

// TestYardForThirteenTonnesADay is the worked sizing of the Universidade
// Federal Rural do Rio de Janeiro, Institute of Technology, page "lixo6", steps
// 1 to 3: 10 t of waste and 3 t of straw a day at 570 kg/m3 in a triangular
// windrow 1.7 m high and 4.0 m wide, 100 days of them, a tenth for safety. The
// figures are as printed.
func TestYardForThirteenTonnesADay(t *testing.T) {
	row := Windrow{Section: Triangle, WidthM: 4.0, HeightM: 1.7}
	printed := func(want, got, step float64) {
		t.Helper()
		assert.InDelta(t, want, math.Round(got/step)*step, 1e-9)
	}
	printed(3.4, row.AreaM2(), 0.1)
	volume := (10_000.0 + 3_000) / 570
	printed(22.8, volume, 0.1)
	row, err := row.OfVolume(volume)
	require.NoError(t, err)
	printed(6.7, row.LengthM, 0.1)
	assert.InDelta(t, volume, row.VolumeM3(), 1e-12)
	base := row.WidthM * math.Ceil(row.LengthM) // laid out in whole metres, the same again to turn it
	printed(28, base, 0.1)
	printed(56, 2*base, 1)
	printed(5600, 2*base*100, 1)
	printed(6160, 2*base*100*1.1, 1)
	printed(6350, 2*base*100*1.1+50+70+70, 1)
	printed(0.6, (2*base*100*1.1+50+70+70)/10_000, 0.1)
}

// TestVolumeThereAndBack: volume to dimensions to volume is the identity, for
// every shape and any two of its sizes.
func TestVolumeThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := rapid.Float64Range(0.1, 30)
		volume := rapid.Float64Range(0.01, 5000).Draw(t, "volume")
		same := func(got float64) {
			assert.InEpsilon(t, volume, got, 1e-9)
		}
		bay, err := FillBay(volume, length.Draw(t, "width"), length.Draw(t, "depth"))
		require.NoError(t, err)
		same(bay.VolumeM3())

		form := rapid.SampledFrom([]HeapForm{Rounded, Cone}).Draw(t, "form")
		ratio := rapid.Float64Range(0.5, 6).Draw(t, "slope")
		heap, err := HeapOfSlope(volume, form, ratio)
		require.NoError(t, err)
		same(heap.VolumeM3())
		assert.InEpsilon(t, ratio, heap.DiameterM/heap.HeightM, 1e-9)
		again, err := HeapOfHeight(volume, form, heap.HeightM)
		require.NoError(t, err)
		assert.InEpsilon(t, heap.DiameterM, again.DiameterM, 1e-9)
		again, err = HeapOfDiameter(volume, form, heap.DiameterM)
		require.NoError(t, err)
		assert.InEpsilon(t, heap.HeightM, again.HeightM, 1e-9)

		row := Windrow{
			Section: rapid.SampledFrom([]Section{Parabola, Triangle, Trapezoid, HalfEllipse}).Draw(t, "section"),
			WidthM:  length.Draw(t, "base"), HeightM: length.Draw(t, "height"),
			SlopedEnds: rapid.Bool().Draw(t, "sloped ends"),
		}
		if row.Section == Trapezoid {
			row.TopM = row.WidthM * rapid.Float64Range(0, 1).Draw(t, "top")
		}
		long, err := row.OfVolume(volume)
		if err != nil {
			assert.True(t, row.SlopedEnds && volume < row.endsM3(), "%v", err)
			return
		}
		same(long.VolumeM3())
		if row.SlopedEnds {
			assert.GreaterOrEqual(t, long.LengthM, row.WidthM*(1-1e-12))
		}
	})
}

// TestSlopedEndsAreHeaps: a windrow that is no longer than wide is a heap.
func TestSlopedEndsAreHeaps(t *testing.T) {
	for _, c := range []struct {
		section Section
		m3      float64
	}{
		{Triangle, Heap{3, 1.5, Cone}.VolumeM3()},
		{Parabola, Heap{3, 1.5, Rounded}.VolumeM3()},
		{HalfEllipse, 2.0 / 3 * math.Pi * 1.5 * 1.5 * 1.5}, // half a ball
	} {
		row := Windrow{Section: c.section, WidthM: 3, HeightM: 1.5, LengthM: 3, SlopedEnds: true}
		assert.InDelta(t, c.m3, row.VolumeM3(), 1e-12)
	}
	// A trapezoid without a top is a triangle; with a full one a cylinder.
	row := Windrow{Section: Trapezoid, WidthM: 3, HeightM: 1.5, LengthM: 3, SlopedEnds: true}
	assert.InDelta(t, Heap{3, 1.5, Cone}.VolumeM3(), row.VolumeM3(), 1e-12)
	row.TopM = 3
	assert.InDelta(t, math.Pi*1.5*1.5*1.5, row.VolumeM3(), 1e-12)
}

// TestShapesRefuse what has no shape.
func TestShapesRefuse(t *testing.T) {
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		_, err := FillBay(bad, 1, 1)
		assert.ErrorContains(t, err, "pile: volume")
		_, err = HeapOfHeight(1, Cone, bad)
		assert.ErrorContains(t, err, "pile: height")
		_, err = Windrow{WidthM: bad, HeightM: 1}.OfVolume(1)
		assert.ErrorContains(t, err, "pile: width")
		assert.Empty(t, Suggest(bad, Metres).String())
	}
	_, err := Windrow{Section: Trapezoid, WidthM: 1, TopM: 2, HeightM: 1}.OfVolume(1)
	assert.ErrorContains(t, err, "top")
	_, err = Windrow{WidthM: 4, HeightM: 2, SlopedEnds: true}.OfVolume(1)
	assert.ErrorContains(t, err, "two ends")
}

func TestSuggest(t *testing.T) {
	for _, c := range []struct {
		m3   float64
		unit LengthUnit
		want string
	}{
		{0.4, Metres, "a bay 0.9 x 0.9 m filled to 0.5 m, or a heap 1.3 m across and 0.6 m high"},
		{1.6, Metres, "a bay 1.2 x 1.2 m filled to 1.1 m, or a heap 2.0 m across and 1.0 m high"},
		{1.6, Feet, "a bay 4 x 4 ft filled to 3.5 ft, or a heap 6.5 ft across and 3.5 ft high"},
		{8, Metres, "a bay 2.4 x 2.4 m filled to 1.4 m, or a windrow 3.0 m wide, 1.5 m high and 3.8 m long"},
		{60, Metres, "a windrow 3.0 m wide, 1.5 m high and 20.6 m long"},
	} {
		assert.Equal(t, c.want, Suggest(c.m3, c.unit).String())
	}
}

// TestSuggestionsHoldTheVolume, and stay within what air gets into.
func TestSuggestionsHoldTheVolume(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		volume := rapid.Float64Range(0.01, 500).Draw(t, "volume")
		s := Suggest(volume, rapid.SampledFrom([]LengthUnit{Metres, Feet}).Draw(t, "unit"))
		shapes := 0
		check := func(m3, heightM float64) {
			shapes++
			assert.InEpsilon(t, volume, m3, 1e-9)
			assert.LessOrEqual(t, heightM, UnturnedHeightM*(1+1e-9))
		}
		if s.Bay != nil {
			check(s.Bay.VolumeM3(), s.Bay.FillM)
		}
		if s.Heap != nil {
			check(s.Heap.VolumeM3(), s.Heap.HeightM)
			assert.Empty(t, SlopeNote(s.Heap.DiameterM, s.Heap.HeightM))
		}
		if s.Windrow != nil {
			check(s.Windrow.VolumeM3(), s.Windrow.HeightM)
			assert.Empty(t, SlopeNote(s.Windrow.WidthM, s.Windrow.HeightM))
		}
		assert.NotZero(t, shapes)
	})
}

func TestSizeNotes(t *testing.T) {
	assert.InDelta(t, 0.7646, LeastM3, 1e-4, "a cubic yard")
	assert.InDelta(t, 1.812, ColdM3, 1e-3)
	assert.Empty(t, SizeNotes(1.6, 1.1))
	assert.Empty(t, SizeNotes(1.6, 0))
	assert.Contains(t, SizeNotes(0.5, 0.5)[0], "loses warmth")
	assert.Contains(t, SizeNotes(0.9, 0.9)[0], "Small")
	assert.Contains(t, SizeNotes(20, 1.7)[0], "need turning")
	assert.Contains(t, SizeNotes(50, 2)[0], "even when turned")
	assert.Contains(t, SizeNotes(500, 4)[0], "caught fire")
	assert.Contains(t, SlopeNote(1.5, 1), "Steep")
	assert.Contains(t, SlopeNote(3, 1), "Flat")
	assert.Empty(t, SlopeNote(2.2, 1))
}
