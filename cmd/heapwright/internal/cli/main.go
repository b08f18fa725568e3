// Package cli is the heapwright command line: its commands, flags, help and
// errors. It reads files and writes to the streams that it is given; reports
// are laid out by package report.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"heapwright/feedstocks"
)

// Exit codes, documented in the help and stable.
const (
	ExitDone        = 0   // done
	ExitFailure     = 1   // heapwright itself failed
	ExitUsage       = 2   // the words, the file or its values are off
	ExitNo          = 3   // it ran correctly and the answer is no: the target is out of reach
	ExitInterrupted = 130 // stopped by the user
)

// Main runs one command line and returns the exit code.
func Main(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) int {
	err := dispatch(ctx, args, streams{stoppable{ctx, in}, out, errOut})
	if err == nil {
		return ExitDone
	}
	if errors.Is(err, errAnswerNo) {
		return ExitNo
	}
	if ctx.Err() != nil {
		fmt.Fprintln(errOut, "heapwright: stopped")
		return ExitInterrupted
	}
	return tell(errOut, err)
}

// errAnswerNo ends a command that ran correctly and whose answer is no; the
// report has said so already.
var errAnswerNo = errors.New("the target is out of reach")

func dispatch(ctx context.Context, args []string, io streams) error {
	global := pflag.NewFlagSet("heapwright", pflag.ContinueOnError)
	global.SetInterspersed(false)
	global.SetOutput(io.err)
	global.Usage = func() {}
	version := global.Bool("version", false, "print the version")
	if err := global.Parse(args); err != nil {
		if errors.Is(err, pflag.ErrHelp) {
			return writeOverview(io.out)
		}
		return flagError(err, global, "heapwright help")
	}
	if *version {
		return writeVersion(io.out)
	}
	args = global.Args()
	if len(args) == 0 {
		return &usageError{problem: "which command?", hint: "type heapwright help for the list, or heapwright mix PLAN.toml for a recipe"}
	}
	c, ok := find(args[0])
	if !ok {
		var names []string
		for _, c := range commands() {
			names = append(names, c.name)
		}
		return &usageError{problem: fmt.Sprintf("there is no command %q", args[0]), hint: nearOr(args[0], names, "type heapwright help for the list")}
	}
	return execute(ctx, c, args[1:], io)
}

// find looks a command up by its name, as "mix" or "measure density".
func find(name string) (command, bool) {
	for _, c := range commands() {
		for _, c := range append([]command{c}, c.sub...) {
			if c.name == name {
				return c, true
			}
		}
	}
	return command{}, false
}

func execute(ctx context.Context, c command, args []string, io streams) error {
	if len(args) > 0 {
		for _, sub := range c.sub {
			if sub.name == c.name+" "+args[0] {
				return execute(ctx, sub, args[1:], io)
			}
		}
	}
	flags, work := flagSet(c)
	flags.SetOutput(io.err)
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, pflag.ErrHelp) {
			return writeHelp(io.out, c)
		}
		return flagError(err, flags, "heapwright help "+c.name)
	}
	return work(ctx, flags.Args(), io)
}

// flagSet declares the flags of a command.
func flagSet(c command) (*pflag.FlagSet, run) {
	flags := pflag.NewFlagSet(c.name, pflag.ContinueOnError)
	flags.Usage = func() {}
	flags.SortFlags = false
	work := c.setup(flags)
	return flags, work
}

// usageError is a fault of the command line, with what to type next.
type usageError struct{ problem, hint string }

func (e *usageError) Error() string { return e.problem }

// flagError words an error of the flag parser.
func flagError(err error, flags *pflag.FlagSet, help string) error {
	var names []string
	flags.VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	if unknown, ok := errors.AsType[*pflag.NotExistError](err); ok {
		name := unknown.GetSpecifiedName()
		hint := "type " + help + " for the flags"
		if near := feedstocks.Nearest(name, names); len(near) > 0 {
			hint = "did you mean --" + strings.Join(near, " or --") + "?"
		}
		return &usageError{fmt.Sprintf("there is no flag --%s", name), hint}
	}
	if missing, ok := errors.AsType[*pflag.ValueRequiredError](err); ok {
		return &usageError{fmt.Sprintf("--%s needs a value", missing.GetSpecifiedName()), "type " + help + " for the flags"}
	}
	if bad, ok := errors.AsType[*pflag.InvalidValueError](err); ok {
		return &usageError{fmt.Sprintf("--%s cannot be %q", bad.GetFlag().Name, bad.GetValue()), bareUsage(bad.GetFlag().Usage)}
	}
	return &usageError{err.Error(), "type " + help + " for the flags"}
}

// nearOr is a "did you mean" among names, or else the given hint.
func nearOr(name string, names []string, otherwise string) string {
	if near := feedstocks.Nearest(name, names); len(near) > 0 {
		return "did you mean " + strings.Join(near, " or ") + "?"
	}
	return otherwise
}
