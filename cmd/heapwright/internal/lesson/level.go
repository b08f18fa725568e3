package lesson

import "heapwright/feedstocks"

// Level says how much a problem asks for.
type Level uint8

// The levels, named for how much material is in hand.
const (
	Handful Level = iota // one or two steps each
	Bucket               // several steps: moisture goes into the C:N
	Heap                 // many steps, one answer used in the next, and one problem that joins them
)

// Levels lists them, the easiest first.
func Levels() []Level { return []Level{Handful, Bucket, Heap} }

// String gives the word used by flags.
func (l Level) String() string { return [...]string{"handful", "bucket", "heap"}[l] }

// About says what a level asks for, in a few words.
func (l Level) About() string {
	return [...]string{
		"one or two steps each, weights of dry matter given",
		"several steps: moisture, mixes as weighed, a goal to reach",
		"whole piles: water, bays, windrows, and one that joins them",
	}[l]
}

// ParseLevel reads the name of a level. Near names those that may have been
// meant.
func ParseLevel(name string) (l Level, near []string, ok bool) {
	var names []string
	for _, l := range Levels() {
		if name == l.String() {
			return l, nil, true
		}
		names = append(names, l.String())
	}
	return 0, feedstocks.Nearest(name, names), false
}
