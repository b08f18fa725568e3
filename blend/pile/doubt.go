package pile

import (
	"cmp"
	"slices"
	"sort"
	"time"
)

// doubtRule is why a reading is set aside.
type doubtRule uint8

const (
	noDoubt doubtRule = iota
	tooHot
	tooCold
	farDate
	outOfOrder
	duplicate
	secondReading
	spike
	stuck
	belowAir
)

func (d doubtRule) String() string {
	switch d {
	case tooHot:
		return "hotter than any heap that does not burn: a fault or a slip; if the heap smokes, call the fire service"
	case tooCold:
		return "colder than any heap or air: a fault of the probe, or a slip"
	case farDate:
		return "years away from the rest of the log: a slip in the date, or a clock that was not set"
	case outOfOrder:
		return "out of order: earlier than a reading of the same probe before it in the file"
	case duplicate:
		return "the same reading twice"
	case secondReading:
		return "another reading of the same probe at the same moment"
	case spike:
		return "a jump there and back that a heap does not make: a fault of the probe, or a slip"
	case stuck:
		return "the very same figure for days: the probe may be stuck or the logger frozen"
	case belowAir:
		return "colder than the coldest air in the log: a fault of the probe, or a slip"
	}
	return ""
}

// The bounds beyond which a reading is set aside. They are judgements: each is
// put where a sound probe in a living heap does not go, so that a true reading
// is not lost. A reading that is set aside is listed, and never lifts a verdict.
const (
	// tooHotC: self-heating without life goes on to ignition at about 150 to 200
	// C (from memory); loggers write 850, 999 or 3276.7 for a broken probe.
	tooHotC = 150
	// tooColdC: loggers write -127, -50 or -999 for a broken probe.
	tooColdC = -40
	// farDays: no heap is logged with a gap of two years in it.
	farDays = 730
	// A heap is slow. A reading that lies spikeC or more to one side of both its
	// neighbours, which agree with each other within spikeAgreeC, is a spike
	// when both are within spikeWithin; or with slowSpikeC within slowSpikeWithin
	// for those who read once a day. Turning cools a heap at once, so that no
	// reading within a day of something done is one.
	spikeC          = 15
	slowSpikeC      = 40
	spikeAgreeC     = 10
	spikeWithin     = 3 * time.Hour
	slowSpikeWithin = 36 * time.Hour
	spikeQuiet      = 24 * time.Hour
	// A probe is stuck that shows the very same figure stuckCount times or more,
	// over as long as its resolution makes unlikely: a sound one moves by tenths
	// of a degree within a day, by halves within three; whole degrees, as people
	// read them, may stay for ten.
	stuckCount  = 10
	stuckTenths = 24 * time.Hour
	stuckHalves = 72 * time.Hour
	stuckWhole  = 240 * time.Hour
	tenth       = 0.1
	half        = 0.5
	// belowAirC: evaporation cools a heap by a few degrees, not by ten below the
	// coldest of at least belowAirCount readings of the air.
	belowAirC     = 10
	belowAirCount = 3
)

// judge marks the readings that are doubtful and takes them out of the series,
// which end up in order of time.
func (g *gatherer) judge(series [][]uint32, events []Event) {
	middle, known := g.middle(series)
	for i, s := range series {
		s = g.mark(s, func(r *record) doubtRule {
			switch c := celsiusOf(r); {
			case c > tooHotC:
				return tooHot
			case c < tooColdC:
				return tooCold
			case known && (r.ms-middle > farDays*msPerDay || middle-r.ms > farDays*msPerDay):
				return farDate
			}
			return noDoubt
		})
		s = g.inOrder(s)
		s = g.single(s)
		if !g.probes[i].ambient {
			s = g.withoutSpikes(s, events)
			s = g.unstuck(s, g.probes[i].finest)
		}
		series[i] = s
	}
	g.aboveAir(series)
	g.tell()
}

// mark keeps the records in which rule sees no doubt.
func (g *gatherer) mark(s []uint32, rule func(*record) doubtRule) []uint32 {
	kept := s[:0]
	for _, i := range s {
		r := g.at(i)
		if d := rule(r); d != noDoubt {
			r.setDoubt(d)
			continue
		}
		kept = append(kept, i)
	}
	return kept
}

// middle is the moment of the reading in the middle of the file's times.
func (g *gatherer) middle(series [][]uint32) (int64, bool) {
	const sampled = 1001
	total := 0
	for _, s := range series {
		total += len(s)
	}
	if total < 3 {
		return 0, false
	}
	step := max(1, total/sampled)
	var times []int64
	for i := 0; i < total; i += step {
		times = append(times, g.at(uint32(i)).ms)
	}
	slices.Sort(times)
	return times[len(times)/2], true
}

// inOrder puts a series in order of time. A file may run from the newest row to
// the oldest; else the rows that must be left out for the rest to be in order
// are doubtful, and as few as that takes.
func (g *gatherer) inOrder(s []uint32) []uint32 {
	if g.unsorted {
		slices.SortStableFunc(s, func(a, b uint32) int { return cmp.Compare(g.at(a).ms, g.at(b).ms) })
		return s
	}
	up, down := 0, 0
	for i := 1; i < len(s); i++ {
		switch a, b := g.at(s[i-1]).ms, g.at(s[i]).ms; {
		case a < b:
			up++
		case a > b:
			down++
		}
	}
	if down > up {
		slices.Reverse(s)
		up, down = down, up
	}
	if down == 0 {
		return s
	}
	keep := longestRising(len(s), func(i int) int64 { return g.at(s[i]).ms })
	var kept, left []uint32
	for i, at := range s {
		if keep[i] {
			kept = append(kept, at)
		} else {
			left = append(left, at)
		}
	}
	for _, at := range left {
		r := g.at(at)
		d := outOfOrder
		n, _ := slices.BinarySearchFunc(kept, r.ms, func(i uint32, ms int64) int { return cmp.Compare(g.at(i).ms, ms) })
		if n < len(kept) && g.at(kept[n]).ms == r.ms && celsiusOf(g.at(kept[n])) == celsiusOf(r) {
			d = duplicate
		}
		r.setDoubt(d)
	}
	return kept
}

// longestRising marks a longest subsequence that does not fall (patience
// sorting, in n log n).
func longestRising(n int, key func(int) int64) []bool {
	keep := make([]bool, n)
	before := make([]int32, n)
	var ends []int32 // ends[k] ends the best sequence of length k+1 so far
	for i := range n {
		k := sort.Search(len(ends), func(k int) bool { return key(int(ends[k])) > key(i) })
		before[i] = -1
		if k > 0 {
			before[i] = ends[k-1]
		}
		if k == len(ends) {
			ends = append(ends, int32(i))
		} else {
			ends[k] = int32(i)
		}
	}
	for i := ends[len(ends)-1]; i >= 0; i = before[i] {
		keep[i] = true
	}
	return keep
}

// single keeps one reading for each moment. Where the log has no times of day,
// several different readings of one day are several places or hours, and all
// are kept.
func (g *gatherer) single(s []uint32) []uint32 {
	first := 0 // of those at the same moment
	kept := s[:0]
	for _, i := range s {
		r := g.at(i)
		for first < len(kept) && g.at(kept[first]).ms != r.ms {
			first++
		}
		d := noDoubt
		for _, other := range kept[first:] {
			if g.at(other).value == r.value && (g.at(other).flags^r.flags)&(inCelsius|inFahrenheit) == 0 {
				d = duplicate
				break
			}
		}
		if d == noDoubt && first < len(kept) && r.flags&withoutClock == 0 {
			d = secondReading
		}
		const most = 1000 // readings of one day that are told apart
		if d == noDoubt && len(kept)-first < most {
			kept = append(kept, i)
			continue
		}
		if d == noDoubt {
			d = secondReading
		}
		r.setDoubt(d)
	}
	return kept
}

// withoutSpikes takes out single readings that jump there and back.
func (g *gatherer) withoutSpikes(s []uint32, events []Event) []uint32 {
	kept := s[:0]
	// Read ahead of kept, which is written over s from the left.
	for i := range s {
		r := g.at(s[i])
		if len(kept) > 0 && i+1 < len(s) && g.isSpike(g.at(kept[len(kept)-1]), r, g.at(s[i+1]), events) {
			r.setDoubt(spike)
			continue
		}
		kept = append(kept, s[i])
	}
	return kept
}

func (g *gatherer) isSpike(before, r, after *record, events []Event) bool {
	a, c, b := celsiusOf(before), celsiusOf(r), celsiusOf(after)
	size := min(c-a, c-b)
	if c < a {
		size = min(a-c, b-c)
	}
	if size < spikeC || max(a-b, b-a) > spikeAgreeC {
		return false
	}
	span := time.Duration(max(r.ms-before.ms, after.ms-r.ms)) * time.Millisecond
	if !(span <= spikeWithin || size >= slowSpikeC && span <= slowSpikeWithin) {
		return false
	}
	from := time.UnixMilli(before.ms).Add(-spikeQuiet)
	i := sort.Search(len(events), func(i int) bool { return !events[i].Time.Before(from) })
	for ; i < len(events) && events[i].Time.UnixMilli() <= after.ms; i++ {
		if events[i].Kind != Noted {
			return false
		}
	}
	return true
}

// unstuck takes out all but the first of a figure that stays too long.
func (g *gatherer) unstuck(s []uint32, finest float64) []uint32 {
	long := stuckWhole
	switch {
	case finest <= tenth:
		long = stuckTenths
	case finest <= half:
		long = stuckHalves
	}
	kept := s[:0]
	for i := 0; i < len(s); {
		end := i + 1
		for end < len(s) && celsiusOf(g.at(s[end])) == celsiusOf(g.at(s[i])) {
			end++
		}
		lasts := time.Duration(g.at(s[end-1]).ms-g.at(s[i]).ms) * time.Millisecond
		if end-i >= stuckCount && lasts >= long {
			kept = append(kept, s[i])
			for _, at := range s[i+1 : end] {
				g.at(at).setDoubt(stuck)
			}
		} else {
			kept = append(kept, s[i:end]...)
		}
		i = end
	}
	return kept
}

// aboveAir takes out readings of the pile that are colder than the air was.
func (g *gatherer) aboveAir(series [][]uint32) {
	count, coldest := 0, 0.0
	for i, s := range series {
		if g.probes[i].ambient {
			for _, at := range s {
				c := celsiusOf(g.at(at))
				if count == 0 || c < coldest {
					coldest = c
				}
				count++
			}
		}
	}
	if count < belowAirCount {
		return
	}
	for i, s := range series {
		if !g.probes[i].ambient {
			series[i] = g.mark(s, func(r *record) doubtRule {
				if celsiusOf(r) < coldest-belowAirC {
					return belowAir
				}
				return noDoubt
			})
		}
	}
}

// tell lists the readings that were marked. Those of one probe that follow one
// another for the same reason are one doubt.
func (g *gatherer) tell() {
	open := make([]int, len(g.probes)) // doubt of each probe that may go on, plus 1
	for _, chunk := range g.chunks {
		for i := range chunk {
			r := &chunk[i]
			d := r.doubt()
			if d == noDoubt {
				open[r.probe] = 0
				continue
			}
			if at := open[r.probe]; at > 0 && g.doubts[at-1].Reason == d.String() {
				g.doubts[at-1].Count++
				g.doubts[at-1].Last = int(r.line)
				continue
			}
			doubt := Doubt{Line: int(r.line), Reason: d.String(), Count: 1, Last: int(r.line)}
			if len(g.doubts) < listedMost {
				doubt.Text = g.words(r)
			}
			open[r.probe] = 1 + g.list(doubt)
		}
	}
}
