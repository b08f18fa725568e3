package feedstocks

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/BurntSushi/toml"
)

// Document is a TOML file, decoded but not yet understood.
type Document struct {
	Text []byte
	Root map[string]any
	Keys [][]string // the path of every key, in the order of the file
}

const (
	// documentMost is the most bytes of a file that are read; the built-in
	// library has about a quarter of it.
	documentMost = 1 << 18
	// nestingMost is the most dots and opening brackets on one line. Nobody
	// writes as many, and the decoder takes a time that grows with the square
	// of the keys in one dotted name.
	nestingMost = 1000
)

// ReadDocument reads a TOML file of at most 256 KB. file names it in errors.
// The error is a [*FaultError] with its line where the text is not TOML, or
// that of the reader.
func ReadDocument(r io.Reader, file string) (*Document, error) {
	text, err := io.ReadAll(io.LimitReader(r, documentMost+1))
	if err != nil {
		return nil, fmt.Errorf("feedstocks: %s: %w", file, err)
	}
	if len(text) > documentMost {
		return nil, &FaultError{File: file, Problem: fmt.Sprintf("the file is over %d bytes", documentMost)}
	}
	if line := tooNested(text); line > 0 {
		return nil, &FaultError{File: file, Line: line, Problem: "this line has too many dots or brackets"}
	}
	doc := &Document{Text: text}
	md, err := toml.Decode(string(text), &doc.Root)
	if err != nil {
		return nil, tomlFault(file, err)
	}
	for _, key := range md.Keys() {
		doc.Keys = append(doc.Keys, key)
	}
	return doc, nil
}

// tooNested gives the first line with more than nestingMost dots and opening
// brackets, or 0.
func tooNested(text []byte) int {
	number := 0
	for line := range bytes.Lines(text) {
		number++
		if bytes.Count(line, []byte("."))+bytes.Count(line, []byte("["))+bytes.Count(line, []byte("{")) > nestingMost {
			return number
		}
	}
	return 0
}

// tomlFault turns an error of the decoder into a fault with its line.
func tomlFault(file string, err error) error {
	f := &FaultError{File: file, Problem: err.Error(), Hint: "the file must be TOML"}
	if p, ok := errors.AsType[toml.ParseError](err); ok {
		f.Line = p.Position.Line
		f.Problem = p.Message
		if p.Message == "" {
			f.Problem = strings.TrimPrefix(p.Error(), "toml: ")
		}
	}
	return f
}
