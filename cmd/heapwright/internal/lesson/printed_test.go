package lesson_test

import (
	"bytes"
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"heapwright/cmd/heapwright/internal/lesson"
)

// printed is a problem as a pupil has it in hand, read from the sheet.
type printed struct {
	title   string
	text    string // paragraphs
	tables  []map[string][]string
	columns []string // heads of the first table
	asks    []string
	answers []string // off the answer sheet
}

// readSheet takes a whole sheet apart into problems.
func readSheet(t testing.TB, s *lesson.Sheet) []printed {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, s.Markdown(&out, lesson.Both))
	pupils, teacher, ok := strings.Cut(out.String(), "\n---\n")
	require.True(t, ok)
	heading := regexp.MustCompile(`(?m)^## \d+\. `)
	questions, solutions := heading.Split(pupils, -1)[1:], heading.Split(teacher, -1)[1:]
	require.Equal(t, len(questions), len(solutions))
	var all []printed
	for i, q := range questions {
		p := readProblem(q)
		title, solution, _ := strings.Cut(solutions[i], "\n")
		require.Equal(t, p.title, title)
		for _, m := range regexp.MustCompile(`(?m)^[a-z]\) \*\*(.+)\*\*$`).FindAllStringSubmatch(solution, -1) {
			p.answers = append(p.answers, m[1])
		}
		require.Equal(t, len(p.asks), len(p.answers), "%s", q)
		all = append(all, p)
	}
	return all
}

func readProblem(text string) printed {
	var p printed
	lines := strings.Split(text, "\n")
	p.title = lines[0]
	ask := regexp.MustCompile(`^[a-z]\) `)
	var head []string
	for _, line := range lines[1:] {
		cells := strings.Split(strings.Trim(line, "| "), " | ")
		switch {
		case ask.MatchString(line):
			p.asks = append(p.asks, line[3:])
		case strings.HasPrefix(line, "|---"):
		case strings.HasPrefix(line, "|") && head == nil:
			head = cells
			p.tables = append(p.tables, map[string][]string{})
			if p.columns == nil {
				p.columns = head
			}
		case strings.HasPrefix(line, "|"):
			table := p.tables[len(p.tables)-1]
			for i, cell := range cells {
				table[head[i]] = append(table[head[i]], cell)
			}
		default:
			head = nil
			p.text += line + " "
		}
	}
	return p
}

// numbers reads the groups of a pattern in the text.
func (p printed) numbers(t testing.TB, pattern string) []*big.Rat {
	t.Helper()
	m := regexp.MustCompile(pattern).FindStringSubmatch(p.text)
	require.NotNil(t, m, "%s: %s in %s", p.title, pattern, p.text)
	var out []*big.Rat
	for _, s := range m[1:] {
		out = append(out, q(s))
	}
	return out
}

// column reads the numbers of a column; per cent become fractions.
func (p printed) column(t testing.TB, name string) []*big.Rat {
	t.Helper()
	var out []*big.Rat
	cells := p.tables[0][name]
	for i, label := range p.tables[0]["figure"] { // materials side by side
		for _, material := range p.columns[1:] {
			if label == name {
				cells = append(cells, p.tables[0][material][i])
			}
		}
	}
	require.NotEmpty(t, cells, "%s: no column %s", p.title, name)
	for _, cell := range cells {
		number, unit, _ := strings.Cut(cell, " ")
		v := q(number)
		if unit == "%" {
			v = over(v, q("100"))
		}
		out = append(out, v)
	}
	return out
}

// row reads a row of a log, which goes on from table to table.
func (p printed) row(name string) []string {
	var out []string
	for _, table := range p.tables {
		at := -1
		for i, label := range table["day"] {
			if label == name {
				at = i
			}
		}
		for day := 1; at >= 0 && day <= 60; day++ {
			if cells, ok := table[strconv.Itoa(day)]; ok {
				out = append(out, cells[at])
			}
		}
	}
	return out
}

// Exact arithmetic, so that the checks share nothing with floats.

func q(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic("not a number: " + s)
	}
	return r
}

func plus(of ...*big.Rat) *big.Rat {
	sum := new(big.Rat)
	for _, v := range of {
		sum.Add(sum, v)
	}
	return sum
}

func minus(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
func over(a, b *big.Rat) *big.Rat  { return new(big.Rat).Quo(a, b) }

func times(of ...*big.Rat) *big.Rat {
	product := q("1")
	for _, v := range of {
		product.Mul(product, v)
	}
	return product
}

// The plain formulas of composting arithmetic, on which both the sheets and the
// published examples are checked.

func moistureOf(fresh, dry *big.Rat) *big.Rat { return over(minus(fresh, dry), fresh) }

func dryOf(weight, moisture *big.Rat) *big.Rat { return times(weight, minus(q("1"), moisture)) }

func ratioOf(dry, carbon, nitrogen []*big.Rat) *big.Rat {
	c, n := new(big.Rat), new(big.Rat)
	for i := range dry {
		c.Add(c, times(dry[i], carbon[i]))
		n.Add(n, times(dry[i], nitrogen[i]))
	}
	return over(c, n)
}

func moistureOfMix(weight, moisture []*big.Rat, water *big.Rat) *big.Rat {
	wet := water
	for i := range weight {
		wet = plus(wet, times(weight[i], moisture[i]))
	}
	return over(wet, plus(append([]*big.Rat{water}, weight...)...))
}

// goalShare is the dry matter of a second material for each kg of a first.
func goalShare(c1, n1, c2, n2, goal *big.Rat) *big.Rat {
	return over(minus(times(goal, n1), c1), minus(c2, times(goal, n2)))
}

// waterFor is the water that brings a weight from a moisture to a goal: the dry
// matter stays, and is then 1 - goal of the whole.
func waterFor(weight, moisture, goal *big.Rat) *big.Rat {
	return minus(over(dryOf(weight, moisture), minus(q("1"), goal)), weight)
}

// parabola is the area under an arch: two thirds of the box around it
// (Archimedes, Quadrature of the Parabola).
func parabola(width, height *big.Rat) *big.Rat { return times(q("2/3"), width, height) }
