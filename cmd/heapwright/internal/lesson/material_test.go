package lesson_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/cmd/heapwright/internal/lesson"
)

// A class meets no carbon far from that of plants (cellulose has 44 %, from
// memory) and nothing loose that weighs as much as water, which is 1000 kg/m3
// (common practice, no source), in what is given or found.
func TestMaterialsAreLikely(t *testing.T) {
	lib := library(t)
	carbons, densities := 0, 0
	for seed := range uint64(max(60, seeds(t)/5)) {
		for _, level := range lesson.Levels() {
			for _, p := range readSheet(t, drawn(t, lib, lesson.Order{Level: level, Seed: seed, Problems: kindsAt(level)})) {
				for _, name := range []string{"carbon", "bulk density"} {
					if !strings.Contains(strings.Join(append(p.columns, p.labels("figure")...), "|"), name) {
						continue
					}
					for _, v := range p.column(t, name) {
						if name == "carbon" {
							carbons++
							require.True(t, v.Cmp(q("0.38")) >= 0 && v.Cmp(q("0.52")) <= 0, "seed %d, %s: %s", seed, p.title, v)
							continue
						}
						densities++
						require.LessOrEqual(t, v.Cmp(q("950")), 0, "seed %d, %s: %s", seed, p.title, v)
					}
				}
				switch {
				case p.title == "Weighing a bucket":
					densities++
					found := q(strings.TrimSuffix(p.answers[0], " kg/m3"))
					require.LessOrEqual(t, found.Cmp(q("950")), 0, "seed %d: %s", seed, p.text)
				case strings.Contains(p.text, "The bulk density of "):
					densities++
					given := p.numbers(t, `The bulk density of [a-z ]+, loose, is (\d+) kg/m3`)[0]
					require.LessOrEqual(t, given.Cmp(q("950")), 0, "seed %d: %s", seed, p.text)
				}
			}
		}
	}
	assert.Greater(t, carbons, 500)
	assert.Greater(t, densities, 300)
}

// labels is a column of the first table, if there is one.
func (p printed) labels(name string) []string {
	if len(p.tables) == 0 {
		return nil
	}
	return p.tables[0][name]
}
