package cli

import (
	"errors"
	"fmt"
	"io"

	"heapwright/cmd/heapwright/internal/fault"
)

// mostErrors is how many faults of one file are told at once.
const mostErrors = 8

// tell writes an error and what to do about it, and returns the exit code.
func tell(w io.Writer, err error) int {
	all := fault.Split(err)
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

// words puts an error for people, as [fault.Words] does; faults of the command
// line are known here alone.
func words(err error) (text, hint string, known bool) {
	if e, ok := errors.AsType[*usageError](err); ok {
		return e.problem, e.hint, true
	}
	return fault.Words(err)
}
