package pile

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestCurveAgainstEverySpell holds the one pass over a series against all
// spells tried one by one.
func TestCurveAgainstEverySpell(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const gap, least = 26 * time.Hour, 20 * time.Minute
		var series []instant
		at := DayZero()
		for range rapid.IntRange(0, 25).Draw(t, "readings") {
			at = at.Add(time.Duration(rapid.SampledFrom([]int{10, 60, 600, 1440, 1560, 1570, 2880}).Draw(t, "minutes")) * time.Minute)
			series = append(series, instant{time: at, celsius: float64(rapid.IntRange(45, 72).Draw(t, "celsius"))})
		}
		best, additive := bestOnCurve(series, gap, least)
		most, sum := 0.0, 0.0
		for from := range series {
			low := series[from].celsius
			for to := from + 1; to < len(series); to++ {
				dt := series[to].time.Sub(series[to-1].time)
				if dt > gap {
					break
				}
				if to == from+1 {
					sum += dt.Hours() / 24 / CurveDays(min(series[from].celsius, series[to].celsius))
				}
				low = min(low, series[to].celsius)
				if held := series[to].time.Sub(series[from].time); held >= least {
					most = max(most, held.Hours()/24/CurveDays(low))
				}
			}
		}
		require.InDelta(t, most, best.Share, 1e-9*max(1, most))
		require.InDelta(t, sum, additive, 1e-9*max(1, sum))
		if best.Share > 0 {
			require.InDelta(t, best.Share, best.Length.Hours()/24/CurveDays(best.Celsius), 1e-9*best.Share)
			require.Equal(t, best.Length, best.To.Sub(best.From))
			require.False(t, math.IsInf(best.Share, 0))
		}
	})
}
