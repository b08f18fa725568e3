package feedstocks_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"heapwright/feedstocks"
)

const (
	pound       = 0.45359237     // kg, exact
	usGallon    = 0.003785411784 // m3, 231 in3
	poundPerYd3 = pound / (27 * 0.3048 * 0.3048 * 0.3048)
)

// only gives the one figure of a finding.
func only(t testing.TB, f *feedstocks.Finding, err error) feedstocks.Figure {
	t.Helper()
	require.NoError(t, err)
	require.Len(t, f.Figures, 1)
	figure := f.Figures[0]
	assert.Equal(t, feedstocks.Yours, figure.Standing)
	assert.LessOrEqual(t, figure.Low, figure.Typical)
	assert.LessOrEqual(t, figure.Typical, figure.High)
	assert.NotEmpty(t, figure.Spread)
	assert.NotEmpty(t, f.Steps)
	return figure
}

// refused gives the field of a test that was refused.
func refused(t testing.TB, f *feedstocks.Finding, err error) *feedstocks.TestError {
	t.Helper()
	assert.Nil(t, f)
	e, ok := errors.AsType[*feedstocks.TestError](err)
	require.True(t, ok, "%v", err)
	return e
}

// keys lists the warnings of a finding.
func keys(f *feedstocks.Finding) []string {
	var all []string
	for _, w := range f.Warnings {
		all = append(all, w.Key)
	}
	return all
}

func TestBucketDensity(t *testing.T) {
	for _, test := range []struct {
		name, source string
		bucket       feedstocks.Bucket
		want, within float64
	}{
		{"20 L bucket, 1 kg empty, 10 kg full", "Eawag/Sandec (Zabaleta) after Cooperband 2002: 0.45 kg/L",
			feedstocks.Bucket{VolumeM3: 0.020, EmptyKg: 1, FullKg: []float64{10}}, 450, 1e-9},
		{"25 lb net in 5 US gal", "Washington State University, Puyallup: net lb x 40.395 = 1010 lb/yd3 = 599.1 kg/m3",
			feedstocks.Bucket{VolumeM3: 5 * usGallon, FullKg: []float64{25 * pound}}, 599.1, 0.05},
		{"1 kg net in 5 US gal", "the factor 52.834 to the m3 (exact: 1 / 18.927 L)",
			feedstocks.Bucket{VolumeM3: 5 * usGallon, EmptyKg: 1, FullKg: []float64{2}}, 52.834, 0.0005},
		{"two fills", "arithmetic: (430 + 460) / 2",
			feedstocks.Bucket{VolumeM3: 0.010, EmptyKg: 0.6, FullKg: []float64{4.9, 5.2}}, 445, 1e-9},
	} {
		t.Run(test.name, func(t *testing.T) {
			f, err := test.bucket.Density()
			got := only(t, f, err)
			assert.Equal(t, feedstocks.BulkDensity, got.Kind)
			assert.InDelta(t, test.want, got.Typical, test.within, test.source)
		})
	}
	f, err := feedstocks.Bucket{VolumeM3: 5 * usGallon, FullKg: []float64{25 * pound}}.Density()
	assert.InDelta(t, 1010, only(t, f, err).Typical/poundPerYd3, 0.5, "lb/yd3")
	assert.Contains(t, f.Steps[2], "1010 lb/yd3")
	assert.Equal(t, []string{"single-fill", "brim"}, keys(f))
	got := f.Figures[0]
	assert.InEpsilon(t, 0.10, (got.High-got.Low)/2/got.Typical, 1e-9, "one fill is good to 10 %")
}

func TestBucketWarnings(t *testing.T) {
	f, err := feedstocks.Bucket{VolumeM3: 0.01, EmptyKg: 0.5, FullKg: []float64{3.5, 4.5}, Filling: feedstocks.Dropped}.Density()
	require.NoError(t, err)
	assert.Equal(t, []string{"fills-differ", "dropped"}, keys(f))
	require.Len(t, f.Doubtful(), 1)
	assert.Contains(t, f.Test, "dropped")

	f, err = feedstocks.Bucket{VolumeM3: 0.01, FullKg: []float64{0.05, 0.05}}.Density()
	require.NoError(t, err)
	assert.Equal(t, []string{"very-light"}, keys(f))
}

func TestBucketRefuses(t *testing.T) {
	nan := math.NaN()
	for name, test := range map[string]struct {
		bucket feedstocks.Bucket
		field  string
		says   string
	}{
		"negative tare":    {feedstocks.Bucket{VolumeM3: 0.01, EmptyKg: -0.6, FullKg: []float64{5}}, "empty", "negative"},
		"nothing in it":    {feedstocks.Bucket{VolumeM3: 0.01, EmptyKg: 0.6, FullKg: []float64{0.6}}, "fill 1", "nothing was in it"},
		"full is lighter":  {feedstocks.Bucket{VolumeM3: 0.01, EmptyKg: 0.6, FullKg: []float64{5, 0.5}}, "fill 2", "lighter than empty"},
		"no fill":          {feedstocks.Bucket{VolumeM3: 0.01, EmptyKg: 0.6}, "full", "no full weight"},
		"nan":              {feedstocks.Bucket{VolumeM3: 0.01, FullKg: []float64{nan}}, "fill 1", "NaN"},
		"nan tare":         {feedstocks.Bucket{VolumeM3: 0.01, EmptyKg: nan, FullKg: []float64{5}}, "empty", "NaN"},
		"nan volume":       {feedstocks.Bucket{VolumeM3: nan, FullKg: []float64{5}}, "volume", "NaN"},
		"no volume":        {feedstocks.Bucket{FullKg: []float64{5}}, "volume", "0 L"},
		"infinite":         {feedstocks.Bucket{VolumeM3: 0.01, FullKg: []float64{math.Inf(1)}}, "fill 1", "Inf"},
		"heavier than any": {feedstocks.Bucket{VolumeM3: 0.01, FullKg: []float64{50}}, "", "heavier than any"},
	} {
		t.Run(name, func(t *testing.T) {
			f, err := test.bucket.Density()
			e := refused(t, f, err)
			assert.Equal(t, test.field, e.Field)
			assert.Contains(t, e.Error(), test.says)
		})
	}
}

// TestBucketUnitsDoNotMatter: twice the bucket and twice the load is the same
// density and range, and the order of the fills is nothing.
func TestBucketUnitsDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		empty := rapid.Float64Range(0, 2).Draw(t, "empty")
		loads := rapid.SliceOfN(rapid.Float64Range(1, 9), 1, 6).Draw(t, "loads")
		one := feedstocks.Bucket{VolumeM3: 0.01, EmptyKg: empty}
		two := feedstocks.Bucket{VolumeM3: 0.02, EmptyKg: 2 * empty}
		for i, load := range loads {
			one.FullKg = append(one.FullKg, empty+load)
			two.FullKg = append(two.FullKg, 2*(empty+loads[len(loads)-1-i]))
		}
		a, errA := one.Density()
		b, errB := two.Density()
		require.NoError(t, errors.Join(errA, errB))
		assert.InEpsilon(t, a.Figures[0].Typical, b.Figures[0].Typical, 1e-9)
		assert.InEpsilon(t, a.Figures[0].High, b.Figures[0].High, 1e-9)
		assert.Less(t, a.Figures[0].Low, a.Figures[0].Typical)
	})
}
