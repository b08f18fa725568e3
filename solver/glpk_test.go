package solver_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/solver"
)

const glpkExamples = "/usr/share/doc/glpk-utils/examples"

// glpsol runs the program of Debian's glpk-utils and returns its words.
func glpsol(t testing.TB, arguments ...string) string {
	t.Helper()
	path, err := exec.LookPath("glpsol")
	if err != nil {
		t.Skip("glpsol is not installed: apt-get install glpk-utils")
	}
	out, err := exec.CommandContext(t.Context(), path, arguments...).CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	return string(out)
}

var objectiveLine = regexp.MustCompile(`(?m)^Objective: +\S+ = (\S+)`)
var statusLine = regexp.MustCompile(`(?m)^Status: +(.+)$`)

// glpkOptimum lets glpsol solve a free MPS file and returns its status and
// objective.
func glpkOptimum(t testing.TB, file string, options ...string) (status string, objective float64) {
	t.Helper()
	report := filepath.Join(t.TempDir(), "report")
	glpsol(t, append([]string{"--freemps", file, "-o", report, "--tmlim", "20"}, options...)...)
	text, err := os.ReadFile(report)
	require.NoError(t, err)
	s, o := statusLine.FindSubmatch(text), objectiveLine.FindSubmatch(text)
	require.NotNil(t, s)
	require.NotNil(t, o)
	objective, err = strconv.ParseFloat(string(o[1]), 64)
	require.NoError(t, err)
	return string(s[1]), objective
}

// assertSameAsGLPK compares an optimal objective with glpsol's, which prints
// ten digits.
func assertSameAsGLPK(t *testing.T, p *solver.Problem, s *solver.Solution) {
	t.Helper()
	if _, err := exec.LookPath("glpsol"); err != nil {
		t.Log("not compared: glpsol is not installed: apt-get install glpk-utils")
		return
	}
	var b bytes.Buffer
	require.NoError(t, writeMPS(&b, p, p.Integer))
	file := filepath.Join(t.TempDir(), "p.mps")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o600))
	status, objective := glpkOptimum(t, file)
	assert.Contains(t, []string{"OPTIMAL", "INTEGER OPTIMAL"}, status)
	assert.InDelta(t, objective, s.Objective, 2e-9*(1+abs(objective)))
}

func abs(v float64) float64 { return max(v, -v) }

// TestGLPKExamples solves examples that come with Debian's glpk-utils beside
// glpsol itself.
func TestGLPKExamples(t *testing.T) {
	for _, c := range []struct {
		name, kind string
		maximise   bool
		optimum    float64 // as the file's head or glpsol 5.0 gives it
	}{
		{"alloy", "--mps", false, 2149.247891},
		{"furnace", "--mps", false, 2141.923551},
		{"murtagh", "--mps", true, 126.057},
		{"diet", "--math", false, 0.1381709355},
		{"food", "--math", true, 107842.5926},
		{"stigler", "--math", false, 0.1086622782},
		{"food2", "--math", true, 100278.7037},
		{"plan", "--math", false, 296.2166065},
	} {
		t.Run(c.name, func(t *testing.T) {
			source := filepath.Join(glpkExamples, c.name+map[string]string{"--mps": ".mps", "--math": ".mod"}[c.kind])
			if _, err := os.Stat(source); err != nil {
				t.Skip("the examples are not there: apt-get install glpk-utils (with documentation)")
			}
			free := filepath.Join(t.TempDir(), "free.mps")
			glpsol(t, c.kind, source, "--check", "--wfreemps", free)
			file, err := os.Open(free)
			require.NoError(t, err)
			defer file.Close()
			m, err := readMPS(file)
			require.NoError(t, err)
			direction, sign := "--min", 1.0
			if c.maximise {
				direction, sign = "--max", -1
				if !m.maximise {
					for j := range m.problem.Cost {
						m.problem.Cost[j] *= -1
					}
				}
			}
			if slices.Contains(m.integer, true) {
				m.problem.Integer = m.integer
			}
			s := solve(t, m.problem)
			if m.problem.Integer == nil {
				verifyOptimal(t, m.problem, s, 1e-8)
			}
			require.Equal(t, solver.Optimal, s.Status)
			_, objective := glpkOptimum(t, free, direction)
			assert.InEpsilon(t, objective, sign*s.Objective+m.constant, 2e-9)
			assert.InEpsilon(t, c.optimum, sign*s.Objective+m.constant, 1e-6)
		})
	}
}
