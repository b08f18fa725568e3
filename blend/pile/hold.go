package pile

import "time"

// instant is the deciding temperature of a pile at one time.
type instant struct {
	time    time.Time
	celsius float64
	holds   bool
}

// instants merges readings of the same time into one: the lowest decides, or
// the highest where the choice is hopeful. The readings are in order of time.
func instants(readings []Reading, hopeful bool, holds func(Reading) bool) []instant {
	var out []instant
	for _, r := range readings {
		now := instant{r.Time, r.Celsius, holds(r)}
		if n := len(out); n > 0 && out[n-1].time.Equal(r.Time) {
			last := &out[n-1]
			if hopeful {
				last.celsius, last.holds = max(last.celsius, now.celsius), last.holds || now.holds
			} else {
				last.celsius, last.holds = min(last.celsius, now.celsius), last.holds && now.holds
			}
			continue
		}
		out = append(out, now)
	}
	return out
}

// span is a stretch of time.
type span struct{ from, to time.Time }

func (s span) length() time.Duration { return s.to.Sub(s.from) }

// longestHold is the longest stretch in which every reading holds and no two
// lie further apart than gap. One reading alone shows no length.
func longestHold(series []instant, gap time.Duration) (best span) {
	var now span
	for i, at := range series {
		switch {
		case !at.holds:
			now = span{}
		case i == 0 || !series[i-1].holds || at.time.Sub(series[i-1].time) > gap:
			now = span{at.time, at.time}
		default:
			now.to = at.time
		}
		if now.length() > best.length() {
			best = now
		}
	}
	return best
}
