package blend_test

import (
	"testing"

	"heapwright/blend"
)

// benchmarkFormulate formulates random piles of some materials, one after the
// other.
func benchmarkFormulate(b *testing.B, materials int) {
	problems := randomProblems(1, 32, materials)
	i := 0
	for b.Loop() {
		if _, err := blend.Formulate(b.Context(), problems[i%len(problems)]); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

func BenchmarkFormulate3(b *testing.B)  { benchmarkFormulate(b, 3) }
func BenchmarkFormulate12(b *testing.B) { benchmarkFormulate(b, 12) }
func BenchmarkFormulate60(b *testing.B) { benchmarkFormulate(b, 60) }
