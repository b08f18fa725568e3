package pile

import (
	"bufio"
	"bytes"
	"errors"
	"io"
)

const (
	// lineMost is the most bytes of a line, and of a row that goes over
	// several lines inside quotes.
	lineMost = 1 << 16
	// rowLinesMost is the most lines of a row; more means that a quote was
	// never closed.
	rowLinesMost = 50
)

// lineReader hands out the lines of a text one by one, without their ends. A
// byte order mark is dropped; lines may end in LF, CRLF or CR.
type lineReader struct {
	r      *bufio.Reader
	name   string
	number int    // of the last line handed out
	long   []byte // a line that did not fit, or a row of several lines
}

func newLineReader(r io.Reader, name string) (*lineReader, error) {
	l := &lineReader{name: name}
	b := bufio.NewReaderSize(r, lineMost)
	start, err := b.Peek(lineMost)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, bufio.ErrBufferFull) {
		return nil, l.failed(err)
	}
	if bytes.IndexByte(start, '\n') < 0 && bytes.IndexByte(start, '\r') >= 0 {
		b = bufio.NewReaderSize(&carriageReturns{b}, lineMost)
	}
	switch {
	case bytes.HasPrefix(start, []byte("\xef\xbb\xbf")):
		_, _ = b.Discard(3)
	case bytes.HasPrefix(start, []byte("\xff\xfe")), bytes.HasPrefix(start, []byte("\xfe\xff")), bytes.IndexByte(start, 0) >= 0:
		return nil, &ReadError{File: name, Line: 1, Problem: "this is not plain text: it has bytes that are zero, or is UTF-16",
			Hint: "save or export it as CSV in UTF-8"}
	}
	l.r = b
	return l, nil
}

// carriageReturns turns CR into LF for files that know no LF.
type carriageReturns struct{ r io.Reader }

func (c *carriageReturns) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	for i, b := range p[:n] {
		if b == '\r' {
			p[i] = '\n'
		}
	}
	return n, err
}

func (l *lineReader) failed(err error) error {
	return &ReadError{File: l.name, Line: l.number, Problem: "it could not be read to its end: " + err.Error()}
}

// next returns a line, which is good until the next call; io.EOF after the
// last.
func (l *lineReader) next() ([]byte, error) {
	line, err := l.r.ReadSlice('\n')
	if err != nil && !(errors.Is(err, io.EOF) && len(line) > 0) {
		switch {
		case errors.Is(err, io.EOF):
			return nil, io.EOF
		case errors.Is(err, bufio.ErrBufferFull):
			return nil, &ReadError{File: l.name, Line: l.number + 1, Problem: "this line is over 64 KB long", Hint: "a log has one row a line; is this a CSV file?"}
		}
		return nil, l.failed(err)
	}
	l.number++
	line = bytes.TrimSuffix(line, []byte("\n"))
	return bytes.TrimSuffix(line, []byte("\r")), nil
}

// row is next, going on where a quoted cell runs over the end of the line.
// first is the number of its first line.
func (l *lineReader) row(sep byte) (line []byte, first int, err error) {
	if line, err = l.next(); err != nil {
		return nil, l.number, err
	}
	first = l.number
	if bytes.IndexByte(line, '"') < 0 || !openQuote(line, sep) {
		return line, first, nil
	}
	l.long = append(l.long[:0], line...)
	for openQuote(l.long, sep) {
		more, err := l.next()
		switch {
		case errors.Is(err, io.EOF), err == nil && (len(l.long) > lineMost || l.number-first >= rowLinesMost):
			return nil, first, &ReadError{File: l.name, Line: first, Problem: "a quote opens in this line and is not closed",
				Hint: `close it, or leave it out; a quote inside a quoted cell is written twice ("")`}
		case err != nil:
			return nil, first, err
		}
		l.long = append(append(l.long, ' '), more...)
	}
	return l.long, first, nil
}

// openQuote reports whether a quoted cell is not closed at the end of line.
func openQuote(line []byte, sep byte) bool {
	if isComment(line) {
		return false
	}
	quoted, start := false, true
	for i := 0; i < len(line); i++ {
		switch c := line[i]; {
		case quoted && c == '"' && i+1 < len(line) && line[i+1] == '"':
			i++
		case quoted && c == '"':
			quoted = false
		case quoted:
		case c == '"' && start:
			quoted = true
		case c == sep:
			start = true
			continue
		case c == ' ':
			continue
		}
		start = false
	}
	return quoted
}

// isComment reports whether a line says nothing: it is empty or begins with #.
func isComment(line []byte) bool {
	line = bytes.TrimLeft(line, " \t")
	return len(line) == 0 || line[0] == '#'
}

// splitCells cuts a row at the separators that stand outside quotes. The cells
// are trimmed, alias line where they can, and are good as long as line is.
func splitCells(cells [][]byte, line []byte, sep byte) [][]byte {
	cells = cells[:0]
	for {
		start := bytes.TrimLeft(line, " ")
		if len(start) > 0 && start[0] == '"' {
			cell, rest, more := quotedCell(start[1:], sep)
			cells = append(cells, bytes.TrimSpace(cell))
			if !more {
				return cells
			}
			line = rest
			continue
		}
		i := bytes.IndexByte(line, sep)
		if i < 0 {
			return append(cells, bytes.TrimSpace(line))
		}
		cells = append(cells, bytes.TrimSpace(line[:i]))
		line = line[i+1:]
	}
}

// quotedCell reads from behind the opening quote to the separator after the
// closing one. What stands between them is kept.
func quotedCell(s []byte, sep byte) (cell, rest []byte, more bool) {
	end := bytes.IndexByte(s, '"')
	if end >= 0 && (end+1 == len(s) || s[end+1] == sep) {
		if end+1 == len(s) {
			return s[:end], nil, false
		}
		return s[:end], s[end+2:], true
	}
	quoted := true
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case quoted && c == '"' && i+1 < len(s) && s[i+1] == '"':
			cell = append(cell, '"')
			i++
		case c == '"':
			quoted = !quoted
		case c == sep && !quoted:
			return cell, s[i+1:], true
		default:
			cell = append(cell, c)
		}
	}
	return cell, nil, false
}
