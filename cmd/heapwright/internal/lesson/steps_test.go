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
// sign is the same, reckoned by the exact constants of the Go type checker, but
// for the rounding of the right-hand side.
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
	unit   = regexp.MustCompile(`^([-+/() x.\d]*[\d)]) ?(kg/m3|kg|g|m3|m2|m|t|L|C|%)?( of carbon| to spare|)$`)
	name   = regexp.MustCompile(`^.*[a-z]{2,} (\d)`)
	digits = regexp.MustCompile(`\d+(\.\d+)?`)
)

// checkStep counts the equals signs that it has checked.
func checkStep(t *testing.T, step string) int {
	t.Helper()
	n := 0
	for _, part := range clause.Split(step, -1) {
		sides := strings.Split(part, " = ")
		for i := 1; i < len(sides); i++ {
			left, right := name.ReplaceAllString(sides[i-1], "$1"), sides[i]
			l, r := unit.FindStringSubmatch(left), unit.FindStringSubmatch(right)
			if l == nil || r == nil {
				continue
			}
			a, b := evaluate(t, l[1]), evaluate(t, r[1])
			// A share as per cent, and litres as m3.
			same := closeTo(a, b, r[1])
			if strings.HasSuffix(l[1], " x 1000") && r[2] == "L" { // to the nearest ten
				ten := constant.MakeInt64(10)
				same = closeTo(constant.BinaryOp(a, token.QUO, ten), constant.BinaryOp(b, token.QUO, ten), "1")
			}
			if r[2] == "%" && !same {
				same = closeTo(constant.BinaryOp(a, token.MUL, constant.MakeInt64(100)), b, r[1])
			}
			if r[2] == "m3" && l[2] == "L" {
				same = closeTo(constant.BinaryOp(a, token.QUO, constant.MakeInt64(1000)), b, r[1])
			}
			require.True(t, same, "%s: %s is not %s", step, l[1], r[1])
			n++
		}
	}
	return n
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

// closeTo holds a against b, which may be rounded to the digits that it is
// printed with. A sum is exact.
func closeTo(a, b constant.Value, printed string) bool {
	step := constant.MakeFromLiteral("0.5", token.FLOAT, 0)
	if strings.ContainsAny(printed, "+x*/(") {
		step = constant.MakeFromLiteral("0.0000000001", token.FLOAT, 0)
	}
	if _, decimals, ok := strings.Cut(printed, "."); ok {
		for range len(decimals) {
			step = constant.BinaryOp(step, token.QUO, constant.MakeInt64(10))
		}
	}
	off := constant.BinaryOp(a, token.SUB, b)
	if constant.Sign(off) < 0 {
		off = constant.UnaryOp(token.SUB, off, 0)
	}
	return constant.Compare(off, token.LEQ, step)
}
