// Package fault puts errors into words for people: what is wrong, where, and
// what to do about it.
package fault

import (
	"errors"
	"fmt"
	"strings"

	"heapwright/blend"
	"heapwright/blend/pile"
	"heapwright/blend/season"
	"heapwright/feedstocks"
)

// Split takes joined errors apart.
func Split(err error) []error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, e := range joined.Unwrap() {
			all = append(all, Split(e)...)
		}
		return all
	}
	return []error{err}
}

// Words puts one error for people; known tells those that the user can mend
// from failures of the program.
func Words(err error) (text, hint string, known bool) {
	text = err.Error()
	for _, prefix := range []string{"blend: ", "pile: ", "feedstocks: ", "solver: ", "season: "} {
		text = strings.TrimPrefix(text, prefix)
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
		return fmt.Sprintf("no feedstock is known as %q", e.Name), e.Hint(), true
	}
	return text, "", false
}
