package season_test

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"heapwright/blend/season"
	"heapwright/solver"
)

// A family is a way in which what a garden wants grows with its season.
type family struct {
	name   string
	steady bool // as much a week in every season, else as much a week as there are weeks
}

var families = []family{{"steady", true}, {"short-of-compost", false}}

// relaxedProgram is the first aim of a garden's season with parts of batches
// allowed. gardenSeason draws beds in proportion to the weeks, and each of them
// wants in proportion to the weeks, as if there were one: a steady garden's
// are cut back to what they want in a season of 52.
func (f family) relaxedProgram(weeks int) *solver.Problem {
	s := gardenSeason(rand.New(rand.NewPCG(1, 5)), weeks, 24, 4, weeks/4)
	if f.steady {
		for k := range s.Beds.Beds {
			s.Beds.Beds[k].CompostM3 *= 52 / float64(weeks)
		}
	}
	p := *season.FirstProgram(s)
	p.Integer = nil
	return &p
}

// BenchmarkRelaxed solves relaxed seasons of 24 materials: growth with the
// weeks should be close to linear in the steady ones. 520 weeks are twice what
// a season may have.
func BenchmarkRelaxed(b *testing.B) {
	for _, f := range families {
		for _, weeks := range []int{26, 52, 104, 260, 520} {
			b.Run(f.name+"/"+strconv.Itoa(weeks), func(b *testing.B) {
				p := f.relaxedProgram(weeks)
				b.ReportMetric(float64(p.Rows.RowCount), "rows")
				b.ReportMetric(float64(len(p.Rows.Value)), "entries")
				for b.Loop() {
					s, err := solver.Solve(b.Context(), p, solver.Settings{})
					require.NoError(b, err)
					require.Equal(b, solver.Optimal, s.Status)
					b.ReportMetric(float64(s.Iterations), "steps")
				}
			})
		}
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
		for _, f := range families {
			for _, weeks := range []int{52, 260} {
				name := tool.name
				if slices.Contains(tool.arguments, "--interior") {
					name += "-interior"
				}
				b.Run(name+"/"+f.name+"/"+strconv.Itoa(weeks), func(b *testing.B) {
					path, err := exec.LookPath(tool.name)
					if err != nil {
						b.Skip(tool.name + " is not installed: apt-get install glpk-utils coinor-clp")
					}
					file := filepath.Join(b.TempDir(), "p.mps")
					require.NoError(b, os.WriteFile(file, mps(f.relaxedProgram(weeks)), 0o600))
					arguments := slices.Clone(tool.arguments)
					arguments[slices.Index(arguments, "FILE")] = file
					for b.Loop() {
						out, err := exec.CommandContext(b.Context(), path, arguments...).CombinedOutput()
						require.NoErrorf(b, err, "%s", out)
					}
				})
			}
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
