package feedstocks

// Source is a publication that figures come from.
type Source struct {
	Key    string // short key used by [Cite]
	Author string
	Title  string
	Year   int    // 0 when not known
	Table  string // where in the publication; may be empty
	Where  string // the publication, or a web address where that is all there is
	// Trust grades the source: "A" primary, government or peer-reviewed; "B"
	// a reproduction of such; "C" inferred or commercial; "D" weak; "M"
	// recalled from memory; "-" arithmetic of this library.
	Trust string
}
