package lesson_test

import (
	"go/constant"
	"go/token"
	"go/types"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/cmd/heapwright/internal/lesson"
)

// The lines of working say what is so: what stands on both sides of an equals
// sign is the same, reckoned by the exact constants of the Go type checker. What
// is rounded comes after that word.
func TestStepsAreTrue(t *testing.T) {
	lib := library(t)
	checked, sheets := 0, max(20, seeds(t)/10)
	for _, level := range lesson.Levels() {
		for seed := range uint64(sheets) {
			for _, p := range drawn(t, lib, lesson.Order{Level: level, Seed: seed, Problems: kindsAt(level)}).Problems {
				for _, a := range p.Asks {
					for _, step := range a.Steps {
						checked += checkStep(t, step)
					}
				}
			}
		}
	}
	t.Logf("%d equals signs", checked)
	assert.Greater(t, checked, 100*sheets, "most equals signs of three sheets are read")
}

var (
	clause = regexp.MustCompile(`[:,] | for its own nitrogen`)
	unit   = regexp.MustCompile(`^([-+/() x.\d]*[\d)])(\.\.\.)? ?(kg/m3|kg|g|m3|m2|m|t|L|C|%)?( rounded ([.\d]*\d) ?(kg/m3|kg|g|m3|m2|m|t|L|C|%)?)?( of carbon| to spare|)$`)
	name   = regexp.MustCompile(`^.*[a-z]{2,} (\d)`)
	digits = regexp.MustCompile(`\d+(\.\d+)?`)
)

// checkStep counts the equals signs that it has checked.
func checkStep(t *testing.T, step string) int {
	t.Helper()
	n, words := 0, 0
	// "= 3.25 kg, rounded 3 kg" stays together.
	for _, part := range clause.Split(strings.ReplaceAll(step, ", rounded ", " rounded "), -1) {
		sides := strings.Split(part, " = ")
		for i := 1; i < len(sides); i++ {
			l, r := unit.FindStringSubmatch(name.ReplaceAllString(sides[i-1], "$1")), unit.FindStringSubmatch(sides[i])
			if l == nil || r == nil {
				continue
			}
			require.Empty(t, l[2]+l[4], "%s: nothing follows from what is cut off or rounded", step)
			checkEqual(t, step, l, r)
			n++
			if r[4] != "" {
				words++
			}
		}
	}
	require.Equal(t, strings.Count(step, "rounded"), words, "%s: every rounding is read", step)
	return n
}

// checkEqual holds the left side against the right one: the same exactly; or,
// with dots, its digits as far as they go; and the rounded figure, if there is
// one, the nearest with so many digits.
func checkEqual(t *testing.T, step string, l, r []string) {
	t.Helper()
	value, shown := evaluate(t, l[1]), evaluate(t, r[1])
	switch {
	case r[3] == "%" && l[3] == "" && !same(value, shown): // a share as per cent
		value = constant.BinaryOp(value, token.MUL, constant.MakeInt64(100))
	case r[3] == "m3" && l[3] == "L":
		value = constant.BinaryOp(value, token.QUO, constant.MakeInt64(1000))
	}
	off := constant.BinaryOp(value, token.SUB, shown)
	if r[2] == "" {
		require.True(t, same(value, shown), "%s: %s is not %s", step, l[1], r[1])
	} else {
		require.True(t, constant.Sign(off) > 0 && constant.Compare(off, token.LSS, lastDigit(r[1])), "%s: %s does not begin %s", step, l[1], r[1])
	}
	if r[4] == "" {
		require.Empty(t, r[2], "%s: what is cut off is rounded", step)
		return
	}
	require.Equal(t, r[3], r[6], "%s: one unit", step)
	half := constant.BinaryOp(lastDigit(r[5]), token.QUO, constant.MakeInt64(2))
	if r[6] == "L" && strings.HasSuffix(l[1], " x 1000") { // to the nearest ten
		half = constant.MakeInt64(5)
		require.True(t, strings.HasSuffix(r[5], "0"), step)
	}
	off = constant.BinaryOp(value, token.SUB, evaluate(t, r[5]))
	require.NotZero(t, constant.Sign(off), "%s: nothing is rounded", step)
	if constant.Sign(off) < 0 {
		off = constant.UnaryOp(token.SUB, off, 0)
	}
	require.True(t, constant.Compare(off, token.LSS, half), "%s: %s does not round to %s", step, l[1], r[5])
}

func same(a, b constant.Value) bool { return constant.Compare(a, token.EQL, b) }

// lastDigit is what one more in the last digit printed adds.
func lastDigit(printed string) constant.Value {
	step := constant.ToFloat(constant.MakeInt64(1))
	if _, decimals, ok := strings.Cut(printed, "."); ok {
		for range len(decimals) {
			step = constant.BinaryOp(step, token.QUO, constant.MakeInt64(10))
		}
	}
	return step
}

// evaluate works out a line of figures exactly.
func evaluate(t *testing.T, text string) constant.Value {
	t.Helper()
	expression := digits.ReplaceAllStringFunc(strings.ReplaceAll(text, " x ", " * "), func(s string) string {
		if strings.Contains(s, ".") {
			return s
		}
		return s + ".0"
	})
	v, err := types.Eval(token.NewFileSet(), nil, token.NoPos, expression)
	require.NoError(t, err, "%s", expression)
	return v.Value
}
