package pile

import (
	"fmt"

	"heapwright/blend"
)

// Action is what to do with a pile.
type Action uint8

const (
	ActOnHeat Action = iota + 1 // cool it: it is too hot
	Turn
	Water
	Add
	Cover
	Wait
	Look // measure or look before doing anything
	Cure // leave it to cure
)

// String gives the words used in text and JSON.
func (a Action) String() string {
	return [...]string{"", "act on heat", "turn", "water", "add", "cover", "wait", "look", "move to curing"}[a]
}

// Advice is one thing to do today, with the reading that calls for it.
type Advice struct {
	Action   Action
	Text     string
	Because  string // the reading or figure that triggers it
	Band     string // the figures that it is held against
	Source   string
	Standing Standing // of the figures; 0 for common practice and judgements
	// WaterLow and WaterHigh are litres to add, where they can be told; else 0.
	WaterLow, WaterHigh float64
}

// Circumstances are what is known beside the log. The zero value is nothing.
type Circumstances struct {
	Moisture *Moistness    // as squeezed today
	Recipe   *blend.Recipe // of the pile as it was built, from the plan
}

// Advise says what to do as of the last day of the log, what matters most
// first. It is never empty for a course.
func (c *Course) Advise(known Circumstances) []Advice {
	a := &advising{Course: c, Circumstances: known}
	a.size()
	if !a.tooHot() {
		a.today()
	}
	a.weather()
	return a.advice
}

// advising is the advice in the making.
type advising struct {
	*Course
	Circumstances
	advice []Advice

	now        Day     // last day with a reading
	high       Reading // its hottest
	sinceTurn  int     // days from the last turning to the last day; large for none
	lastAnswer *Answer // to the last turning; nil for none
}

const never = 1 << 20

func (a *advising) size() {
	a.now = a.Last()
	a.high, _ = a.now.High()
	a.sinceTurn = never
	if n := len(a.Turnings); n > 0 {
		a.lastAnswer = &a.Turnings[n-1]
		a.sinceTurn = a.now.Number - a.lastAnswer.Day.Number
	}
}

// say adds an advice.
func (a *advising) say(action Action, text, because string, from source) *Advice {
	a.advice = append(a.advice, Advice{Action: action, Text: text, Because: because, Band: from.band, Source: from.name, Standing: from.standing})
	return &a.advice[len(a.advice)-1]
}

// source is where a band of figures comes from.
type source struct {
	band, name string
	standing   Standing
}

// hottest words the last day's hottest reading.
func (a *advising) hottest() string {
	return fmt.Sprintf("%s on %s", a.high, a.Log.DayName(a.now))
}

const fireCaution = " Do not pull apart a pile that smokes or smells of burning: keep away and call the fire service. Large, dry, unevenly wet heaps are the ones that catch fire; have water at hand, and keep them under 3.6 m (12 ft) high."

// tooHot acts on heat, and reports whether there was need to.
func (a *advising) tooHot() bool {
	reaches := func(l Limit) bool { return (Rule{From: l}).holds(a.high) }
	switch {
	case reaches(Limit{85, 185}):
		a.say(ActOnHeat, "Danger: cool it at once. Open it out in small lots and soak each, with someone standing by."+fireCaution, a.hottest(),
			source{"85 C (185 F) and more: cool at once", "NRCS practice 317 job sheet; heaps under 12 ft: fire reports (University of Tennessee, NC DEQ)", Seen})
	case reaches(Limit{74, 165}):
		a.say(ActOnHeat, "Turn it now and wet it as you turn, right through and not only on top; build it lower, and read it several times a day until it is under 70 C (158 F)."+fireCaution, a.hottest(),
			source{"over 74 C (165 F): watch closely; 71 C (160 F): turn and wet", "NRCS practice 317 job sheet; NC DEQ fire guidance", Seen})
	case reaches(Limit{71, 160}):
		a.say(ActOnHeat, "Too hot: turn it, and wet it as you turn if it is drier than a wrung sponge. Most microbes are failing at this heat, and nitrogen and water are being lost."+fireCaution, a.hottest(),
			source{"71 C (160 F) and more: turn and wet", "NC DEQ fire guidance", Seen})
	default:
		return false
	}
	return true
}

// today finds the stage and what it calls for.
func (a *advising) today() {
	switch {
	case a.unread():
	case a.failing():
		a.diagnose()
	case a.high.Celsius >= sanitation:
		a.whileHot()
	case a.sinceTurn >= 0 && a.sinceTurn < backWithin && a.Peak.Celsius >= curingBelow && a.lastAnswer.Has && a.lastAnswer.Before.Celsius >= curingBelow:
		a.justTurned()
	case a.wasHot():
		a.pastHot()
	case a.slow():
		a.diagnoseSlow()
	default:
		a.heating()
	}
}

// unread asks for a reading where the log goes on for days without one.
func (a *advising) unread() bool {
	last := a.Days[len(a.Days)-1]
	if gap := last.Number - a.now.Number; gap > 2 {
		a.say(Look, "Read the thermometer: what to do depends on it.", fmt.Sprintf("the last reading is %s older than the last entry", some(gap, "day")), practice)
		return true
	}
	return false
}

// practice marks what composters do, and no source gives a figure for.
var practice = source{name: "common practice, no source"}

// changed reports whether the pile was watered, added to or turned in the last
// days, and the change needs time to tell.
func (a *advising) changed() (what string, ok bool) {
	word := map[EventKind]string{Watered: "watered", Added: "material added"}
	for i := len(a.Days) - 1; i >= 0 && a.Days[len(a.Days)-1].Number-a.Days[i].Number < backWithin; i-- {
		for _, e := range a.Days[i].Events {
			if e.Kind == Watered || e.Kind == Added {
				return fmt.Sprintf("%s on %s", word[e.Kind], a.Log.DayName(a.Days[i])), true
			}
		}
		if len(a.Days[i].Turnings) > 0 {
			return "turned on " + a.Log.DayName(a.Days[i]), true
		}
	}
	return "", false
}

// wasHot reports whether the pile has been through a hot phase.
func (a *advising) wasHot() bool { return a.Peak.Celsius >= 50 }

// failing reports whether the pile does not heat at all.
func (a *advising) failing() bool {
	if a.Peak.Celsius >= thermophilic {
		return false
	}
	over, known := a.MostOver()
	return a.Age() >= 5 || a.Age() >= 3 && known && over <= 10
}

// slow reports whether it has warmed, but never got hot.
func (a *advising) slow() bool { return a.Age() >= 7 && a.Peak.Celsius < 50 }

// heating is the advice for a young pile that is warming.
func (a *advising) heating() {
	text := "Wait, and read it every day. A good mix is at 50 to 60 C (120 to 140 F) within two to five days."
	if a.isDry() {
		a.waterNow("It is too dry to heat well.")
		return
	}
	a.say(Wait, text, fmt.Sprintf("%s, %s old", a.hottest(), some(a.Age(), "day")),
		source{"49 C (120 F) in 2 days, 54 to 71 C (130 to 160 F) in 3 to 5 days", "master-gardener note (extension)", Seen})
}

// whileHot is the advice at 55 C and more.
func (a *advising) whileHot() {
	hot := a.hotSinceTurn()
	tally := fmt.Sprintf("%s at %s or more since ", some(hot, "day"), a.Log.Limit(ruledIn131()))
	if a.lastAnswer != nil {
		tally += "the last turning"
	} else {
		tally += "it was built, and no turning"
	}
	threeDays := source{"3 days at 55 C (131 F) before each of 5 turnings", "rule of thumb: S. Brown, University of Washington", Seen}
	switch {
	case a.isDry():
		a.waterNow("It is hot and drying out: turn it, and wet it as you turn.")
	case a.isWet():
		a.tooWet()
	case (Rule{From: Limit{65, 150}}).holds(a.high) && a.sinceTurn >= 2:
		a.say(Turn, "Turn it at the next chance, and wet it if it is drier than a wrung sponge: above this heat the microbes slow down and nitrogen is lost.", a.hottest(),
			source{"comfort limit 65 C (150 F); turn and wet at 71 C (160 F)", "NRAES-54; NC DEQ fire guidance", FromMemory})
	case a.Spread.HasLast && a.Spread.Last > Uneven && a.sinceTurn >= 2:
		a.say(Turn, "Turn the outside to the inside: it is uneven.", fmt.Sprintf("the probes differ by %s", a.Log.Difference(a.Spread.Last)),
			source{"like spots within 10 C (18 F) are even", "USDA APHIS", Seen})
	case hot >= 3:
		a.say(Turn, "Turn it, the outside to the inside, so that another part has its time in the core. Then let it heat again.", tally, threeDays)
	default:
		text := "Wait: it is as it should be."
		if left := 3 - hot; left > 0 {
			text += fmt.Sprintf(" Turn it after %s like this.", some(left, "more day"))
			if left > 1 {
				text = fmt.Sprintf("Wait: it is as it should be. Turn it after %d more days like this.", left)
			}
		}
		a.say(Wait, text, a.hottest()+"; "+tally, threeDays)
	}
}

// hotSinceTurn counts the days at 55 C, by the hottest reading, after the last
// turning.
func (a *advising) hotSinceTurn() int {
	n := 0
	for _, d := range a.Days {
		high, ok := d.High()
		if ok && (a.lastAnswer == nil || d.Number > a.lastAnswer.Day.Number) && (Rule{From: ruledIn131()}).holds(high) {
			n++
		}
	}
	return n
}

// justTurned is the advice within days of a turning.
func (a *advising) justTurned() {
	if a.isDry() {
		a.waterNow("It was turned dry: water it now, so that it can come back.")
		return
	}
	turned := "turned the same day"
	if a.sinceTurn > 0 {
		turned = fmt.Sprintf("turned %s before", some(a.sinceTurn, "day"))
	}
	a.say(Wait, "Wait: a drop after turning is normal, and a healthy pile is hot again in one or two days.", a.hottest()+", "+turned,
		source{"back within 1 to 2 days", "published series and common practice", 0})
}
