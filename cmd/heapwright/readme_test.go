package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/cmd/heapwright/internal/cli"
)

// TestReadme runs every heapwright command that the README shows with its
// output, and compares. A line "..." stands for what is left out.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	t.Chdir("../..")
	shown := 0
	for _, block := range strings.Split(string(text), "```console\n")[1:] {
		block, _, _ = strings.Cut(block, "\n```")
		command, output, ok := strings.Cut(block, "\n")
		command = strings.TrimPrefix(strings.TrimPrefix(command, "$ go run ./cmd/"), "$ ")
		if !ok || strings.HasPrefix(output, "$ ") || strings.HasSuffix(command, `\`) || !strings.HasPrefix(command, "heapwright ") {
			continue
		}
		shown++
		var out, errOut bytes.Buffer
		cli.Main(context.Background(), words(command)[1:], strings.NewReader(""), &out, &errOut)
		for part := range strings.SplitSeq("\n"+output+"\n", "\n...\n") {
			assert.Contains(t, "\n"+out.String(), part, command)
		}
	}
	assert.Greater(t, shown, 3, "the README shows what the tool does")
}

// words splits a command line at spaces outside double quotes.
func words(line string) []string {
	var out []string
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 0 {
			out = append(out, strings.Fields(part)...)
		} else {
			out = append(out, part)
		}
	}
	return out
}
