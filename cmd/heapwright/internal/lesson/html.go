package lesson

import (
	_ "embed"
	"html/template"
	"io"
	"strings"
)

//go:embed page.gohtml
var pageText string

// mostLines of space are left for a pupil's working.
const mostLines = 7

// HTML writes the sheet, or a part of it, as a page of its own: no scripts, and
// nothing that is fetched. Printed, the answers begin on a new sheet of paper.
func (s *Sheet) HTML(w io.Writer, part Part) error {
	page, err := template.New("page").Funcs(template.FuncMap{
		"count":  func(i int) int { return i + 1 },
		"letter": letter,
		"sign":   sign,
		// One line for each step, and one for the answer.
		"lines": func(a Ask) []struct{} { return make([]struct{}, min(len(a.Steps)+1, mostLines)) },
	}).Parse(pageText)
	if err != nil {
		return err
	}
	title := pupilsTitle
	if part == Answers {
		title = answersTitle
	}
	return page.Execute(w, map[string]any{
		"Title": title, "PupilsTitle": pupilsTitle, "AnswersTitle": answersTitle,
		"Pupils": part != Answers, "Answers": part != Pupils,
		"Sheet": s, "Know": s.knowLines(), "Mind": s.mindLines(), "Again": s.again(),
	})
}

// sign sets the signs that plain text makes do without.
func sign(text string) string {
	return strings.NewReplacer(" x ", " × ", " - ", " − ", "m3", "m³", "m2", "m²").Replace(text)
}
