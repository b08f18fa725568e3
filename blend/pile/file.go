package pile

import (
	"io"
	"strings"
)

// isTOML tells the format of a log from its name: anything but .toml is CSV.
func isTOML(name string) bool { return strings.HasSuffix(strings.ToLower(name), ".toml") }

// ReadFile reads a log by the format that its name gives: [ReadTOML] for .toml,
// and [Read] for any other.
func ReadFile(r io.Reader, name string, o Options) (*Log, error) {
	if isTOML(name) {
		return ReadTOML(r, name, o)
	}
	return Read(r, name, o)
}

// AppendFile adds to a log by the format that its name gives: see [Append] and
// [AppendTOML].
func AppendFile(text []byte, name string, a Addition, o Options) (out []byte, added string, err error) {
	if isTOML(name) {
		return AppendTOML(text, name, a, o)
	}
	return Append(text, name, a, o)
}
