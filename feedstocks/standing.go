package feedstocks

import "strings"

// Standing tells how far a figure can be traced.
type Standing uint8

const (
	// AsRead is a figure read in the source named beside it.
	AsRead Standing = iota
	// Derived is arithmetic on figures that were read, for instance crude
	// protein / 6.25, or a wet basis turned into a dry one.
	Derived
	// FromMemory is a figure recalled from the source named beside it and
	// not checked against it.
	FromMemory
	// Yours is a figure given by the user.
	Yours
)

// String gives the words shown to people: "read", "derived", "from memory" or
// "yours".
func (s Standing) String() string {
	switch s {
	case AsRead:
		return "read"
	case Derived:
		return "derived"
	case FromMemory:
		return "from memory"
	case Yours:
		return "yours"
	}
	return "unknown standing"
}

// parseStanding reads the spelling used in library files.
func parseStanding(text string) (Standing, bool) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "read":
		return AsRead, true
	case "derived":
		return Derived, true
	case "memory", "from memory":
		return FromMemory, true
	case "yours":
		return Yours, true
	}
	return 0, false
}

// Cite says where a figure comes from.
type Cite struct {
	// Source is the key of a [Source] in the [Library]. For a figure of
	// standing [Yours] it is whatever the user wrote, possibly nothing.
	Source   string
	Standing Standing
}
