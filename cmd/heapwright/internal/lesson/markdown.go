package lesson

import (
	"fmt"
	"io"
	"strings"
)

// Markdown writes the sheet, or a part of it, as Markdown.
func (s *Sheet) Markdown(w io.Writer, part Part) error {
	var b strings.Builder
	if part != Answers {
		s.pupilsMarkdown(&b)
	}
	if part == Both {
		b.WriteString("\n---\n\n")
	}
	if part != Pupils {
		s.answersMarkdown(&b)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (s *Sheet) pupilsMarkdown(b *strings.Builder) {
	dots := strings.Repeat(".", 24)
	fmt.Fprintf(b, "# %s\n\nSheet %s\n\nName: %s Date: %s\n", pupilsTitle, s.Name(), dots, dots)
	bullets(b, "To know", s.knowLines())
	bullets(b, "Mind, if you handle material too", s.mindLines())
	for i, p := range s.Problems {
		fmt.Fprintf(b, "\n## %d. %s\n", i+1, p.Title)
		for _, block := range p.Says {
			b.WriteString("\n")
			block.markdown(b)
		}
		for j, a := range p.Asks {
			fmt.Fprintf(b, "\n%s) %s\n", letter(j), a.Question)
		}
	}
}

func (s *Sheet) answersMarkdown(b *strings.Builder) {
	fmt.Fprintf(b, "# %s\n\nSheet %s, for the teacher. The same sheet again:\n`%s`\n", answersTitle, s.Name(), s.again())
	for i, p := range s.Problems {
		fmt.Fprintf(b, "\n## %d. %s\n", i+1, p.Title)
		for j, a := range p.Asks {
			fmt.Fprintf(b, "\n%s) **%s**\n\n", letter(j), a.Answer)
			for _, step := range a.Steps {
				fmt.Fprintf(b, "- %s\n", step)
			}
		}
	}
}

// markdown writes a paragraph or a table. Nothing in a block means anything to
// Markdown: materials have plain names.
func (k Block) markdown(b *strings.Builder) {
	if k.Head == nil {
		b.WriteString(k.Text + "\n")
		return
	}
	row := func(cells []string) { b.WriteString("| " + strings.Join(cells, " | ") + " |\n") }
	row(k.Head)
	b.WriteString("|---|" + strings.Repeat("---:|", len(k.Head)-1) + "\n")
	for _, cells := range k.Rows {
		row(cells)
	}
}

func bullets(b *strings.Builder, heading string, lines []string) {
	fmt.Fprintf(b, "\n## %s\n\n", heading)
	for _, line := range lines {
		fmt.Fprintf(b, "- %s\n", line)
	}
}
