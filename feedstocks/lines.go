package feedstocks

// Lines tells on which line of a TOML text a key stands, for files that hold
// more than feedstocks.
type Lines struct{ at *locator }

// LinesOf reads a TOML text. Of a text that is not TOML no line is known.
func LinesOf(text []byte) Lines { return Lines{newLocator(text)} }

// Of gives the line of the deepest key of the path that is there, 1 for the
// first line of the text; 0 when none is.
func (l Lines) Of(path ...string) int { return l.at.line(path) }
