package lesson_test

import (
	"bytes"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/cmd/heapwright/internal/lesson"
	"heapwright/feedstocks"
)

func library(t testing.TB) *feedstocks.Library {
	t.Helper()
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	return lib
}

func drawn(t testing.TB, lib *feedstocks.Library, o lesson.Order) *lesson.Sheet {
	t.Helper()
	s, err := lesson.Draw(lib, o)
	require.NoError(t, err, "%+v", o)
	require.Len(t, s.Problems, o.Problems)
	return s
}

// kindsAt is how many kinds of problem a level has.
func kindsAt(l lesson.Level) int {
	return map[lesson.Level]int{lesson.Handful: 5, lesson.Bucket: 7, lesson.Heap: 7}[l]
}

// seeds is how many are swept at each level; HEAPWRIGHT_SWEEP sets another.
func seeds(t testing.TB) int {
	if n, err := strconv.Atoi(os.Getenv("HEAPWRIGHT_SWEEP")); err == nil {
		return n
	}
	if raced {
		return 60
	}
	return 1000
}

// Every answer, worked out anew from the printed text alone, with all digits
// kept and with the rounded answers carried on.
func TestAnswersFollowFromThePrintedText(t *testing.T) {
	lib := library(t)
	for _, level := range lesson.Levels() {
		t.Run(level.String(), func(t *testing.T) {
			t.Parallel()
			seen := map[string]int{}
			for seed := range uint64(seeds(t)) {
				s := drawn(t, lib, lesson.Order{Level: level, Seed: seed, Problems: kindsAt(level)})
				for _, p := range readSheet(t, s) {
					seen[p.title]++
					for _, carry := range []bool{false, true} {
						require.Equal(t, p.answers, solve(t, p, carry), "seed %d, %s, carried on: %v\n%s %v", seed, p.title, carry, p.text, p.tables)
					}
				}
			}
			assert.Len(t, seen, kindsAt(level), "all kinds occur")
			for title, n := range seen {
				assert.Equal(t, seeds(t), n, title)
			}
		})
	}
}

// The longest sheets there are: no two problems alike, and kinds even.
func TestNoTwoProblemsAlike(t *testing.T) {
	lib := library(t)
	for _, level := range lesson.Levels() {
		for seed := range uint64(max(3, seeds(t)/50)) {
			s := drawn(t, lib, lesson.Order{Level: level, Seed: seed, Problems: lesson.Most})
			kinds, texts, answers := map[string]int{}, map[string]bool{}, map[string]bool{}
			for _, p := range readSheet(t, s) {
				kinds[p.title]++
				var text strings.Builder
				text.WriteString(p.title + p.text + strings.Join(p.asks, ""))
				for _, table := range p.tables {
					for _, column := range p.columns {
						text.WriteString(strings.Join(table[column], "|"))
					}
				}
				answer := p.title + strings.Join(p.answers, "|")
				require.False(t, texts[text.String()], "seed %d: twice %s", seed, text.String())
				require.False(t, answers[answer], "seed %d: twice %s", seed, answer)
				texts[text.String()], answers[answer] = true, true
				require.Equal(t, p.answers, solve(t, p, true), "seed %d", seed)
			}
			least, most := lesson.Most, 0
			for _, n := range kinds {
				least, most = min(least, n), max(most, n)
			}
			assert.Len(t, kinds, kindsAt(level))
			assert.LessOrEqual(t, most-least, 1, "%v", kinds)
		}
	}
}

// Short sheets have each kind at most once, and over many seeds all kinds; the
// highest level always has the problem that joins the others.
func TestShortSheetsVary(t *testing.T) {
	lib := library(t)
	for _, level := range lesson.Levels() {
		seen := map[string]bool{}
		for seed := range uint64(60) {
			here := map[string]bool{}
			s := drawn(t, lib, lesson.Order{Level: level, Seed: seed, Problems: 2})
			for _, p := range s.Problems {
				assert.False(t, here[p.Title])
				here[p.Title], seen[p.Title] = true, true
			}
			assert.Equal(t, level == lesson.Heap, here["From the scales to the windrow"])
		}
		assert.Len(t, seen, kindsAt(level))
	}
}

func markdown(t testing.TB, s *lesson.Sheet, part lesson.Part) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, s.Markdown(&out, part))
	return out.String()
}

func TestSameSeedSameSheet(t *testing.T) {
	lib := library(t)
	for _, level := range lesson.Levels() {
		o := lesson.Order{Level: level, Seed: 11, Problems: 6}
		one, two := drawn(t, lib, o), drawn(t, lib, o)
		assert.Equal(t, markdown(t, one, lesson.Both), markdown(t, two, lesson.Both))
		o.Seed = 12
		assert.NotEqual(t, one.Problems, drawn(t, lib, o).Problems)
	}
}

// A level up asks for more lines of working and more questions, on the mean and
// by a good margin.
func TestLevelsGrowHarder(t *testing.T) {
	lib := library(t)
	before := 0.0
	for _, level := range lesson.Levels() {
		steps := 0
		const sheets = 40
		for seed := range uint64(sheets) {
			for _, p := range drawn(t, lib, lesson.Order{Level: level, Seed: seed, Problems: kindsAt(level)}).Problems {
				steps += p.Steps()
			}
		}
		mean := float64(steps) / float64(sheets*kindsAt(level))
		t.Logf("%s: %.1f lines of working a problem", level, mean)
		assert.Greater(t, mean, 1.3*before)
		before = mean
	}
}

// The youngest get nothing of manure; where it is on a sheet, so is its
// caution.
func TestManureAndItsCaution(t *testing.T) {
	lib := library(t)
	with := 0
	for seed := range uint64(40) {
		for _, level := range lesson.Levels() {
			s := drawn(t, lib, lesson.Order{Level: level, Seed: seed, Problems: kindsAt(level)})
			speaks := false
			for _, p := range readSheet(t, s) {
				var all strings.Builder
				all.WriteString(p.text + strings.Join(p.asks, " "))
				for _, table := range p.tables {
					all.WriteString(strings.Join(table["material"], " ") + strings.Join(p.columns, " "))
				}
				speaks = speaks || strings.Contains(all.String(), "manure") || strings.Contains(all.String(), "litter")
			}
			if speaks {
				with++
				assert.NotEqual(t, lesson.Handful, level)
			}
			assert.Equal(t, speaks, strings.Contains(markdown(t, s, lesson.Pupils), "Manure can carry germs"), "seed %d, %s", seed, level)
		}
	}
	assert.Positive(t, with)
}

// The pupils' sheet gives nothing away.
func TestPupilsSheetHasNoAnswers(t *testing.T) {
	s := drawn(t, library(t), lesson.Order{Level: lesson.Heap, Seed: 3, Problems: 7})
	pupils, answers := markdown(t, s, lesson.Pupils), markdown(t, s, lesson.Answers)
	var page bytes.Buffer
	require.NoError(t, s.HTML(&page, lesson.Pupils))
	for _, text := range []string{pupils, page.String()} {
		assert.NotContains(t, text, "Answer")
		assert.NotContains(t, text, "--seed")
		for _, p := range s.Problems {
			for _, a := range p.Asks {
				for _, step := range a.Steps {
					assert.NotContains(t, text, step)
				}
			}
		}
	}
	for _, p := range s.Problems {
		for _, a := range p.Asks {
			assert.Contains(t, answers, "**"+a.Answer+"**")
		}
	}
	assert.Equal(t, pupils+"\n---\n\n"+answers, markdown(t, s, lesson.Both))
}

func TestOrderOutOfBounds(t *testing.T) {
	lib := library(t)
	for _, n := range []int{-1, 0, lesson.Most + 1} {
		_, err := lesson.Draw(lib, lesson.Order{Problems: n})
		assert.ErrorContains(t, err, "a sheet has 1 to 40")
	}
	_, err := lesson.Draw(feedstocks.Collect(nil), lesson.Order{Problems: 1})
	assert.Error(t, err, "a library without the materials")
}

// "55 C or more" is only learnt where a reading is 55 C.
func TestLogsShowTheThresholdItself(t *testing.T) {
	lib := library(t)
	for _, level := range lesson.Levels() {
		with, logs := 0, 0
		for seed := range uint64(60) {
			for _, p := range readSheet(t, drawn(t, lib, lesson.Order{Level: level, Seed: seed, Problems: kindsAt(level)})) {
				row := strings.Join(append(append(p.row("C"), p.row("core, C")...), p.row("lowest, C")...), " ")
				if row == "" {
					continue
				}
				logs++
				if strings.Contains(" "+row+" ", " 55 ") {
					with++
				}
			}
		}
		assert.Equal(t, 60, logs)
		assert.Greater(t, with, 5, level)
	}
}

// A question with two answers is no question when one of them never comes.
func TestVerdictsDiffer(t *testing.T) {
	lib := library(t)
	found := map[string]int{}
	for seed := range uint64(120) {
		for _, level := range []lesson.Level{lesson.Bucket, lesson.Heap} {
			for _, p := range drawn(t, lib, lesson.Order{Level: level, Seed: seed, Problems: kindsAt(level)}).Problems {
				if p.Title == "A log held against a rule" || p.Title == "C:N of two materials as weighed" {
					found[p.Title+": "+p.Asks[len(p.Asks)-1].Answer]++
				}
			}
		}
	}
	t.Log(found)
	assert.Len(t, found, 5)
	for verdict, n := range found {
		assert.Greater(t, n, 12, verdict)
	}
}
