package lesson

import "strings"

// Problem is one problem of a sheet.
type Problem struct {
	Title string
	// Says is the problem up to its questions.
	Says []Block
	// Asks are the questions, with their answers.
	Asks []Ask
}

// Block is a paragraph, or a table when it has a head.
type Block struct {
	Text string
	Head []string
	Rows [][]string
}

// Ask is one question.
type Ask struct {
	Question string // with the unit and the rounding that is wanted
	Answer   string // with its unit
	Steps    []string
}

// Steps counts the lines of working of a problem.
func (p Problem) Steps() int {
	n := 0
	for _, a := range p.Asks {
		n += len(a.Steps)
	}
	return n
}

// alike reports whether two problems are the same for a pupil: of one kind,
// with the same data or with the same answers.
func alike(a, b Problem) bool {
	if a.Title != b.Title {
		return false
	}
	return a.data() == b.data() || a.answers() == b.answers()
}

// data is all that is printed of a problem but for its answers.
func (p Problem) data() string {
	var s strings.Builder
	for _, b := range p.Says {
		s.WriteString(b.Text + "\n")
		for _, row := range append([][]string{b.Head}, b.Rows...) {
			s.WriteString(strings.Join(row, "|") + "\n")
		}
	}
	for _, a := range p.Asks {
		s.WriteString(a.Question + "\n")
	}
	return s.String()
}

func (p Problem) answers() string {
	var s strings.Builder
	for _, a := range p.Asks {
		s.WriteString(a.Answer + "\n")
	}
	return s.String()
}

func say(text string) Block { return Block{Text: text} }

// tally words a number of things.
func tally(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return plain(float64(n)) + " " + thing + "s"
}

// speaksOf reports whether a material of the role is in the problem.
func (p Problem) speaksOf(r role) bool {
	text := p.data()
	for _, m := range used() {
		if m.role == r && strings.Contains(text, m.name) {
			return true
		}
	}
	return false
}
