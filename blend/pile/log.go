package pile

import "time"

// Log is the temperature record of one pile, in order of time.
type Log struct {
	Name     string    // of the file
	Start    time.Time // when the pile was built, where the log says so; else of the first reading
	Dated    bool      // false when the log has day numbers: Time is then DayZero and that many days, and Start DayZero
	Readings []Reading // of the pile
	Ambient  []Reading // of the air
	Events   []Event
	Doubts   []Doubt // what was set aside, in order of lines
	Unit     string  // "C" or "F": the unit most readings were written in

	UnitFrom string   // in words, how the unit came to be known
	DateOnly bool     // no reading has a time of day: Time is then midnight
	Groups   []string // of a log of several piles, in order of the file: readings of group FC have probes "FC/1" and so on
	Ignored  []string // columns that are not understood, and so not used
	Used     int      // readings of the pile that are used, before any were condensed
	SetAside int      // readings and rows set aside; a Doubt stands for one or more of them
	// Condensed is not 0 where there are so many readings that of each probe
	// and each stretch of this length only the lowest and the highest are in
	// Readings and Ambient: the lows and highs of a day stay what they are.
	Condensed time.Duration
}

// Reading is one temperature.
type Reading struct {
	Time    time.Time
	Probe   string  // "" where the log names none
	Celsius float64 // as compared: a reading entered in F is compared in F first, see Entered
	Entered float64 // as written
	Unit    string  // "C" or "F", of Entered
	Line    int     // 1 for the first line of the file; 0 when unknown
}

// EventKind says what was done to a pile.
type EventKind uint8

const (
	Turned EventKind = iota + 1
	Watered
	Added
	Rained
	Noted
)

// Event is something that was done to a pile or happened to it.
type Event struct {
	Time   time.Time
	Kind   EventKind
	Litres float64 // of water; NaN when not given
	Text   string
	Line   int
	File   string // where it is not the log's own; "" for the log itself
}

// Doubt is a reading or line that was set aside, and why.
type Doubt struct {
	Line   int
	Text   string // as it stands in the file, shortened
	Reason string // in words for people
	Count  int    // readings or rows that it stands for: they follow one another and have the same reason
	Last   int    // line of the last of them
}

// DayZero is the day 0 of logs that have day numbers and no dates. It is a
// moment like any other: only the days since then mean something.
func DayZero() time.Time { return time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) }
