package season_test

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"heapwright/blend/season"
	"heapwright/solver"
)

// relaxedProgram is the first aim of a garden's season with parts of batches
// allowed.
func relaxedProgram(weeks int) *solver.Problem {
	p := *season.FirstProgram(gardenSeason(rand.New(rand.NewPCG(1, 5)), weeks, 24, 4, weeks/4))
	p.Integer = nil
	return &p
}

// BenchmarkRelaxed solves relaxed seasons of 24 materials: growth with the
// weeks should be close to linear.
func BenchmarkRelaxed(b *testing.B) {
	for _, weeks := range []int{26, 52, 104, 260} {
		b.Run(strconv.Itoa(weeks), func(b *testing.B) {
			p := relaxedProgram(weeks)
			b.ReportMetric(float64(p.Rows.RowCount), "rows")
			b.ReportMetric(float64(len(p.Rows.Value)), "entries")
			for b.Loop() {
				s, err := solver.Solve(b.Context(), p, solver.Settings{})
				require.NoError(b, err)
				require.Equal(b, solver.Optimal, s.Status)
			}
		})
	}
}

// BenchmarkRelaxedElsewhere solves the same programs with Debian's glpsol and
// clp; the time to start the process and to read the file is included.
func BenchmarkRelaxedElsewhere(b *testing.B) {
	for _, tool := range []struct {
		name      string
		arguments []string
	}{
		{"glpsol", []string{"--freemps", "FILE"}},
		{"glpsol", []string{"--freemps", "FILE", "--interior"}},
		{"clp", []string{"FILE", "-solve"}},
	} {
		for _, weeks := range []int{52, 260} {
			name := tool.name + "/" + strconv.Itoa(weeks)
			if len(tool.arguments) > 2 {
				name = tool.name + "-interior/" + strconv.Itoa(weeks)
			}
			b.Run(name, func(b *testing.B) {
				path, err := exec.LookPath(tool.name)
				if err != nil {
					b.Skip(tool.name + " is not installed: apt-get install glpk-utils coinor-clp")
				}
				file := filepath.Join(b.TempDir(), "p.mps")
				require.NoError(b, os.WriteFile(file, mps(relaxedProgram(weeks)), 0o600))
				arguments := append([]string{}, tool.arguments...)
				for k := range arguments {
					if arguments[k] == "FILE" {
						arguments[k] = file
					}
				}
				for b.Loop() {
					out, err := exec.CommandContext(b.Context(), path, arguments...).CombinedOutput()
					require.NoErrorf(b, err, "%s", out)
				}
			})
		}
	}
}

// BenchmarkSeason plans whole seasons of 52 weeks and 24 materials, most of
// them with far more wanted than can be had; the gap of each aim is reported in
// per cent. Run it with -benchtime 1x.
func BenchmarkSeason(b *testing.B) {
	for seed := range uint64(8) {
		b.Run(strconv.FormatUint(seed, 10), func(b *testing.B) {
			s := gardenSeason(rand.New(rand.NewPCG(seed, 5)), 52, 24, 4, 13)
			for b.Loop() {
				p, err := season.Solve(b.Context(), s, season.Settings{Time: 10 * time.Second})
				require.NoError(b, err)
				for _, a := range p.Aims {
					b.ReportMetric(100*a.Gap, a.Name+"-gap-%")
				}
			}
		})
	}
}

// BenchmarkExample plans the example season.
func BenchmarkExample(b *testing.B) {
	s := readExample(b, 0)
	for b.Loop() {
		p, err := season.Solve(b.Context(), s, season.Settings{})
		require.NoError(b, err)
		require.NoError(b, p.Check())
	}
}
