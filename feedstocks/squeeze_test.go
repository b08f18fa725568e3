package feedstocks_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"heapwright/feedstocks"
)

func TestSqueeze(t *testing.T) {
	// Band edges and modes are common extension teaching, from memory; the
	// scale for fresh material is that of forage (Saskatchewan).
	for _, test := range []struct {
		name               string
		fresh              bool
		low, typical, high float64
	}{
		{"dusty", false, 20, 35, 40},
		{"crumbles", false, 40, 45, 50},
		{"Holds", false, 50, 55, 60},
		{"drips", false, 60, 62, 65},
		{" streams ", false, 65, 70, 80},
		{"loosens", true, 60, 65, 70},
		{"yields", true, 75, 77.5, 80},
		{"runs", true, 80, 84, 90},
	} {
		f, err := feedstocks.Squeeze(test.name, test.fresh)
		got := only(t, f, err)
		assert.InDeltaSlice(t, []float64{test.low, test.typical, test.high}, []float64{100 * got.Low, 100 * got.Typical, 100 * got.High}, 1e-9, test.name)
		assert.Contains(t, keys(f), "hand-test")
		assert.Equal(t, !test.fresh, len(keys(f)) == 2, "the warning about fresh grass")
	}
}

func TestSqueezeRefuses(t *testing.T) {
	f, err := feedstocks.Squeeze("drips", true)
	e := refused(t, f, err)
	assert.Contains(t, e.Problem, "fresh grass")
	assert.Contains(t, e.Hint, "loosens, yields, runs")
	f, err = feedstocks.Squeeze("runs", false)
	assert.Contains(t, refused(t, f, err).Problem, "fresh grass and silage only")
	f, err = feedstocks.Squeeze("crumbls", false)
	assert.Equal(t, "did you mean crumbles?", refused(t, f, err).Hint)
	f, err = feedstocks.Squeeze("", false)
	assert.Contains(t, refused(t, f, err).Hint, "dusty, crumbles")
}

// TestSqueezeBandsJoin: the bands of mixed material leave no gap.
func TestSqueezeBandsJoin(t *testing.T) {
	last := 0.0
	for _, b := range feedstocks.SqueezeBands() {
		assert.True(t, b.Low < b.Typical && b.Typical < b.High && b.High < 1, b.Name)
		if last > 0 && !b.Fresh {
			assert.InDelta(t, last, b.Low, 1e-12, b.Name)
		}
		last = b.High
	}
}
