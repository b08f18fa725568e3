package pile

import (
	"fmt"
	"strings"
)

// ReadError is what keeps a log from being read, or a line from being added to
// it.
type ReadError struct {
	File    string
	Line    int // 1 for the first; 0 when it is not about one line
	Problem string
	Hint    string // what to do about it; may be empty
}

func (e *ReadError) Error() string {
	var b strings.Builder
	b.WriteString("pile: ")
	if e.File != "" {
		b.WriteString(e.File)
		if e.Line > 0 {
			fmt.Fprintf(&b, ":%d", e.Line)
		}
		b.WriteString(": ")
	} else if e.Line > 0 {
		fmt.Fprintf(&b, "line %d: ", e.Line)
	}
	b.WriteString(e.Problem)
	if e.Hint != "" {
		b.WriteString("; " + e.Hint)
	}
	return b.String()
}

// textMost is the most characters of a file's own text in an error or doubt.
const textMost = 60

// shorten makes text of a file fit to show: one line, not long, valid UTF-8.
func shorten(text string) string {
	if len(text) > 8*textMost {
		text = text[:8*textMost]
	}
	text = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "?"))
	if r := []rune(text); len(r) > textMost {
		return string(r[:textMost]) + "..."
	}
	return strings.TrimSpace(text)
}
