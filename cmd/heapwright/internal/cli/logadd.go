package cli

import (
	"context"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"heapwright/blend/pile"
)

// logAddFlags are the flags of log add.
type logAddFlags struct {
	temperatures, probes []string
	turned               bool
	watered, added, rain string
	note, at, group      string
	reading              *readingFlags
}

func logAddCommand() command {
	return command{
		name:  "log add",
		args:  "FILE.csv",
		short: "add a reading, a turning or a note to a log",
		long: `Add a row to a temperature log, written as its other rows are: with the same
columns, separator, dates, decimal sign and unit. All else in the file stays as
it is, and nothing is written when something has no place in it. A file that is
not there is begun. Repeat --temperature and --probe for several probes.

  heapwright log add bay.csv --temperature 58 --probe core --turned
  heapwright log add bay.csv --temperature 58C --probe core \
      --temperature 41C --probe edge --at "2026-11-03 18:00"
  heapwright log add bay.csv --watered "20 L" --note "dry at the edge"`,
		setup: func(flags *pflag.FlagSet) run {
			f := &logAddFlags{}
			flags.StringArrayVar(&f.temperatures, "temperature", nil, "a `temperature`: 58, 58C or 136F; without a letter it is in the unit of the log")
			flags.StringArrayVar(&f.probes, "probe", nil, "the `probe` that it is of, as the log names it")
			flags.BoolVar(&f.turned, "turned", false, "the pile was turned")
			flags.StringVar(&f.watered, "watered", "", "`water` that was added, as in \"20 L\", or yes")
			flags.StringVar(&f.added, "added", "", "`what` was added to the pile")
			flags.StringVar(&f.rain, "rain", "", "`rain` that fell on it, as in \"12 mm\", or yes")
			flags.StringVar(&f.note, "note", "", "a `note`")
			flags.StringVar(&f.at, "at", "", "`when`, as in \"2026-11-03 18:00\", 18:00 or \"day 12\" (now)")
			flags.StringVar(&f.group, "group", "", "the `pile`, in a log of several")
			f.reading = addReadingFlags(flags)
			return func(_ context.Context, args []string, io streams) error { return f.run(args, io) }
		},
	}
}

func (f *logAddFlags) run(args []string, io streams) error {
	switch {
	case len(args) == 0:
		return &usageError{"which log?", "name the file: heapwright log add bay.csv --temperature 58 --probe core"}
	case len(args) > 1:
		return &usageError{fmt.Sprintf("one log at a time, not %d", len(args)), "put values with spaces in quotes, as in --watered \"20 L\""}
	case args[0] == "-":
		return &usageError{"log add needs a file, not standard input", "name the file"}
	}
	addition, err := f.addition()
	if err != nil {
		return err
	}
	options, err := f.reading.options()
	if err != nil {
		return err
	}
	options.Group = f.group
	if options.Zone != nil {
		addition.Now = addition.Now.In(options.Zone)
	}
	name := args[0]
	var old []byte
	begun := isMissing(name)
	if !begun {
		file, err := openFile(name)
		if err != nil {
			return err
		}
		defer file.Close()
		if info, err := file.Stat(); err != nil || !info.Mode().IsRegular() {
			return &usageError{fmt.Sprintf("%s is not a file", name), "name a CSV file"}
		}
		if old, err = os.ReadFile(name); err != nil {
			return &usageError{fmt.Sprintf("%s cannot be read: %v", name, err), "check the name of the file, and who may read it"}
		}
	}
	text, added, err := pile.AppendFile(old, name, addition, options)
	if err != nil {
		return err
	}
	if err := writeBeside(name, text, begun, nil); err != nil {
		return err
	}
	says := "Added to " + name
	if begun {
		says = "Began " + name + " with"
	}
	_, err = fmt.Fprintf(io.out, "%s:\n  %s\n", says, strings.ReplaceAll(added, "\n", "\n  "))
	return err
}

// addition gathers what the flags say.
func (f *logAddFlags) addition() (pile.Addition, error) {
	a := pile.Addition{
		At: f.at, Now: time.Now(), Turned: f.turned,
		Watered: f.watered, Added: f.added, Rain: f.rain, Note: f.note,
	}
	if len(f.probes) > len(f.temperatures) {
		return a, &usageError{fmt.Sprintf("there are %d probes and %d temperatures", len(f.probes), len(f.temperatures)), "give a --temperature for each --probe"}
	}
	if len(f.temperatures) > 1 && len(f.probes) < len(f.temperatures) {
		return a, &usageError{fmt.Sprintf("there are %d temperatures and %d probes", len(f.temperatures), len(f.probes)), "give a --probe for each --temperature"}
	}
	for i, text := range f.temperatures {
		value, unit, ok := pile.ParseTemperature(text)
		if !ok {
			return a, &usageError{fmt.Sprintf("--temperature cannot be %q", text), "write 58, 58C or 136F"}
		}
		m := pile.Measured{Value: value, Unit: unit}
		if len(f.probes) > 0 {
			m.Probe = f.probes[i]
		}
		a.Temperatures = append(a.Temperatures, m)
	}
	return a, nil
}
