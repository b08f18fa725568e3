package solver_test

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

// mpsModel is a problem read from free-format MPS.
type mpsModel struct {
	problem  *solver.Problem
	constant float64 // of the cost
	integer  []bool
	maximise bool
}

// mpsReader is the state of readMPS.
type mpsReader struct {
	m          mpsModel
	rows       map[string]int // -1: the cost; -2: a free row, dropped
	columns    map[string]int
	kinds      []byte
	rhs, span  []float64
	hasSpan    []bool
	cost       []float64
	lower      []float64
	upper      []float64
	entries    []solver.Entry
	inInteger  bool
	setLower   []bool
	costSeen   bool
	lineNumber int
}

// readMPS reads the free format: fields separated by blanks, names without
// blanks, sections NAME, OBJSENSE, ROWS, COLUMNS, RHS, RANGES, BOUNDS, ENDATA.
func readMPS(in io.Reader) (*mpsModel, error) {
	r := &mpsReader{rows: map[string]int{}, columns: map[string]int{}}
	section := ""
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		r.lineNumber++
		line := lines.Text()
		fields := strings.Fields(line)
		if len(fields) == 0 || strings.HasPrefix(line, "*") {
			continue
		}
		var err error
		if line[0] != ' ' && line[0] != '\t' {
			section = fields[0]
			if section == "OBJSENSE" && len(fields) > 1 {
				r.m.maximise = strings.HasPrefix(fields[1], "MAX")
			}
			if section == "ENDATA" {
				return r.finish(), nil
			}
			continue
		}
		switch section {
		case "OBJSENSE":
			r.m.maximise = strings.HasPrefix(fields[0], "MAX")
		case "ROWS":
			err = r.row(fields)
		case "COLUMNS":
			err = r.column(fields)
		case "RHS":
			err = r.pairs(fields, func(i int, v float64) {
				if i == -1 {
					r.m.constant = -v
				} else {
					r.rhs[i] = v
				}
			})
		case "RANGES":
			err = r.pairs(fields, func(i int, v float64) {
				if i >= 0 {
					r.span[i], r.hasSpan[i] = v, true
				}
			})
		case "BOUNDS":
			err = r.bound(fields)
		default:
			err = fmt.Errorf("unknown section %q", section)
		}
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", r.lineNumber, err)
		}
	}
	return nil, fmt.Errorf("line %d: no ENDATA", r.lineNumber)
}

func (r *mpsReader) row(fields []string) error {
	if len(fields) != 2 {
		return fmt.Errorf("a row is a kind and a name")
	}
	switch fields[0] {
	case "N":
		r.rows[fields[1]] = -2
		if !r.costSeen {
			r.rows[fields[1]], r.costSeen = -1, true
		}
	case "L", "G", "E":
		r.rows[fields[1]] = len(r.kinds)
		r.kinds = append(r.kinds, fields[0][0])
		r.rhs, r.span, r.hasSpan = append(r.rhs, 0), append(r.span, 0), append(r.hasSpan, false)
	default:
		return fmt.Errorf("unknown kind of row %q", fields[0])
	}
	return nil
}

func (r *mpsReader) column(fields []string) error {
	if len(fields) == 3 && fields[1] == "'MARKER'" {
		r.inInteger = fields[2] == "'INTORG'"
		return nil
	}
	if len(fields) < 3 || len(fields)%2 == 0 {
		return fmt.Errorf("a column is a name and pairs of row and number")
	}
	j, ok := r.columns[fields[0]]
	if !ok {
		j = len(r.cost)
		r.columns[fields[0]] = j
		r.cost = append(r.cost, 0)
		r.lower, r.upper = append(r.lower, 0), append(r.upper, inf)
		r.setLower = append(r.setLower, false)
		r.m.integer = append(r.m.integer, r.inInteger)
	}
	return r.pairs(fields, func(i int, v float64) {
		switch i {
		case -1:
			r.cost[j] += v
		case -2:
		default:
			r.entries = append(r.entries, solver.Entry{Row: i, Column: j, Value: v})
		}
	})
}

// pairs reads row and number pairs; the name before them may be absent.
func (r *mpsReader) pairs(fields []string, use func(row int, v float64)) error {
	if len(fields)%2 == 1 {
		fields = fields[1:]
	}
	for k := 0; k < len(fields); k += 2 {
		i, ok := r.rows[fields[k]]
		if !ok {
			return fmt.Errorf("unknown row %q", fields[k])
		}
		v, err := strconv.ParseFloat(fields[k+1], 64)
		if err != nil {
			return err
		}
		use(i, v)
	}
	return nil
}

func (r *mpsReader) bound(fields []string) error {
	kind := fields[0]
	valueless := kind == "FR" || kind == "MI" || kind == "PL" || kind == "BV"
	name, v := "", 0.0
	switch {
	case valueless && len(fields) >= 2:
		name = fields[min(2, len(fields)-1)]
	case len(fields) == 3 || len(fields) == 4:
		name = fields[len(fields)-2]
		var err error
		if v, err = strconv.ParseFloat(fields[len(fields)-1], 64); err != nil {
			return err
		}
	default:
		return fmt.Errorf("a bound is a kind, a column and a number")
	}
	j, ok := r.columns[name]
	if !ok {
		return fmt.Errorf("unknown column %q", name)
	}
	if kind[len(kind)-1] == 'I' && kind != "MI" || kind == "BV" {
		r.m.integer[j] = true
	}
	switch kind {
	case "UP", "UI":
		r.upper[j] = v
		if v < 0 && !r.setLower[j] {
			r.lower[j] = -inf // the old reading of a negative upper bound
		}
	case "LO", "LI":
		r.lower[j], r.setLower[j] = v, true
	case "FX":
		r.lower[j], r.upper[j] = v, v
	case "FR":
		r.lower[j], r.upper[j] = -inf, inf
	case "MI":
		r.lower[j], r.setLower[j] = -inf, true
	case "PL":
		r.upper[j] = inf
	case "BV":
		r.lower[j], r.upper[j] = 0, 1
	default:
		return fmt.Errorf("unknown kind of bound %q", kind)
	}
	return nil
}

func (r *mpsReader) finish() *mpsModel {
	m := len(r.kinds)
	p := &solver.Problem{
		Cost: r.cost, Lower: r.lower, Upper: r.upper,
		RowLower: make([]float64, m), RowUpper: make([]float64, m),
		Rows: solver.NewMatrix(m, len(r.cost), r.entries),
	}
	for i, kind := range r.kinds {
		low, high, span := r.rhs[i], r.rhs[i], r.span[i]
		switch kind {
		case 'L':
			low = -inf
			if r.hasSpan[i] {
				low = high - math.Abs(span)
			}
		case 'G':
			high = inf
			if r.hasSpan[i] {
				high = low + math.Abs(span)
			}
		case 'E':
			low, high = low+min(span, 0), high+max(span, 0)
		}
		p.RowLower[i], p.RowUpper[i] = low, high
	}
	r.m.problem = p
	if r.m.maximise {
		for j := range p.Cost {
			p.Cost[j] = -p.Cost[j]
		}
	}
	return &r.m
}

// writeMPS writes a linear problem in the free format, every digit kept.
func writeMPS(out io.Writer, p *solver.Problem, integer []bool) error {
	w := bufio.NewWriter(out)
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 17, 64) }
	fmt.Fprint(w, "NAME test FREE\nROWS\n N cost\n")
	for i := range p.RowLower {
		kind := "E"
		switch low, high := p.RowLower[i], p.RowUpper[i]; {
		case math.IsInf(low, -1) && math.IsInf(high, 1):
			kind = "N"
		case math.IsInf(low, -1):
			kind = "L"
		case low != high:
			kind = "G"
		}
		fmt.Fprintf(w, " %s r%d\n", kind, i)
	}
	fmt.Fprint(w, "COLUMNS\n")
	for j, c := range p.Cost {
		whole := j < len(integer) && integer[j]
		if whole {
			fmt.Fprintf(w, " m%d 'MARKER' 'INTORG'\n", j)
		}
		fmt.Fprintf(w, " x%d cost %s\n", j, number(c))
		index, value := p.Rows.Column(j)
		for k, i := range index {
			fmt.Fprintf(w, " x%d r%d %s\n", j, i, number(value[k]))
		}
		if whole {
			fmt.Fprintf(w, " n%d 'MARKER' 'INTEND'\n", j)
		}
	}
	fmt.Fprint(w, "RHS\n")
	for i := range p.RowLower {
		if v := p.RowLower[i]; !math.IsInf(v, -1) {
			fmt.Fprintf(w, " RHS r%d %s\n", i, number(v))
		} else if v := p.RowUpper[i]; !math.IsInf(v, 1) {
			fmt.Fprintf(w, " RHS r%d %s\n", i, number(v))
		}
	}
	fmt.Fprint(w, "RANGES\n")
	for i := range p.RowLower {
		if low, high := p.RowLower[i], p.RowUpper[i]; low != high && !math.IsInf(low, -1) && !math.IsInf(high, 1) {
			fmt.Fprintf(w, " RNG r%d %s\n", i, number(high-low))
		}
	}
	fmt.Fprint(w, "BOUNDS\n")
	for j := range p.Cost {
		low, high := p.Lower[j], p.Upper[j]
		switch {
		case math.IsInf(low, -1) && math.IsInf(high, 1):
			fmt.Fprintf(w, " FR B x%d\n", j)
			continue
		case low == high:
			fmt.Fprintf(w, " FX B x%d %s\n", j, number(low))
			continue
		case math.IsInf(low, -1):
			fmt.Fprintf(w, " MI B x%d\n", j)
		default:
			fmt.Fprintf(w, " LO B x%d %s\n", j, number(low))
		}
		if math.IsInf(high, 1) {
			fmt.Fprintf(w, " PL B x%d\n", j)
		} else {
			fmt.Fprintf(w, " UP B x%d %s\n", j, number(high))
		}
	}
	fmt.Fprint(w, "ENDATA\n")
	return w.Flush()
}

func TestReadMPS(t *testing.T) {
	m, err := readMPS(strings.NewReader(`* every kind of everything
NAME kinds
ROWS
 N cost
 N other
 L a
 G b
 E c
 E d
 L e
COLUMNS
 x cost 1 a 2
 x other 9 b 3
 m 'MARKER' 'INTORG'
 y c 4 d 5
 m 'MARKER' 'INTEND'
 z e 6
 f a 1
 g a 1
 h a 1
 k a 1
RHS
 R cost -7 a 10
 R b 1 c 2
 d 3
 R e 8
RANGES
 R a 4 b 2
 R c -1 d 1
BOUNDS
 UP B x 5
 LO B x 1
 UP B y 9
 FR B z
 MI B f
 FX B g 2.5
 BV B h
 UP B k -1
ENDATA
`))
	require.NoError(t, err)
	p := m.problem
	assert.Equal(t, 7.0, m.constant)
	assert.Equal(t, []float64{1, 0, 0, 0, 0, 0, 0}, p.Cost)
	assert.Equal(t, []float64{6, 1, 1, 3, -inf}, p.RowLower)
	assert.Equal(t, []float64{10, 3, 2, 4, 8}, p.RowUpper)
	assert.Equal(t, []float64{1, 0, -inf, -inf, 2.5, 0, -inf}, p.Lower)
	assert.Equal(t, []float64{5, 9, inf, inf, 2.5, 1, -1}, p.Upper)
	assert.Equal(t, []bool{false, true, false, false, false, true, false}, m.integer)
	assert.Equal(t, [][]float64{{2, 0, 0, 1, 1, 1, 1}, {3, 0, 0, 0, 0, 0, 0}, {0, 4, 0, 0, 0, 0, 0}, {0, 5, 0, 0, 0, 0, 0}, {0, 0, 6, 0, 0, 0, 0}}, writeOut(p).a)
}

func TestReadMPSRefuses(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"cut short", "NAME x\nROWS\n N cost\n", "no ENDATA"},
		{"unknown row", "ROWS\n N cost\nCOLUMNS\n x other 1\nENDATA\n", `line 4: unknown row "other"`},
		{"unknown column", "ROWS\n N cost\nBOUNDS\n UP B x 1\nENDATA\n", `unknown column "x"`},
		{"unknown bound", "ROWS\n N cost\nCOLUMNS\n x cost 1\nBOUNDS\n QQ B x 1\nENDATA\n", `unknown kind of bound "QQ"`},
		{"unknown kind of row", "ROWS\n Q cost\nENDATA\n", `unknown kind of row "Q"`},
		{"not a number", "ROWS\n N cost\nCOLUMNS\n x cost one\nENDATA\n", "invalid syntax"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := readMPS(strings.NewReader(c.text))
			assert.ErrorContains(t, err, c.says)
		})
	}
}

func TestWriteMPSReadsBack(t *testing.T) {
	var m solver.Model
	m.Column(1.0/3, 0, inf)
	m.Column(-2, -inf, inf)
	m.Column(0, -inf, 4)
	m.Column(1, -3, 7)
	m.Column(1, 2, 2)
	m.Row(-inf, 4, term(0, 1), term(1, 2))
	m.Row(1, inf, term(2, 0.1), term(3, 2))
	m.Row(-1, 1, term(4, 1), term(1, 2))
	m.Row(5, 5, term(0, 1), term(3, 2))
	p := m.Problem()
	var b strings.Builder
	require.NoError(t, writeMPS(&b, p, []bool{false, false, false, true, false}))
	back, err := readMPS(strings.NewReader(b.String()))
	require.NoError(t, err)
	assert.Equal(t, p, back.problem)
	assert.Equal(t, []bool{false, false, false, true, false}, back.integer)
}
