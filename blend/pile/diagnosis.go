package pile

import (
	"fmt"
	"strings"

	"heapwright/blend"
)

// Bounds of the diagnosis. Sources differ on them; text shows the band.
const (
	dryBelow     = 0.40 // moisture; slow under 35 to 40 %, stops under 30 % (Cornell; AgriFutures)
	wetAbove     = 0.65 // short of air over 60 to 65 % (Cornell; AgriFutures)
	carbonAbove  = 40   // C:N; slow over 35 to 40 (New Brunswick)
	slowCarbon   = 35
	denseAbove   = 650  // kg/m3 (LSU AgCenter 3838-D)
	airLeast     = 0.30 // free air space (Haug, from memory)
	airMost      = 0.70 // straw mixes above it did not hold 55 C (Michel et al. 2004)
	smallBelow   = 0.76 // m3; 0.76 to 1 m3 (Klickitat County; FAO)
	coldBelow    = 5.0  // C of the air (a judgement)
	wantedLow    = 0.50
	wantedUsual  = 0.55
	wantedHigh   = 0.60
	rewetSources = "AgriFutures; Cornell Composting"
)

var moistureBand = source{"50 to 60 % is best; under 40 % slow, under 30 % it stops; over 60 to 65 % it runs short of air", rewetSources, Seen}

// isDry and isWet go by what was squeezed today.
func (a *advising) isDry() bool { return a.Moisture != nil && a.Moisture.Usual < dryBelow }
func (a *advising) isWet() bool { return a.Moisture != nil && a.Moisture.Usual > wetAbove }

// waterNow advises to water, and how much.
func (a *advising) waterNow(why string) {
	m := a.Moisture.Usual
	low, high, how := a.litres(m)
	because := fmt.Sprintf("a squeeze of about %.0f %% moisture (%s), and %s", 100*m, a.Moisture.Told, a.hottest())
	advice := a.say(Water, why+" "+how+" Add it in lots while mixing, let each soak in, and stop when a handful holds together with a drop or two.", because, moistureBand)
	advice.WaterLow, advice.WaterHigh = low, high
}

// litres is the water to bring the pile from moisture m to 50 to 60 %, from
// the dry matter of the plan less what has rotted: none to 65 % of the volatile
// solids in two months (a judgement). Without a plan it is told for 100 kg,
// and the amounts are 0.
func (a *advising) litres(m float64) (low, high float64, how string) {
	if a.Recipe == nil || !(a.Recipe.Figures.DryKg > 0) {
		return 0, 0, fmt.Sprintf("About %s of water for each 100 kg of pile brings it to 55 %%; with --plan the amount can be told for the whole pile.", a.volume(blend.WaterToReach(100, m, wantedUsual)))
	}
	f := a.Recipe.Figures
	const most, over = 0.65, 60.0 // of volatile solids, in days
	left := 1 - f.VolatileSolids*most*min(1, float64(max(0, a.Age()))/over)
	ratio := func(m float64) float64 { return m / (1 - m) }
	low = max(0, f.DryKg*left*(ratio(wantedLow)-ratio(m)))
	high = max(low, f.DryKg*(ratio(wantedHigh)-ratio(m)))
	return low, high, fmt.Sprintf("About %s to %s of water brings it to 50 to 60 %%.", a.volume(low), a.volume(high))
}

// volume writes litres to two digits; in a log in F, US gallons too.
func (a *advising) volume(litres float64) string {
	text := number(roughly(litres), 0) + " L"
	if a.Log.Unit == "F" {
		const gallon = 3.785411784
		text += fmt.Sprintf(" (%s US gal)", number(roughly(litres/gallon), 1))
	}
	return text
}

// roughly rounds to what such an amount deserves: fives under 100, else tens.
func roughly(v float64) float64 {
	step := 10.0
	switch {
	case v < 20:
		step = 1
	case v < 100:
		step = 5
	}
	return step * float64(int(v/step+0.5))
}

// tooWet advises on a wet pile.
func (a *advising) tooWet() {
	a.say(Add, "Too wet: turn it, and mix in coarse dry material (shredded twigs, straw, dry leaves) until a hard squeeze gives no more than a drop or two. Cover it against rain, and keep what drips out of drains and streams.",
		fmt.Sprintf("a squeeze of about %.0f %% moisture (%s)", 100*a.Moisture.Usual, a.Moisture.Told), moistureBand)
}

// diagnose finds out why a pile does not heat.
func (a *advising) diagnose() {
	because := fmt.Sprintf("%s at the most in %s", a.Peak, some(a.Age(), "day"))
	if over, known := a.MostOver(); known {
		because += fmt.Sprintf(", %s over the air", a.Log.Difference(over))
	}
	if what, ok := a.changed(); ok {
		a.say(Wait, "Wait two or three days and read it: what was done needs that long to show.", because+"; "+what, practice)
		return
	}
	found := a.causes(because, carbonAbove)
	switch {
	case found:
	case a.Moisture == nil:
		a.say(Look, "It does not heat. Squeeze a handful from the middle, hard (heapwright log --squeeze), and name the plan (--plan): too dry and too wet are the commonest reasons; then too little green stuff, too small a heap, packed too tight.", because, neverOver)
	default:
		a.say(Add, "It does not heat, and moisture is not the reason. Mix in fresh green stuff or manure as you turn it; see that the heap is about 1 m3 or more and not packed.", because, neverOver)
	}
}

var neverOver = source{"a pile that stays within about 10 C of the air for 3 to 5 days", "AgriFutures; FAO; NRAES-54 (in part from memory)", FromMemory}

// diagnoseSlow is for a pile that warms to 40 or 50 C and no further.
func (a *advising) diagnoseSlow() {
	because := fmt.Sprintf("%s at the most in %s", a.Peak, some(a.Age(), "day"))
	if what, ok := a.changed(); ok {
		a.say(Wait, "Wait two or three days and read it: what was done needs that long to show.", because+"; "+what, practice)
		return
	}
	if !a.causes(because, slowCarbon) {
		a.say(Add, "It is slow: mix in fresh green stuff or manure as you turn it, shred what is coarse, and see that it is moist as a wrung sponge and large enough (about 1 m3).", because,
			source{"C:N over 35 is slow; 25 to 30 is best", "New Brunswick factsheet", Seen})
	}
}

// causes lists what stands in the way of heat, by squeeze, plan and air; what
// can be mended soonest comes first.
func (a *advising) causes(because string, carbon float64) bool {
	before := len(a.advice)
	// A pile that should heat and does not is held to the band that is best.
	switch {
	case a.isDry():
		a.waterNow("Too dry to heat: wet it as you turn it.")
	case a.Moisture != nil && a.Moisture.Usual < wantedLow:
		a.waterNow("Drier than is good for heating: wet it as you turn it.")
	case a.Moisture != nil && a.Moisture.Usual > wantedHigh:
		a.tooWet()
	}
	if a.Recipe != nil {
		a.causesOfPlan(because, carbon)
	}
	if air, ok := a.now.AirMean(); ok && air < coldBelow {
		a.say(Cover, "Cold weather: cover the heap with straw, leaves or old carpet, turn it seldom, and make it larger if you can.", fmt.Sprintf("the air is at %s", a.Log.Degrees(air)),
			source{"heaps slightly larger, fewer turnings, out of the wind", "WSU Whatcom County Extension", Seen})
	}
	return len(a.advice) > before
}

func (a *advising) causesOfPlan(because string, carbon float64) {
	f := a.Recipe.Figures
	plan := func(format string, v ...any) string { return "the plan: " + fmt.Sprintf(format, v...) + "; " + because }
	if a.Moisture == nil {
		switch m := f.Moisture; {
		case m < dryBelow:
			advice := a.say(Water, "", plan("%.0f %% moisture as built", 100*m), moistureBand)
			low, high, how := a.litres(m)
			advice.Text = "Too dry to heat: wet it as you turn it. " + how + " Stop when a handful holds together with a drop or two."
			advice.WaterLow, advice.WaterHigh = low, high
		case m > wetAbove:
			a.say(Add, "Too wet: turn it, and mix in coarse dry material (shredded twigs, straw, dry leaves) until a hard squeeze gives no more than a drop or two.", plan("%.0f %% moisture as built", 100*m), moistureBand)
		}
	}
	if f.CarbonToNitrogen > carbon {
		a.say(Add, "Too little nitrogen: mix in fresh green stuff or manure as you turn it. heapwright mix says how much would bring it to 30.", plan("C:N of %.0f", f.CarbonToNitrogen),
			source{"C:N over 35 to 40 is slow; 25 to 30 is best", "New Brunswick factsheet", Seen})
	}
	if f.BulkDensityKgM3 > denseAbove || f.FreeAirSpace < airLeast {
		a.say(Add, "Too dense: air does not get in. Turn it, and mix in something coarse and dry (wood chips, straw, shredded twigs).", plan("%.0f kg/m3, %.0f %% air", f.BulkDensityKgM3, 100*f.FreeAirSpace),
			source{"650 kg/m3 (1100 lb/yd3) at the most, 30 % air at the least", "LSU AgCenter 3838-D; the air in part from memory", FromMemory})
	}
	if f.VolumeM3 < smallBelow {
		a.say(Add, "Too small to keep its warmth: make it about 1 m3 or more, or put straw or leaves around it.", plan("%.2g m3 as built", f.VolumeM3),
			source{"0.76 to 1 m3 at the least", "Klickitat County; FAO", Seen})
	}
	if f.FreeAirSpace > airMost && len(a.advice) == 0 {
		a.say(Turn, "Very airy: it may lose its warmth as fast as it makes it. Turn it, tread or shred the coarse stuff, wet it, and cover it.", plan("%.0f %% air", 100*f.FreeAirSpace),
			source{"over about 70 % air, straw mixes did not hold 55 C", "Michel et al. (2004), ASAE 044030", Seen})
	}
}

// weather adds a cover against rain.
func (a *advising) weather() {
	if a.high.Celsius >= 71 {
		return
	}
	last := a.Days[len(a.Days)-1]
	for _, d := range a.Days {
		for _, e := range d.Events {
			if e.Kind == Rained && last.Number-d.Number <= 2 && !a.isDry() {
				a.say(Cover, "Cover it so that rain runs off, and keep what drips out of drains and streams.", strings.TrimSpace(fmt.Sprintf("rain on %s", a.Log.DayName(d))),
					source{"over 60 to 65 % moisture it runs short of air", rewetSources, Seen})
				return
			}
		}
	}
}
