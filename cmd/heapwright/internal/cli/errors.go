package cli

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"heapwright/blend"
	"heapwright/blend/pile"
	"heapwright/blend/season"
	"heapwright/feedstocks"
)

// mostErrors is how many faults of one file are told at once.
const mostErrors = 8

// tell writes an error and what to do about it, and returns the exit code.
func tell(w io.Writer, err error) int {
	all := split(err)
	code := ExitFailure
	for i, e := range all {
		if i == mostErrors {
			fmt.Fprintf(w, "heapwright: and %d more\n", len(all)-i)
			break
		}
		text, hint, known := words(e)
		if known {
			code = ExitUsage
		}
		fmt.Fprintf(w, "heapwright: error: %s\n", text)
		if hint != "" {
			fmt.Fprintf(w, "heapwright: hint: %s\n", hint)
		}
	}
	return code
}

// split takes joined errors apart.
func split(err error) []error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, e := range joined.Unwrap() {
			all = append(all, split(e)...)
		}
		return all
	}
	return []error{err}
}

// words puts an error for people; known tells those that the user can mend
// from failures of the program.
func words(err error) (text, hint string, known bool) {
	text = err.Error()
	for _, prefix := range []string{"blend: ", "pile: ", "feedstocks: ", "solver: ", "season: "} {
		text = strings.TrimPrefix(text, prefix)
	}
	if e, ok := errors.AsType[*usageError](err); ok {
		return text, e.hint, true
	}
	if e, ok := errors.AsType[*blend.PlanError](err); ok {
		return text, e.Hint, true
	}
	if e, ok := errors.AsType[*blend.ProblemError](err); ok {
		return text, e.Hint, true
	}
	if e, ok := errors.AsType[*pile.ReadError](err); ok {
		bare := *e
		bare.Hint = ""
		return strings.TrimPrefix(bare.Error(), "pile: "), e.Hint, true
	}
	if _, ok := errors.AsType[*blend.TargetError](err); ok {
		return text, "", true
	}
	if e, ok := errors.AsType[*season.SeasonError](err); ok {
		return text, e.Hint, true
	}
	if e, ok := errors.AsType[*feedstocks.FaultError](err); ok {
		return strings.TrimSuffix(text, "; "+e.Hint), e.Hint, true
	}
	if e, ok := errors.AsType[*feedstocks.QuantityError](err); ok {
		hint = e.Hint
		if len(e.Near) > 0 {
			hint = "did you mean " + strings.Join(e.Near, " or ") + "?"
		}
		return fmt.Sprintf("%q: %s", e.Text, e.Problem), hint, true
	}
	if e, ok := errors.AsType[*feedstocks.TestError](err); ok {
		bare := *e
		bare.Hint = ""
		return strings.TrimPrefix(bare.Error(), "feedstocks: "), e.Hint, true
	}
	if e, ok := errors.AsType[*feedstocks.UnknownError](err); ok {
		if len(e.Near) > 0 {
			hint = "did you mean " + strings.Join(e.Near, ", or ") + "?"
		}
		return fmt.Sprintf("no feedstock is known as %q", e.Name), hint, true
	}
	return text, "", false
}
