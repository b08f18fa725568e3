package feedstocks

import (
	"bytes"
	"slices"
	"strings"
)

// setFigure changes one figure. problem says why it cannot, and line where.
func setFigure(text []byte, name string, f Figure) (out []byte, line int, problem string) {
	t := spansOf(text)
	lineOf := func(at int) int { return 1 + bytes.Count(text[:at], []byte("\n")) }
	if t.torn {
		return nil, 0, "the text cannot be taken apart"
	}
	root, owner := []string{"feedstock"}, []string{"feedstock", name}
	path := append(slices.Clone(owner), f.Kind.String())
	value, key := figureText(f), f.Kind.String()
	for _, h := range t.headers {
		if hasPrefix(h.path, path) {
			return nil, lineOf(h.end), "the figure has a table of its own"
		}
	}
	var into, inRoot, last *tomlPair
	for i := range t.pairs {
		p := &t.pairs[i]
		switch {
		case slices.Equal(p.path, path):
			if p.commented {
				return nil, lineOf(p.valueStart), "there are comments inside the figure, which would be lost"
			}
			return splice(text, p.valueStart, p.stop, value), 0, ""
		case hasPrefix(p.path, path):
			return nil, lineOf(p.keyStart), "the figure is spread over dotted keys"
		case slices.Equal(p.path, owner):
			into = p
		case slices.Equal(p.path, root):
			inRoot = p
		case hasPrefix(p.path, owner) && last == nil || hasPrefix(p.path, owner) && !p.inline:
			last = p
		}
	}
	if into != nil {
		return t.intoInline(into, quotedKey(key)+" = "+value), 0, ""
	}
	for i, h := range t.headers {
		if slices.Equal(h.path, owner) && !h.array {
			at, indent := t.endOfTable(i)
			return t.newLine(at, indent+key+" = "+value), 0, ""
		}
	}
	if last != nil && !hasHeader(t, last, owner) {
		if last.inline {
			return nil, lineOf(last.keyStart), "the material is spread over dotted keys of an inline table"
		}
		above := 0
		if last.header >= 0 {
			above = len(t.headers[last.header].path)
		}
		var keys []string
		for _, k := range path[above:] {
			keys = append(keys, quotedKey(k))
		}
		return t.newLine(last.stop, t.indent(last.keyStart)+strings.Join(keys, ".")+" = "+value), 0, ""
	}
	if inRoot != nil {
		return t.intoInline(inRoot, quotedKey(name)+" = { "+key+" = "+value+" }"), 0, ""
	}
	return t.newTable(name, key+" = "+value), 0, ""
}

// hasHeader reports whether a pair stands under a header at or below owner.
func hasHeader(t *tomlText, p *tomlPair, owner []string) bool {
	return p.header >= 0 && hasPrefix(t.headers[p.header].path, owner)
}

func splice(text []byte, from, to int, with string) []byte {
	return slices.Concat(text[:from], []byte(with), text[to:])
}

// intoInline adds a pair to an inline table, behind its last.
func (t *tomlText) intoInline(table *tomlPair, pair string) []byte {
	last := -1
	for _, p := range t.pairs {
		if p.keyStart > table.valueStart && p.stop < table.stop {
			last = max(last, p.stop)
		}
	}
	if last >= 0 {
		return splice(t.text, last, last, ", "+pair)
	}
	return splice(t.text, table.valueStart+1, table.valueStart+1, " "+pair+" ")
}

// endOfTable is where the last pair under a header ends, and the indent of its
// line; the header itself where there is none.
func (t *tomlText) endOfTable(header int) (at int, indent string) {
	at = t.headers[header].end
	for _, p := range t.pairs {
		if p.header == header && !p.inline {
			at, indent = p.stop, t.indent(p.keyStart)
		}
	}
	return at, indent
}

// indent is the white space before a position, if nothing else is on the line.
func (t *tomlText) indent(at int) string {
	start := bytes.LastIndexByte(t.text[:at], '\n') + 1
	if before := t.text[start:at]; len(bytes.Trim(before, " \t")) == 0 {
		return string(before)
	}
	return ""
}

// newLine puts a line below the one of a position.
func (t *tomlText) newLine(at int, line string) []byte {
	end := lineEnd(t.text, at)
	return splice(t.text, end, end, t.lineBreak(end)+line)
}

// lineBreak is the line end in use at a position, or else before it.
func (t *tomlText) lineBreak(at int) string {
	if bytes.HasPrefix(t.text[at:], []byte("\r\n")) {
		return "\r\n"
	}
	if i := bytes.LastIndexByte(t.text[:at], '\n'); at == len(t.text) && i > 0 && t.text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// newTable puts a table at the end, a blank line before it.
func (t *tomlText) newTable(name, line string) []byte {
	end := len(t.text)
	br, before := t.lineBreak(end), ""
	if bare := bytes.TrimPrefix(t.text, []byte("\xef\xbb\xbf")); len(bare) > 0 {
		if !bytes.HasSuffix(bare, []byte("\n")) {
			before = br
		}
		if !bytes.HasSuffix(bare, []byte("\n\n")) && !bytes.HasSuffix(bare, []byte("\n\r\n")) {
			before += br
		}
	}
	return splice(t.text, end, end, before+"[feedstock."+quotedKey(name)+"]"+br+line+br)
}
