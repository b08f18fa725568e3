package season_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend/season"
	"heapwright/solver"
)

// mps writes a program in free MPS form.
func mps(p *solver.Problem) []byte {
	var b bytes.Buffer
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 17, 64) }
	b.WriteString("NAME season\nROWS\n N cost\n")
	kind := make([]string, p.Rows.RowCount)
	for i := range kind {
		low, high := p.RowLower[i], p.RowUpper[i]
		switch {
		case low == high:
			kind[i] = "E"
		case math.IsInf(low, -1) && math.IsInf(high, 1):
			kind[i] = "N"
		case math.IsInf(low, -1):
			kind[i] = "L"
		default:
			kind[i] = "G"
		}
		fmt.Fprintf(&b, " %s r%d\n", kind[i], i)
	}
	b.WriteString("COLUMNS\n")
	for j := range p.Cost {
		whole := p.Integer != nil && p.Integer[j]
		if whole {
			fmt.Fprintf(&b, " m%d 'MARKER' 'INTORG'\n", j)
		}
		fmt.Fprintf(&b, " x%d cost %s\n", j, number(p.Cost[j]))
		index, value := p.Rows.Column(j)
		for k, i := range index {
			fmt.Fprintf(&b, " x%d r%d %s\n", j, i, number(value[k]))
		}
		if whole {
			fmt.Fprintf(&b, " n%d 'MARKER' 'INTEND'\n", j)
		}
	}
	b.WriteString("RHS\n")
	for i, k := range kind {
		switch k {
		case "L":
			fmt.Fprintf(&b, " rhs r%d %s\n", i, number(p.RowUpper[i]))
		case "E", "G":
			fmt.Fprintf(&b, " rhs r%d %s\n", i, number(p.RowLower[i]))
		}
	}
	b.WriteString("RANGES\n")
	for i, k := range kind {
		if k == "G" && !math.IsInf(p.RowUpper[i], 1) {
			fmt.Fprintf(&b, " rng r%d %s\n", i, number(p.RowUpper[i]-p.RowLower[i]))
		}
	}
	b.WriteString("BOUNDS\n")
	for j := range p.Cost {
		if math.IsInf(p.Upper[j], 1) {
			fmt.Fprintf(&b, " PL bnd x%d\n", j)
		} else {
			fmt.Fprintf(&b, " UP bnd x%d %s\n", j, number(p.Upper[j]))
		}
		fmt.Fprintf(&b, " LO bnd x%d %s\n", j, number(p.Lower[j]))
	}
	b.WriteString("ENDATA\n")
	return b.Bytes()
}

var objectiveLine = regexp.MustCompile(`(?m)^Objective: +\S+ = (\S+)`)
var statusLine = regexp.MustCompile(`(?m)^Status: +(.+)$`)

// glpsol solves a program with Debian's glpk-utils.
func glpsol(t testing.TB, p *solver.Problem) (status string, objective float64) {
	t.Helper()
	folder := t.TempDir()
	file, report := filepath.Join(folder, "p.mps"), filepath.Join(folder, "report")
	require.NoError(t, os.WriteFile(file, mps(p), 0o600))
	out, err := exec.CommandContext(t.Context(), "glpsol", "--freemps", file, "-o", report, "--tmlim", "10", "--cuts", "--mipgap", "1e-6").CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	text, err := os.ReadFile(report)
	require.NoError(t, err)
	s, o := statusLine.FindSubmatch(text), objectiveLine.FindSubmatch(text)
	require.NotNil(t, s)
	require.NotNil(t, o)
	objective, err = strconv.ParseFloat(string(o[1]), 64)
	require.NoError(t, err)
	return string(s[1]), objective
}

// TestLargerSeasonsAgainstGLPK compares every aim of larger seasons with
// glpsol's answer to the same program, and the first with the program as it is
// before rows are added.
func TestLargerSeasonsAgainstGLPK(t *testing.T) {
	if _, err := exec.LookPath("glpsol"); err != nil {
		t.Skip("not compared: glpsol is not installed: apt-get install glpk-utils")
	}
	compared := 0
	seeds := uint64(6)
	if raced {
		seeds = 3
	}
	for seed := range seeds {
		s := gardenSeason(rand.New(rand.NewPCG(seed, 29)), 16, 6, 2, 4)
		var aims []season.Aim
		same := func(aim season.Aim, constant float64, p *solver.Problem) {
			status, objective := glpsol(t, p)
			objective += constant
			slack := 1e-5 * (1 + math.Abs(objective))
			if status != "INTEGER OPTIMAL" {
				assert.LessOrEqualf(t, aim.Bound, objective+slack, "seed %d, %s: glpsol ran out of time", seed, aim.Name)
				return
			}
			compared++
			assert.LessOrEqualf(t, aim.Bound, objective+slack, "seed %d, %s: the bound is one", seed, aim.Name)
			if aim.Proven {
				assert.InDeltaf(t, objective, aim.Value, 0.01*aim.Value+slack, "seed %d, %s", seed, aim.Name)
			}
		}
		plan, err := season.Solve(t.Context(), s, season.Settings{Time: 20 * time.Second}.Watch(func(aim season.Aim, constant float64, p *solver.Problem) {
			aims = append(aims, aim)
			same(aim, constant, p)
		}))
		require.NoError(t, err)
		require.NoError(t, plan.Check())
		require.NotEmpty(t, aims)
		same(aims[0], 0, season.FirstProgram(s))
	}
	t.Logf("%d aims compared", compared)
	assert.Greater(t, compared, 2*int(seeds))
}
