package chance

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// moments of a table, as it is drawn from: in straight lines between steps.
func moments(q quantiles) (mean, deviation float64) {
	const points = 1 << 16
	square := 0.0
	for i := range points {
		v := q.at((float64(i) + 0.5) / points)
		mean += v / points
		square += v * v / points
	}
	return mean, math.Sqrt(square - mean*mean)
}

// TestPERTMoments checks the tables against the formulas of the distribution,
// mean (a+4m+b)/6 and variance (b-a)^2 alpha beta / (36*7) (Malcolm et al.
// 1959, from memory), worked out by hand for four materials.
func TestPERTMoments(t *testing.T) {
	for _, row := range []struct {
		name                  string
		low, typical, high    float64
		mean, deviation       float64
		withinMean, withinDev float64
	}{
		{"C:N of leaves", 26.8, 48.5, 71.8, 48.77, 8.50, 0.005, 0.01},
		{"nitrogen of leaves", 6.6, 9.0, 16.2, 9.80, 1.71, 0.005, 0.005},
		{"moisture of manure", 59, 72, 79, 71.0, 3.70, 0.005, 0.005},
		{"C:N of mixed matter", 20, 50, 90, 51.67, 13.17, 0.005, 0.01},
	} {
		t.Run(row.name, func(t *testing.T) {
			mean, deviation := moments(Spread{Shape: PERT, Low: row.low, Typical: row.typical, High: row.high}.table())
			assert.InDelta(t, row.mean, mean, row.withinMean)
			assert.InDelta(t, row.deviation, deviation, row.withinDev)
		})
	}
}

// TestLeavesSpreadLikeSamples holds the spread of C:N of leaves against 100
// samples of municipal leaves, from 26.8 by 48.5 to 71.8 (Heckman and
// Kluchinski 1996): as the ends of 100 normal values lie 2.51 deviations off,
// their deviation is 8.7 on the low and 9.3 on the high side. The distribution
// drawn may be a little narrower, within a tenth.
func TestLeavesSpreadLikeSamples(t *testing.T) {
	const ends = 2.51 // expected extreme of 100 normal values
	below, above := (48.5-26.8)/ends, (71.8-48.5)/ends
	assert.InDelta(t, 8.7, below, 0.06)
	assert.InDelta(t, 9.3, above, 0.06)
	_, deviation := moments(Spread{Shape: PERT, Low: 26.8, Typical: 48.5, High: 71.8}.table())
	assert.InEpsilon(t, (below+above)/2, deviation, 0.10)
}

// TestNitrogenOfLeavesIsSkewed: the same samples hold 6.6 to 16.2 g N/kg about
// a median of 9.4, a long tail to the right.
func TestNitrogenOfLeavesIsSkewed(t *testing.T) {
	for _, shape := range []Shape{PERT, LogNormal} {
		q := Spread{Shape: shape, Low: 6.6, Typical: 9.4, High: 16.2}.table()
		assert.Greater(t, q.at(0.95)-q.at(0.5), 1.3*(q.at(0.5)-q.at(0.05)), shape)
	}
}

func TestQuantilesOfNormalShapes(t *testing.T) {
	for _, shape := range []Shape{LogNormal, Normal} {
		q := Spread{Shape: shape, Low: 60, Typical: 100, High: 200}.table()
		assert.InEpsilon(t, 60, q.at(0.05), 1e-3, shape)
		assert.InEpsilon(t, 100, q.at(0.50), 1e-9, shape)
		assert.InEpsilon(t, 200, q.at(0.95), 1e-3, shape)
	}
}

func TestFixedDoesNotSpread(t *testing.T) {
	for _, s := range []Spread{
		{Shape: Fixed, Low: 1, Typical: 2, High: 3},
		{Shape: PERT, Low: 2, Typical: 2, High: 2},
		{Shape: Normal, Low: math.NaN(), Typical: 2, High: math.NaN()},
	} {
		assert.Equal(t, quantiles{2}, s.table())
	}
}

// TestTablesAgreeWithReferee holds the tables against the quantiles of another
// library's distributions, between the steps too.
func TestTablesAgreeWithReferee(t *testing.T) {
	at := []float64{0.003, 0.0123, 0.05, 0.1, 0.25, 0.3333, 0.5, 0.71, 0.9, 0.95, 0.99, 0.9961}
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(0.1, 100).Draw(t, "low")
		width := rapid.Float64Range(0.01, 100).Draw(t, "width")
		peak := rapid.Float64Range(0, 1).Draw(t, "peak")
		s := Spread{Shape: PERT, Low: low, Typical: low + peak*width, High: low + width}
		q, beta := s.table(), betaOf(s, nil)
		for _, u := range at {
			assert.InDelta(t, low+width*beta.Quantile(u), q.at(u), 2e-3*width, "PERT at %g", u)
		}
		sigma := rapid.Float64Range(0.01, 0.5).Draw(t, "sigma")
		ratio := math.Exp(distuv.UnitNormal.Quantile(0.95) * sigma)
		q = Spread{Shape: LogNormal, Low: low / ratio, Typical: low, High: low * ratio}.table()
		for _, u := range at {
			assert.InEpsilon(t, distuv.LogNormal{Mu: math.Log(low), Sigma: sigma}.Quantile(u), q.at(u), 0.02*sigma, "lognormal at %g", u)
		}
		half := distuv.UnitNormal.Quantile(0.95) * sigma
		q = Spread{Shape: Normal, Low: 2 - half, Typical: 2, High: 2 + half}.table()
		for _, u := range at {
			assert.InDelta(t, distuv.Normal{Mu: 2, Sigma: sigma}.Quantile(u), q.at(u), 0.02*sigma, "normal at %g", u)
		}
	})
}

// TestTablesRise: no spread, however odd, may give a table that falls, or
// values of zero and less where its range is above zero.
func TestTablesRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		typical := rapid.Float64Range(1e-3, 1000).Draw(t, "typical")
		s := Spread{
			Shape:   Shape(rapid.IntRange(0, 3).Draw(t, "shape")),
			Low:     typical * rapid.Float64Range(0, 1).Draw(t, "low"),
			Typical: typical,
			High:    typical * rapid.Float64Range(1, 20).Draw(t, "high"),
		}
		q := s.table()
		for i, v := range q {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%+v at %d: %g", s, i, v)
			if i > 0 {
				require.GreaterOrEqual(t, v, q[i-1], "%+v at %d", s, i)
			}
		}
		if s.Shape != PERT {
			require.Positive(t, q[0], "%+v", s)
		}
		require.GreaterOrEqual(t, q[0], 0.0)
	})
}

func TestShapesReadBack(t *testing.T) {
	for _, s := range []Shape{Fixed, PERT, LogNormal, Normal} {
		read, ok := ParseShape(s.String())
		assert.True(t, ok)
		assert.Equal(t, s, read)
	}
	for _, word := range []string{"", "PERT", "triangle"} {
		_, ok := ParseShape(word)
		assert.False(t, ok, fmt.Sprintf("%q", word))
	}
}
