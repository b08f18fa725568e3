package pile

import "time"

// condenseAbove is the number of readings above which a log is condensed. A
// heap takes hours to change; a logger that writes every ten seconds fills memory
// with what no rule asks for.
const condenseAbove = 200_000

// condense thins series that are too long: of each probe and each stretch of
// time the lowest and the highest reading stay, so that the lows and highs of
// hours and days do, whatever the zone. It returns the length of the stretches,
// or 0 when nothing was thinned.
func (g *gatherer) condense(series [][]uint32) time.Duration {
	total := 0
	for _, s := range series {
		total += len(s)
	}
	if total <= condenseAbove {
		return 0
	}
	// No longer than the quarter hour by which time zones differ, so that none
	// lies in two days.
	stretches := []time.Duration{time.Minute, 5 * time.Minute, 15 * time.Minute}
	for i, stretch := range stretches {
		last := i+1 == len(stretches)
		kept := 0
		for _, s := range series {
			kept += g.thinned(s, stretch, nil)
		}
		if kept > condenseAbove && !last {
			continue
		}
		for i, s := range series {
			out := s[:0]
			g.thinned(s, stretch, func(at uint32) { out = append(out, at) })
			series[i] = out
		}
		return stretch
	}
	return 0
}

// thinned gives the lowest and the highest reading of each stretch to keep, in
// order, and counts them.
func (g *gatherer) thinned(s []uint32, stretch time.Duration, keep func(uint32)) int {
	kept := 0
	for i := 0; i < len(s); {
		bin := floorDiv(g.at(s[i]).ms, stretch.Milliseconds())
		low, high, end := i, i, i
		for ; end < len(s) && floorDiv(g.at(s[end]).ms, stretch.Milliseconds()) == bin; end++ {
			switch c := celsiusOf(g.at(s[end])); {
			case c < celsiusOf(g.at(s[low])):
				low = end
			case c > celsiusOf(g.at(s[high])):
				high = end
			}
		}
		first, second := s[min(low, high)], s[max(low, high)]
		kept++
		if low != high {
			kept++
		}
		if keep != nil {
			keep(first)
			if low != high {
				keep(second)
			}
		}
		i = end
	}
	return kept
}
