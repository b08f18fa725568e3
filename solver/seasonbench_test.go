package solver_test

import (
	"flag"
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

	"heapwright/solver"
)

var seasonWeeks = flag.Int("season", 12, "weeks of the season solved beside glpsol and clp")

func theSeason(weeks int) *solver.Problem {
	return seasonPlan(rand.New(rand.NewPCG(3, 3)), weeks, 24)
}

// TestSeasonBeside solves a season beside glpsol and clp (Debian's glpk-utils
// and coinor-clp) on the same file, compares the objectives and logs the times,
// theirs with the reading of the file.
func TestSeasonBeside(t *testing.T) {
	p := theSeason(*seasonWeeks)
	var s *solver.Solution
	ours := time.Hour
	for range 3 {
		began := time.Now()
		s = solve(t, p)
		ours = min(ours, time.Since(began))
	}
	require.Equal(t, solver.Optimal, s.Status)
	assert.LessOrEqual(t, s.Residuals.Worst(), 1e-8)
	t.Logf("%d weeks, %d x %d, %d entries: %v, %d steps, objective %.10g",
		*seasonWeeks, p.Rows.RowCount, len(p.Cost), p.Rows.Entries(), ours, s.Iterations, s.Objective)
	file := filepath.Join(t.TempDir(), "season.mps")
	out, err := os.Create(file)
	require.NoError(t, err)
	require.NoError(t, writeMPS(out, p, nil))
	require.NoError(t, out.Close())
	began := time.Now()
	_, objective := glpkOptimum(t, file)
	t.Logf("glpsol: %v, objective %.10g", time.Since(began), objective)
	assert.InDelta(t, objective, s.Objective, 1e-8*(1+abs(objective)))
	clp, err := exec.LookPath("clp")
	if err != nil {
		t.Log("clp is not installed: apt-get install coinor-clp")
		return
	}
	for _, method := range []string{"-dualsimplex", "-primalsimplex", "-barrier"} {
		began = time.Now()
		words, err := exec.CommandContext(t.Context(), clp, file, method).CombinedOutput()
		require.NoError(t, err)
		took := time.Since(began)
		found := regexp.MustCompile(`Optimal objective (\S+)`).FindSubmatch(words)
		require.NotNilf(t, found, "%s", words)
		objective, err := strconv.ParseFloat(string(found[1]), 64)
		require.NoError(t, err)
		t.Logf("clp %s: %v, objective %.10g", method, took, objective)
		assert.InDelta(t, objective, s.Objective, 1e-8*(1+abs(objective)))
	}
}

// BenchmarkSeason solves the plan of a season, of two and of ten.
func BenchmarkSeason(b *testing.B) {
	for _, weeks := range []int{52, 104, 520} {
		b.Run(strconv.Itoa(weeks), func(b *testing.B) {
			p := theSeason(weeks)
			b.ReportAllocs()
			for b.Loop() {
				s, err := solver.Solve(b.Context(), p, solver.Settings{})
				require.NoError(b, err)
				require.Equal(b, solver.Optimal, s.Status)
			}
		})
	}
}
