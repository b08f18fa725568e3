package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/pflag"

	"heapwright/cmd/heapwright/internal/picture"
	"heapwright/cmd/heapwright/internal/report"
)

// pictureFormat checks where a picture is to go: in a format that there is, and
// over no file that is read. No file, or "-", is of no format.
func pictureFormat(file, example string, inputs ...string) (picture.Format, error) {
	if file == "" || file == "-" {
		return 0, nil
	}
	for _, input := range inputs {
		if input != "" && input != "-" && sameFile(input, file) {
			return 0, &usageError{fmt.Sprintf("the picture would overwrite %s", input), "give the picture a name of its own"}
		}
	}
	format, ok := picture.FormatOf(file)
	if !ok {
		return 0, &usageError{fmt.Sprintf("%s is none of .svg, .png and .pdf", file), fmt.Sprintf("--picture %s, or --picture - for here", example)}
	}
	return format, nil
}

// fileNamed refuses a flag for a file that was given no name.
func fileNamed(flags *pflag.FlagSet, names ...string) error {
	for _, name := range names {
		if flag := flags.Lookup(name); flag.Changed && flag.Value.String() == "" {
			return &usageError{fmt.Sprintf("--%s names no file", name), fmt.Sprintf("give it one, or leave --%s out", name)}
		}
	}
	return nil
}

// tellWritten says that a file was written, and what is in it.
func tellWritten(err io.Writer, file, what string) {
	fmt.Fprintf(err, "Wrote %s: %s.\n", file, what)
}

// sameFile reports whether two names are of one file.
func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

// mixPicture says where the mixing picture goes; no file draws none.
type mixPicture struct {
	flags  *pflag.FlagSet
	file   string
	format picture.Format
}

func addMixPicture(flags *pflag.FlagSet) *mixPicture {
	d := &mixPicture{flags: flags}
	flags.StringVar(&d.file, "picture", "", "draw C:N against moisture into this `file`, .svg, .png or .pdf; - draws it here, in characters")
	return d
}

// terminalWidth is that of a picture in characters.
const terminalWidth = 78

// check looks at the flag before any work is done. inputs are the files that are
// read.
func (d *mixPicture) check(options report.Options, inputs ...string) (err error) {
	if err := fileNamed(d.flags, "picture"); err != nil {
		return err
	}
	if d.file == "-" && options.Format != report.Text {
		return &usageError{"--picture - draws below the text, and there is none in this --format", "name a file: --picture mix.svg"}
	}
	d.format, err = pictureFormat(d.file, "mix.svg", inputs...)
	return err
}

// tell writes the answer and draws its picture: a file before the answer, and
// characters after it.
func (d *mixPicture) tell(ctx context.Context, out streams, answer *report.Answer, options report.Options, seed uint64) error {
	if d.file == "" {
		return tellRecipe(out, answer, options)
	}
	mix, err := picture.NewMix(ctx, answer.Recipe, options.Title, seed)
	if err != nil {
		return err
	}
	if d.file == "-" {
		told := tellRecipe(out, answer, options)
		if told != nil && !errors.Is(told, errAnswerNo) {
			return told
		}
		if _, err := io.WriteString(out.out, "\n"+mix.Text(terminalWidth)); err != nil {
			return err
		}
		return told
	}
	var drawn bytes.Buffer
	if err := mix.Write(&drawn, d.format); err != nil {
		return fmt.Errorf("drawing %s: %w", d.file, err)
	}
	if err := writeBeside(d.file, drawn.Bytes(), isMissing(d.file), nil); err != nil {
		return err
	}
	tellWritten(out.err, d.file, "the picture")
	return tellRecipe(out, answer, options)
}
