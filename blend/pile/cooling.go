package pile

import "fmt"

// Sources of the advice on cooling and curing.
var (
	curingStarts = source{"curing begins when it stays under 45 C (113 F) even after turning, or does not reheat", "AgriFutures poultry waste guidelines; The Composting Handbook (2022)", Seen}
	coolTrigger  = source{"turn when the core falls under 43 to 49 C (110 to 120 F)", "NRAES-54 and extension texts", FromMemory}
	dryLooksDone = " A dry pile looks finished because it has stopped: squeeze a handful from the middle first (heapwright log --squeeze). It should be at 40 % moisture at least, better 50 % (The Composting Handbook 2022)."
)

// pastHot is the advice for a pile that was hot and is not now.
func (a *advising) pastHot() {
	because := a.hottest() + a.withTheAir()
	switch {
	case a.Phase().Kind == Curing && a.turnedWhenCool():
		a.curing(because)
	case a.isDry():
		a.waterNow("It cooled because it is dry: turn it, and wet it as you turn.")
	case a.isWet():
		a.tooWet()
	case a.sinceTurn < backWithin:
		a.say(Wait, "Wait two or three days after the turning to see whether it heats again.", because, source{"reheats within 2 to 3 days, or the active phase is over", "The Composting Handbook (2022)", Seen})
	case a.lastAnswer != nil && a.lastAnswer.Faded() && a.Moisture == nil:
		a.say(Look, "It did not come back after the turning. Squeeze a handful from the middle before anything else: too dry or too wet can be mended; if it is like a wrung sponge, the active phase is nearly over.", because+"; "+a.answerWords(),
			source{"no reheating in 2 to 3 days: too wet or dry, nitrogen used up, or the active phase is over", "The Composting Handbook (2022)", Seen})
	case a.lastAnswer != nil && a.lastAnswer.Faded() && a.high.Celsius < curingBelow:
		a.say(Cure, "It is moist enough and did not come back after the turning: the active phase is over. Move it to curing: heap it up under a cover that sheds rain, keep it moist, and leave it three weeks at the least.", because+"; "+a.answerWords(), curingStarts)
	case a.high.Celsius < 49:
		a.say(Turn, "Turn it, and wet it if it is drier than a wrung sponge. If it is not warm again in two or three days, it is ready to cure.", because+turnedLast(a), coolTrigger)
	case a.fell() >= 10 && a.sinceTurn > 2:
		a.say(Turn, "Turn it, and wet it as you turn: it is falling without having been turned, so its air or its water is used up.", because+turnedLast(a),
			source{"a rapid fall without turning: turn and wet", "SARE", Seen})
	default:
		a.say(Wait, "Wait, and read it tomorrow. Turn it when the core falls under about 49 C (120 F).", because, coolTrigger)
	}
}

func turnedLast(a *advising) string {
	if a.lastAnswer == nil {
		return ", and not turned yet"
	}
	return ", last turned on " + a.Log.DayName(a.lastAnswer.Day)
}

// turnedWhenCool reports whether a turning did not bring the pile back to 45 C:
// the last one was answered by less, and enough time has passed.
func (a *advising) turnedWhenCool() bool {
	t := a.lastAnswer
	return t != nil && a.sinceTurn >= backWithin && t.HasBest && t.Best.Celsius < curingBelow
}

// answerWords words the answer to the last turning.
func (a *advising) answerWords() string {
	t := a.lastAnswer
	return fmt.Sprintf("turned at %s, and %s at best since", a.Log.Degrees(t.Before.Celsius), a.Log.Degrees(t.Best.Celsius))
}

// warmCure is the temperature in C from which a curing pile is taken to be
// warmer than the air where the log does not give the air (a judgement).
const warmCure = 35.0

// curing is the advice for a pile that stays cool even after turning.
func (a *advising) curing(because string) {
	days := a.now.Number - a.Phase().From.Number
	over, known := a.Over()
	switch {
	case a.isDry():
		a.waterNow("It is cool because it is dry, and not because it is done: turn it and wet it, and see whether it heats.")
	case days < 21:
		text := "Move it to curing: heap it up under a cover that sheds rain, keep it as moist as a wrung sponge, and leave it for three to six weeks."
		if a.Moisture == nil {
			text += dryLooksDone
		}
		if air, ok := a.now.AirMean(); ok && air < coldBelow {
			text += " In this cold a small pile can look cured and only be chilled: if it is young, cover it and see."
		}
		a.say(Cure, text, because+a.fadingWords(), curingStarts)
	case known && over > 5:
		a.say(Wait, "Leave it to cure: it is not down to the temperature of the air yet.", fmt.Sprintf("%s, %s over the air after %d cool days", because, a.Log.Difference(over), days), source{"curing is over within about 5 C of the air", "AgriFutures poultry waste guidelines", Seen})
	case !known && a.high.Celsius >= warmCure:
		a.say(Wait, "Leave it to cure, and read the air too: it is done when it is within about 5 C (9 F) of the air.", fmt.Sprintf("%s, after %d cool days", because, days), source{"curing is over within about 5 C of the air", "AgriFutures poultry waste guidelines", Seen})
	default:
		text := "It may be ready: it has stayed cool for three weeks or more. Sow a few seeds in a sample and smell it after three days in a closed bag before you use it."
		if !known {
			text += " Read the air too: done is within about 5 C of it."
		}
		if a.Moisture == nil {
			text += dryLooksDone
		}
		a.say(Look, text, fmt.Sprintf("%s, %d days under %s", because, days, a.Log.Degrees(curingBelow)), source{"three to six weeks of curing, until within about 5 C of the air", "AgriFutures poultry waste guidelines", Seen})
	}
}

func (a *advising) fadingWords() string {
	if !a.Fading {
		return ""
	}
	return "; each turning brings back less heat"
}

// withTheAir says when a fall went along with the air, so that weather is not
// taken for a stall.
func (a *advising) withTheAir() string {
	for _, s := range a.Air {
		if s.Air < 0 && a.now.Number-s.To.Number <= 3 {
			return fmt.Sprintf(" (the air fell by %s in that time, so part of the fall is the weather)", a.Log.Difference(-s.Air))
		}
	}
	return ""
}

// fell is the fall in C of the hottest reading over the last four days.
func (a *advising) fell() float64 {
	top := a.high.Celsius
	for _, d := range a.Days {
		if high, ok := d.High(); ok && a.now.Number-d.Number <= 4 {
			top = max(top, high.Celsius)
		}
	}
	return top - a.high.Celsius
}
