package pile

import (
	"slices"
	"strings"
	"time"
)

// Standing tells how a rule's figures were come by.
type Standing uint8

const (
	Seen       Standing = iota + 1 // the text, or a state's or member's copy of it, was read
	PartlySeen                     // a page that repeats the figures was read
	FromMemory                     // recalled, and not checked against the text
)

// String gives the words used in text and JSON.
func (s Standing) String() string {
	switch s {
	case Seen:
		return "seen"
	case PartlySeen:
		return "partly seen"
	case FromMemory:
		return "from memory"
	}
	return "unknown"
}

// Keeping is the way of keeping a pile that a rule speaks of.
type Keeping uint8

const (
	AnyPile Keeping = iota // however it is kept
	Still                  // not turned: in a vessel, or aired through the base
	Turning                // a turned heap or windrow
)

// String gives the words used in text and JSON.
func (k Keeping) String() string {
	switch k {
	case Still:
		return "vessel or aerated static pile"
	case Turning:
		return "turned windrow or heap"
	}
	return "any pile"
}

// Counting says how the days of a rule are to be counted.
type Counting uint8

const (
	// Open: the text does not say whether days must follow one another. Both
	// counts are given; the plain text is met by the days counted one by one.
	Open Counting = iota
	// OneByOne: the text says that days need not follow one another.
	OneByOne
	// Unbroken: the text says that they must.
	Unbroken
	// UnbrokenIfPossible: the text says as unbroken as possible.
	UnbrokenIfPossible
)

// String gives the words used in text and JSON.
func (c Counting) String() string {
	switch c {
	case OneByOne:
		return "need not follow one another"
	case Unbroken:
		return "must follow one another"
	case UnbrokenIfPossible:
		return "as unbroken as possible"
	}
	return "the text does not say whether they must follow one another"
}

// Test is the kind of arithmetic that a rule asks for.
type Test uint8

const (
	// HotDays: so many days at the threshold, with so many turnings in the
	// hot period.
	HotDays Test = iota
	// HotBeforeTurns: so many days at the threshold before each of so many
	// turnings.
	HotBeforeTurns
	// Block: so many days on end, all readings at the threshold, with a mean
	// or an hour count of its own.
	Block
	// Hold: so long without a break at the threshold.
	Hold
	// Curve: as long as the time-temperature curve asks, see [CurveDays].
	Curve
	// Reach: the band is reached within so many days of building.
	Reach
	// Validation: by trial of the plant, which no log can show.
	Validation
)

// Limit is a temperature as a rule states it, in both units. A reading is
// compared in the unit in which it was entered.
type Limit struct{ Celsius, Fahrenheit float64 }

// in gives the limit in "F" or else in C.
func (l Limit) in(unit string) float64 {
	if unit == "F" {
		return l.Fahrenheit
	}
	return l.Celsius
}

// set reports whether there is a limit at all.
func (l Limit) set() bool { return l != Limit{} }

// celsius makes a limit of a temperature in C.
func celsius(c float64) Limit { return Limit{c, c*9/5 + 32} }

// ruledIn131 is 131 F = 55 C, exactly; ceiling170 is the upper edge of the
// organic band, 170 F, which is written as 76.7 C.
func ruledIn131() Limit { return Limit{55, 131} }
func ceiling170() Limit { return Limit{76.7, 170} }

// Rule is a published time-temperature criterion.
type Rule struct {
	Key      string // stable, for machines and for --rule
	Name     string // in plain words
	Source   string // the text, and where it was read
	Standing Standing
	Keeping  Keeping
	Binds    string // whom it binds
	Usual    bool   // judged when no rule is asked for

	Test     Test
	From     Limit         // the threshold
	Above    bool          // readings must lie above the threshold, not at it
	Ceiling  Limit         // the upper edge of a band; zero for none
	Days     int           // of HotDays, Block, Reach; before each turning of HotBeforeTurns
	Length   time.Duration // of Hold, and the least of Curve
	Gap      time.Duration // of Hold, Curve and PeakFor: the longest gap between readings that still shows a hold (a judgement)
	Counting Counting
	Turns    int // turnings asked for
	TurnGap  int // least days from one turning to the next that counts
	Peak     Limit
	PeakFor  time.Duration // of Block: time above Peak within it
	Mean     Limit         // of Block: the mean must lie above it
	Needs    []string      // what it asks for that the log cannot show
	// CarbonToNitrogen is the C:N that it asks for at the start, from Low to
	// High; zero where it asks for none.
	CarbonToNitrogen struct{ Low, High float64 }
	Remark           string // what else to know
}

// FromMemory reports whether the figures are recalled and not checked.
func (r Rule) FromMemory() bool { return r.Standing == FromMemory }

// FindRules gives the rules of a key, or of a family: "us-organic" for
// "us-organic-turned" and "us-organic-still". It is empty for neither.
func FindRules(name string) []Rule {
	key := strings.ToLower(strings.TrimSpace(name))
	all := Rules()
	for _, r := range all {
		if r.Key == key {
			return []Rule{r}
		}
	}
	if key == "" {
		return nil
	}
	return slices.DeleteFunc(all, func(r Rule) bool { return !strings.HasPrefix(r.Key, key+"-") })
}

// UsualRules are those judged when none is asked for.
func UsualRules() []Rule {
	return slices.DeleteFunc(Rules(), func(r Rule) bool { return !r.Usual })
}
