package pile

import (
	"math"
	"time"
)

// CurveDays is how long material must hold a temperature of 50 C or more by
// the time-temperature curve of 40 CFR 503.32(a)(3), in days, for 7 % solids
// or more: D = 131,700,000 / 10^(0.14 T). It is +Inf under 50 C.
func CurveDays(celsius float64) float64 {
	const from, scale, slope = 50, 131_700_000, 0.14
	if !(celsius >= from) {
		return math.Inf(1)
	}
	return scale / math.Pow(10, slope*celsius)
}

// curveSpell is the spell at one temperature that comes nearest to what the
// curve asks: Share is its length over what is asked, 1 and more being enough.
type curveSpell struct {
	Celsius  float64
	Length   time.Duration
	From, To time.Time
	Share    float64
}

// bestOnCurve looks for it among all spells: for each reading, the spell
// around it in which nothing is lower. least is the shortest spell that
// counts. The second result sums dt/D(T) over the whole series, each interval
// at the lower of its two ends; the rule's text does not have that sum.
func bestOnCurve(series []instant, gap, least time.Duration) (best curveSpell, additive float64) {
	// open holds the readings that could still be the lowest of a spell,
	// rising, each with the time from which nothing was lower.
	type start struct {
		celsius float64
		from    time.Time
	}
	var open []start
	closeAbove := func(celsius float64, to time.Time) time.Time {
		from := to
		for n := len(open); n > 0 && open[n-1].celsius >= celsius; n = len(open) {
			s := open[n-1]
			open, from = open[:n-1], s.from
			length := to.Sub(s.from)
			share := length.Hours() / 24 / CurveDays(s.celsius)
			if length >= least && share > best.Share {
				best = curveSpell{s.celsius, length, s.from, to, share}
			}
		}
		return from
	}
	for i, now := range series {
		from := now.time
		if i > 0 {
			before := series[i-1]
			if dt := now.time.Sub(before.time); dt <= gap {
				additive += dt.Hours() / 24 / CurveDays(min(now.celsius, before.celsius))
				// A spell at the higher of two readings ends with it; at the
				// lower it runs on.
				if now.celsius < before.celsius {
					from = closeAbove(math.Nextafter(now.celsius, math.Inf(1)), before.time)
				}
			} else {
				closeAbove(math.Inf(-1), before.time)
			}
		}
		if n := len(open); n > 0 && open[n-1].celsius == now.celsius {
			continue
		}
		open = append(open, start{now.celsius, from})
	}
	if n := len(series); n > 0 {
		closeAbove(math.Inf(-1), series[n-1].time)
	}
	return best, additive
}
