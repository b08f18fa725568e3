package cli

import (
	"bytes"
	"context"
	"fmt"
	stdio "io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"heapwright/cmd/heapwright/internal/lesson"
)

// lessonFlags are the flags of the lesson command.
type lessonFlags struct {
	level, answers, format, output string
	seed                           uint64
	problems                       int
}

func lessonCommand() command {
	return command{
		name:  "lesson",
		short: "make work sheets with answers for a class",
		long: `Make a work sheet for a class: problems of the compost heap, drawn anew for each
seed, and the answers with their steps on a sheet of their own. Every answer
has few digits and never lies on the edge between two roundings, and no two
problems of a sheet are alike.

  --level handful  ` + lesson.Handful.About() + `
  --level bucket   ` + lesson.Bucket.About() + `
  --level heap     ` + lesson.Heap.About() + `

Handful and bucket give the formulas on the sheet; heap leaves them out.

Without --output the sheet is printed as Markdown, with the answers after it.
With --output FILE.html (a page to print, which needs no network) or FILE.md the
pupils' sheet is written to FILE.html and the answers to FILE-answers.html, so
that the first can be handed out as it is. --answers says otherwise: together
(one file; printed, the answers begin a new sheet of paper), without, or only.

Seeds 1, 2, 3 ... are as many different sheets; the same level, seed and number
of problems give the same sheet on every machine.

  heapwright lesson --level bucket --seed 7
  heapwright lesson --level heap --problems 4 --output tuesday.html`,
		setup: func(flags *pflag.FlagSet) run {
			f := &lessonFlags{}
			flags.StringVar(&f.level, "level", lesson.Handful.String(), "`name` of the level: handful, bucket or heap")
			flags.Uint64Var(&f.seed, "seed", 1, "`number` of the sheet, a whole one from 0 up")
			flags.IntVar(&f.problems, "problems", 6, fmt.Sprintf("`number` of problems, 1 to %d", lesson.Most))
			flags.StringVar(&f.answers, "answers", "", "`word` for where answers go: apart (so with --output), together (so without it), without, only")
			flags.StringVar(&f.format, "format", "", "`layout`: markdown or html; left out: by the name of --output")
			flags.StringVar(&f.output, "output", "", "write to this `file`, .html or .md")
			return func(_ context.Context, args []string, io streams) error {
				if flags.Changed("output") {
					if err := sheetName(f.output); err != nil {
						return err
					}
				}
				return f.run(args, io)
			}
		},
	}
}

// lessonFile is a file to write: a part of a sheet.
type lessonFile struct {
	name string // "" for standard output
	part lesson.Part
	what string
}

func (f *lessonFlags) run(args []string, io streams) error {
	if len(args) > 0 {
		return &usageError{fmt.Sprintf("lesson takes no %q", args[0]), "its flags say all: heapwright help lesson"}
	}
	level, near, ok := lesson.ParseLevel(f.level)
	if !ok {
		return &usageError{fmt.Sprintf("there is no level %q", f.level), nearOr(f.level, near, "it is handful, bucket or heap")}
	}
	if f.problems < 1 || f.problems > lesson.Most {
		return &usageError{fmt.Sprintf("a sheet cannot have %d problems", f.problems), fmt.Sprintf("--problems takes 1 to %d", lesson.Most)}
	}
	html, err := f.html()
	if err != nil {
		return err
	}
	files, err := f.files()
	if err != nil {
		return err
	}
	library, err := openLibrary("")
	if err != nil {
		return err
	}
	sheet, err := lesson.Draw(library, lesson.Order{Level: level, Seed: f.seed, Problems: f.problems})
	if err != nil {
		return err
	}
	lay := sheet.Markdown
	if html {
		lay = sheet.HTML
	}
	return writeLesson(files, lay, io.out)
}

// sheetName refuses what is not the name of a file, or has nothing before its
// ending.
func sheetName(name string) error {
	base := filepath.Base(name)
	if name == "" || os.IsPathSeparator(name[len(name)-1]) || strings.TrimSuffix(base, filepath.Ext(base)) == "" {
		return &usageError{fmt.Sprintf("--output %q does not name a file", name), "name it, as in --output sheet.html, or leave --output out to have the sheet printed"}
	}
	return nil
}

// html settles the layout.
func (f *lessonFlags) html() (bool, error) {
	byName := map[string]string{".html": "html", ".htm": "html", ".md": "markdown", ".markdown": "markdown"}[strings.ToLower(filepath.Ext(f.output))]
	switch f.format {
	case "html", "markdown":
		if byName != "" && byName != f.format {
			return false, &usageError{fmt.Sprintf("--format %s does not go with the name %s", f.format, f.output), "leave --format out, or change the name"}
		}
		return f.format == "html", nil
	case "":
		if f.output != "" && byName == "" {
			return false, &usageError{fmt.Sprintf("%s is neither .html nor .md", f.output), "--output sheet.html for a page to print, --output sheet.md for Markdown"}
		}
		return byName == "html", nil
	}
	return false, &usageError{fmt.Sprintf("there is no format %q", f.format), nearOr(f.format, []string{"markdown", "html"}, "it is markdown or html")}
}

// files says which files are to be written, with which parts.
func (f *lessonFlags) files() ([]lessonFile, error) {
	where := f.answers
	if where == "" {
		where = "together"
		if f.output != "" {
			where = "apart"
		}
	}
	switch where {
	case "together":
		return []lessonFile{{f.output, lesson.Both, "the sheet, then the answers"}}, nil
	case "without":
		return []lessonFile{{f.output, lesson.Pupils, "the pupils' sheet"}}, nil
	case "only":
		return []lessonFile{{f.output, lesson.Answers, "the answer sheet"}}, nil
	case "apart":
		if f.output == "" {
			return nil, &usageError{"--answers apart writes two files", "name the first, as in --output sheet.html"}
		}
		ext := filepath.Ext(f.output)
		return []lessonFile{
			{strings.TrimSuffix(f.output, ext) + "-answers" + ext, lesson.Answers, "the answer sheet"},
			{f.output, lesson.Pupils, "the pupils' sheet"},
		}, nil
	}
	all := []string{"apart", "together", "without", "only"}
	return nil, &usageError{fmt.Sprintf("--answers cannot be %q", f.answers), nearOr(f.answers, all, "it is apart, together, without or only")}
}

// writeLesson lays out and writes the files, the answers first: if they cannot
// be written, there is no sheet without answers.
func writeLesson(files []lessonFile, lay func(stdio.Writer, lesson.Part) error, out stdio.Writer) error {
	for _, file := range files {
		folder := filepath.Dir(file.name)
		if info, err := os.Stat(folder); isMissing(folder) || err == nil && !info.IsDir() {
			return &usageError{fmt.Sprintf("there is no folder %s", folder), "make it first, or write into another"}
		}
		var text bytes.Buffer
		if err := lay(&text, file.part); err != nil {
			return err
		}
		if file.name == "" {
			if _, err := out.Write(text.Bytes()); err != nil {
				return err
			}
			continue
		}
		if err := writeBeside(file.name, text.Bytes(), isMissing(file.name), nil); err != nil {
			return err
		}
	}
	for _, file := range files {
		if file.name != "" {
			fmt.Fprintf(out, "Wrote %s: %s.\n", file.name, file.what)
		}
	}
	return nil
}
