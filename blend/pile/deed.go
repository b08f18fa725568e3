package pile

import (
	"math"
	"strings"
	"unicode"

	"heapwright/feedstocks"
)

// deed is an event without its time.
type deed struct {
	kind   EventKind
	litres float64
	text   string
}

// built is the kind of the deed that starts a log; it is no Event.
const built EventKind = 0xff

// readDeeds understands what a cell says was done. Words that are not known
// make a note of the whole. When strict, so does a single word that does not
// belong: a note that mentions turning is not a turning.
func readDeeds(cell string, strict bool) []deed {
	text := shorten(cell)
	lower := strings.ToLower(cell)
	kinds := map[EventKind]bool{}
	strange, negative := false, false
	for w := range strings.FieldsFuncSeq(lower, func(r rune) bool {
		return !unicode.IsLetter(r) && r != '\''
	}) {
		switch kind, ok := deedOf(w); {
		case ok:
			kinds[kind] = true
		case isNotYet(w), w == "to" && len(kinds) == 0:
			negative = true
		case !isFiller(w):
			strange = true
		}
	}
	if negative || strict && strange {
		return []deed{{Noted, math.NaN(), text}}
	}
	if kinds[Watered] {
		// "Added 20 L of water" is a watering.
		delete(kinds, Added)
	}
	var deeds []deed
	for _, kind := range []EventKind{built, Turned, Watered, Added, Rained} {
		if kinds[kind] {
			d := deed{kind, nan(), text}
			if kind == Watered {
				d.litres = litresIn(cell)
			}
			deeds = append(deeds, d)
		}
	}
	if len(deeds) == 0 && !kinds[0] {
		return []deed{{Noted, math.NaN(), text}}
	}
	return deeds
}

// deedOf knows the words for what is done to a pile; 0 and true for the words
// of a plain reading.
func deedOf(word string) (EventKind, bool) {
	switch word {
	case "turn", "turned", "turning", "turns", "returned", "mixed", "mixing", "remixed", "forked", "flipped":
		return Turned, true
	case "water", "watered", "watering", "wetted", "rewetted", "irrigated", "hosed", "soaked", "moistened":
		return Watered, true
	case "add", "added", "adding", "addition", "fed", "topped":
		return Added, true
	case "rain", "rained", "rainfall", "raining", "storm", "shower", "downpour":
		return Rained, true
	case "built", "build", "started", "start", "assembled", "charged", "made":
		return built, true
	case "reading", "read", "measured", "measurement", "measure", "checked", "check", "temperature", "temp", "none", "nothing":
		return 0, true
	}
	return 0, false
}

// isNotYet knows the words of what was not done, or not yet.
func isNotYet(word string) bool {
	switch word {
	case "no", "not", "without", "never", "didn't", "should", "will", "must", "next", "needs", "need", "soon", "tomorrow", "due", "plan", "planned", "if":
		return true
	}
	return false
}

// isFiller knows the words that may stand beside a deed.
func isFiller(word string) bool {
	switch word {
	case "the", "a", "of", "with", "and", "again", "pile", "heap", "l", "litre", "litres", "liter", "liters", "gal", "us", "gallons", "gallon",
		"imperial", "bucket", "buckets", "ml", "mm", "in", "by", "hand", "once", "all", "over", "st", "nd", "rd", "th", "first", "second", "third", "x", "today", "kg":
		return true
	}
	return false
}

// litresIn finds an amount of water in words, or gives NaN.
func litresIn(cell string) float64 {
	for i := 0; i < len(cell) && i < 8*textMost; i++ {
		if !isDigit(cell[i]) || i > 0 && (isDigit(cell[i-1]) || cell[i-1] == '.' || cell[i-1] == ',') {
			continue
		}
		words := strings.Fields(cell[i:])
		for n := min(3, len(words)); n > 0; n-- {
			if v := litres(strings.Trim(strings.Join(words[:n], " "), ".,;:)!+&")); !math.IsNaN(v) {
				return v
			}
		}
	}
	return math.NaN()
}

// litres reads a quantity of water, or gives NaN.
func litres(text string) float64 {
	q, err := feedstocks.DefaultMeasures().Parse(text)
	if err != nil {
		return math.NaN()
	}
	if q.Unit.Dimension == feedstocks.Mass {
		return q.Number * q.Unit.Factor // 1 kg of water is 1 L
	}
	return q.Number * q.Unit.Factor * 1000
}

// saysYes reads a cell of a column that is yes or no; words are what else it
// says.
func saysYes(cell string) (yes bool, words string) {
	switch strings.ToLower(cell) {
	case "", "-", "n", "no", "0", "false", "none", "na", "n/a", "not", ".", "f", "nan":
		return false, ""
	case "y", "yes", "x", "1", "true", "t", "*", "✓", "✔", "done":
		return true, ""
	}
	return true, shorten(cell)
}

// nan is an amount that is not given.
func nan() float64 { return math.NaN() }
