package feedstocks

import (
	"bytes"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
)

// tomlText is a TOML text taken apart into where its keys and values stand, so
// that one of them can be changed and every other byte kept. It understands
// only what is needed for that: the text must have been through the decoder.
type tomlText struct {
	text    []byte
	headers []tomlHeader
	pairs   []tomlPair
	torn    bool // something was not where TOML has it
}

// tomlHeader is a [table] or [[table]] line.
type tomlHeader struct {
	path  []string
	end   int // behind its closing bracket
	array bool
}

// tomlPair is key = value, also inside an inline table.
type tomlPair struct {
	path             []string // from the root
	header           int      // index of its header; -1 above the first
	inline           bool     // inside an inline table
	keyStart         int
	valueStart, stop int // the value is text[valueStart:stop]
	commented        bool
}

// spansOf takes a text apart.
func spansOf(text []byte) *tomlText {
	t := &tomlText{text: text}
	r := &tomlScanner{out: t, text: text, header: -1}
	r.at = len(text) - len(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")))
	r.document()
	return t
}

type tomlScanner struct {
	out      *tomlText
	text     []byte
	at       int
	header   int
	comments int // how many were passed
}

func (r *tomlScanner) peek() byte {
	if r.at < len(r.text) {
		return r.text[r.at]
	}
	return 0
}

func (r *tomlScanner) more() bool { return r.at < len(r.text) && !r.out.torn }

// blank passes white space, and line ends and comments too if lines is set.
func (r *tomlScanner) blank(lines bool) {
	for r.at < len(r.text) {
		switch c := r.text[r.at]; {
		case c == ' ' || c == '\t':
			r.at++
		case lines && (c == '\n' || c == '\r'):
			r.at++
		case lines && c == '#':
			r.comments++
			r.at = lineEnd(r.text, r.at)
		default:
			return
		}
	}
}

// lineEnd is where the line of a position ends, before its line end.
func lineEnd(text []byte, at int) int {
	if i := bytes.IndexByte(text[at:], '\n'); i >= 0 {
		if at += i; at > 0 && text[at-1] == '\r' {
			at--
		}
		return at
	}
	return len(text)
}

func (r *tomlScanner) expect(c byte) {
	if r.peek() != c || r.at >= len(r.text) {
		r.out.torn = true
		return
	}
	r.at++
}

func (r *tomlScanner) document() {
	var path []string
	for r.blank(true); r.more(); r.blank(true) {
		if r.peek() != '[' {
			r.pair(path, false)
			continue
		}
		r.at++
		array := r.peek() == '['
		if array {
			r.at++
		}
		path = r.key()
		r.expect(']')
		if array {
			r.expect(']')
		}
		r.header = len(r.out.headers)
		r.out.headers = append(r.out.headers, tomlHeader{path, r.at, array})
	}
}

func (r *tomlScanner) pair(under []string, inline bool) {
	start := r.at
	path := append(slices.Clone(under), r.key()...)
	r.expect('=')
	r.blank(false)
	i := len(r.out.pairs)
	r.out.pairs = append(r.out.pairs, tomlPair{path: path, header: r.header, inline: inline, keyStart: start, valueStart: r.at})
	comments := r.comments
	r.value(path)
	r.out.pairs[i].stop, r.out.pairs[i].commented = r.at, r.comments > comments
}

// key reads a dotted key and the space around it.
func (r *tomlScanner) key() []string {
	var path []string
	for r.more() {
		r.blank(false)
		start := r.at
		switch c := r.peek(); c {
		case '"', '\'':
			r.quoted(c, 1)
			path = append(path, r.unquote(start))
		default:
			for r.at < len(r.text) && !strings.ContainsRune(".=]#\"' \t\r\n", rune(r.text[r.at])) {
				r.at++
			}
			if r.at == start {
				r.out.torn = true
				return path
			}
			path = append(path, string(r.text[start:r.at]))
		}
		r.blank(false)
		if r.peek() != '.' {
			break
		}
		r.at++
	}
	return path
}

// unquote has the decoder read a quoted key, so that escapes are read alike.
func (r *tomlScanner) unquote(start int) string {
	var v struct{ Key string }
	if _, err := toml.Decode("key = "+string(r.text[start:r.at]), &v); err != nil {
		r.out.torn = true
	}
	return v.Key
}

// quoted passes a string between n quotation marks.
func (r *tomlScanner) quoted(mark byte, n int) {
	r.at += n
	for r.at < len(r.text) {
		switch {
		case mark == '"' && r.text[r.at] == '\\':
			r.at += 2
		case bytes.HasPrefix(r.text[r.at:], bytes.Repeat([]byte{mark}, n)):
			r.at += n
			// One or two marks more belong to the string.
			for range 2 {
				if n == 3 && r.peek() == mark {
					r.at++
				}
			}
			return
		default:
			r.at++
		}
	}
	r.at = len(r.text)
	r.out.torn = true
}

func (r *tomlScanner) value(path []string) {
	switch c := r.peek(); c {
	case '"', '\'':
		if bytes.HasPrefix(r.text[r.at:], bytes.Repeat([]byte{c}, 3)) {
			r.quoted(c, 3)
		} else {
			r.quoted(c, 1)
		}
	case '[', '{':
		r.at++
		shut := byte(']')
		if c == '{' {
			shut = '}'
		}
		for r.blank(true); r.more() && r.peek() != shut; r.blank(true) {
			switch {
			case r.peek() == ',':
				r.at++
			case c == '{':
				r.pair(path, true)
			default:
				// What is inside a list is not of the table that holds it.
				r.value([]string{"\x00list"})
			}
		}
		r.expect(shut)
	default:
		start := r.at
		for r.at < len(r.text) && !bytes.ContainsRune([]byte(",]}#\r\n"), rune(r.text[r.at])) {
			r.at++
		}
		r.at = start + len(bytes.TrimRight(r.text[start:r.at], " \t"))
		if r.at == start {
			r.out.torn = true
		}
	}
}

func hasPrefix(path, prefix []string) bool {
	return len(path) >= len(prefix) && slices.Equal(path[:len(prefix)], prefix)
}
