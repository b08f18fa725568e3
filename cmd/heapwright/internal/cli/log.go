package cli

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"heapwright/blend"
	"heapwright/blend/pile"
	"heapwright/cmd/heapwright/internal/answer"
	"heapwright/cmd/heapwright/internal/picture"
	"heapwright/cmd/heapwright/internal/report"
)

// logFlags are the flags of the log command.
type logFlags struct {
	flags            *pflag.FlagSet
	rules            []string
	list             bool
	hopeful, bridge  bool
	squeeze, plan    string
	library, picture string
	format           string
	reading          *readingFlags
	events, group    string
}

func logCommand() command {
	return command{
		name:  "log",
		args:  "FILE.csv",
		short: "judge a temperature log, and say what to do today",
		sub:   []command{logAddCommand()},
		long: `Judge a temperature log: what the pile has been through, how it stands against
published time-temperature figures, and what to do today.

The log is a CSV file with a date and a temperature at the least; "-" reads it
from standard input. The lowest reading of a day decides whether the day counts;
--hopeful takes the highest. Ends with exit code 3 when a rule that --rule asks
for is not met.

  heapwright log bay.csv
  heapwright log bay.csv --rule us-produce-turned --squeeze crumbles
  heapwright log bay.csv --plan bay.toml --picture bay.svg
  heapwright log add bay.csv --temperature 58      (heapwright log add --help)`,
		setup: func(flags *pflag.FlagSet) run {
			f := &logFlags{flags: flags, reading: addReadingFlags(flags)}
			flags.StringArrayVar(&f.rules, "rule", nil, "hold it against this `rule`, or family of rules, as in us-organic; repeat for more")
			flags.BoolVar(&f.list, "rules", false, "list the rules and where they come from")
			flags.BoolVar(&f.hopeful, "hopeful", false, "let the highest reading of a day decide, not the lowest")
			flags.BoolVar(&f.bridge, "bridge", false, "count a single day without a reading between two that count")
			flags.StringVar(&f.squeeze, "squeeze", "", "what a hard squeeze gives today: "+strings.Join(pile.SqueezeWords(), ", ")+"; or per cent of moisture, as measured (`answer`)")
			flags.StringVar(&f.plan, "plan", "", "the plan `file` that the pile was built by, for the advice")
			flags.StringVar(&f.library, "library", "", "a library `file` of your own, for the plan")
			flags.StringVar(&f.events, "events", "", "a CSV `file` of what was done to the pile, and when")
			flags.StringVar(&f.group, "group", "", "the `pile` to read from a log of several")
			flags.StringVar(&f.picture, "picture", "", "draw the curve into this `file`, .svg, .png or .pdf; - draws it here, in characters")
			flags.StringVar(&f.format, "format", "text", "layout: `"+strings.Join(report.Formats(), ", ")+"`")
			return func(ctx context.Context, args []string, io streams) error { return f.run(ctx, args, io) }
		},
	}
}

// readingFlags say how the cells of a log are to be read.
type readingFlags struct {
	unit, zone           string
	built                string
	dayFirst, monthFirst bool
}

func addReadingFlags(flags *pflag.FlagSet) *readingFlags {
	r := &readingFlags{}
	flags.StringVar(&r.unit, "unit", "", "unit of temperatures that have none: `C or F`")
	flags.BoolVar(&r.dayFirst, "day-first", false, "read 11/03/2026 as 11 March")
	flags.BoolVar(&r.monthFirst, "month-first", false, "read 11/03/2026 as November 3")
	flags.StringVar(&r.built, "built", "", "`date` the pile was built, as in 2026-05-01; day 0 of a log in day numbers")
	flags.StringVar(&r.zone, "zone", "", "time `zone` of the log, as in Europe/Berlin, where times have offsets")
	return r
}

// options checks the flags.
func (r *readingFlags) options() (pile.Options, error) {
	o := pile.Options{Unit: strings.ToUpper(strings.TrimSpace(r.unit)), DayFirst: r.dayFirst, MonthFirst: r.monthFirst}
	switch {
	case o.Unit != "" && o.Unit != "C" && o.Unit != "F":
		return o, &usageError{fmt.Sprintf("there is no unit %q of temperature", r.unit), "it is C or F"}
	case r.dayFirst && r.monthFirst:
		return o, &usageError{"--day-first and --month-first exclude each other", "leave one of them out"}
	}
	if r.zone != "" {
		zone, err := time.LoadLocation(r.zone)
		if err != nil {
			return o, &usageError{fmt.Sprintf("there is no time zone %q", r.zone), "it is a name like Europe/Berlin or America/Chicago, or UTC"}
		}
		o.Zone = zone
	}
	if r.built != "" {
		day, err := time.Parse(time.DateOnly, strings.TrimSpace(r.built))
		if err != nil {
			return o, &usageError{fmt.Sprintf("--built %q is not a date", r.built), "write year, month and day: --built 2026-05-01"}
		}
		if o.Zone != nil {
			day = time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, o.Zone)
		}
		o.Built = day
	}
	return o, nil
}

func (f *logFlags) run(ctx context.Context, args []string, io streams) error {
	format, ok := report.ParseFormat(f.format)
	if !ok {
		return &usageError{fmt.Sprintf("there is no format %q", f.format), nearOr(f.format, report.Formats(), "it is one of "+strings.Join(report.Formats(), ", "))}
	}
	if f.list {
		return report.Rules(io.out, pile.Rules(), format)
	}
	switch {
	case len(args) == 0:
		return &usageError{"which log?", "name a CSV file with a date and a temperature: heapwright log bay.csv"}
	case len(args) > 1:
		return &usageError{fmt.Sprintf("one log at a time, not %d", len(args)), "heapwright help log"}
	}
	asked, err := f.asked()
	if err != nil {
		return err
	}
	known, err := f.circumstances(ctx)
	if err != nil {
		return err
	}
	if err := fileNamed(f.flags, "picture"); err != nil {
		return err
	}
	draw, err := pictureFormat(f.picture, "curve.svg", args[0], f.events, f.plan, f.library)
	if err != nil {
		return err
	}
	log, err := f.read(args[0], io.in)
	if err != nil {
		return err
	}
	judged := answer.Log(log, asked, pile.Choice{Hopeful: f.hopeful, Bridge: f.bridge}, known)
	if judged == nil {
		return &usageError{log.Name + " has no reading of the pile", "it needs a date and a temperature in each row"}
	}
	judged.OnePile = f.group != ""
	curve := answer.Curve(judged, title(log.Name))
	switch {
	case f.picture == "-":
		judged.Picture = picture.Terminal(curve)
	case f.picture != "":
		var drawn bytes.Buffer
		if err := picture.Write(&drawn, curve, draw); err != nil {
			return fmt.Errorf("drawing %s: %w", f.picture, err)
		}
		if err := writeBeside(f.picture, drawn.Bytes(), isMissing(f.picture), nil); err != nil {
			return err
		}
		tellWritten(io.err, f.picture, "the curve")
	}
	if err := report.Log(io.out, judged, format); err != nil {
		return err
	}
	for _, a := range judged.Asked {
		if !a.Met() {
			return errAnswerNo
		}
	}
	return nil
}

// title names a log without its folder.
func title(name string) string { return "Temperature log " + filepath.Base(name) }

func (f *logFlags) asked() ([]answer.AskedRules, error) {
	var out []answer.AskedRules
	for _, name := range f.rules {
		rules := pile.FindRules(name)
		if len(rules) == 0 {
			var keys []string
			for _, r := range pile.Rules() {
				keys = append(keys, r.Key)
			}
			return nil, &usageError{fmt.Sprintf("there is no rule %q", name), nearOr(name, keys, "heapwright log --rules lists them")}
		}
		out = append(out, answer.AskedRules{Name: name, Rules: rules})
	}
	return out, nil
}

// circumstances reads what is known beside the log: a squeeze, the plan.
func (f *logFlags) circumstances(ctx context.Context) (pile.Circumstances, error) {
	var known pile.Circumstances
	if f.squeeze != "" {
		m, err := moistness(f.squeeze)
		if err != nil {
			return known, err
		}
		known.Moisture = &m
	}
	if f.plan == "" {
		return known, nil
	}
	file, err := openFile(f.plan)
	if err != nil {
		return known, err
	}
	defer file.Close()
	plan, err := blend.ReadPlan(file, f.plan)
	if err != nil {
		return known, err
	}
	library, err := openLibrary(f.library)
	if err != nil {
		return known, err
	}
	problem, err := plan.Problem(library)
	if err != nil {
		return known, err
	}
	known.Recipe, err = blend.Formulate(ctx, problem)
	if err == nil && known.Recipe.Conflict {
		return known, &usageError{f.plan + " has no mix at all: its limits cannot all hold together", "heapwright mix " + f.plan + " says why; or leave --plan out"}
	}
	return known, err
}

// moistness reads the answer of a squeeze, or a moisture in per cent.
func moistness(text string) (pile.Moistness, error) {
	if m, ok := pile.ParseSqueeze(text); ok {
		return m, nil
	}
	v, err := parseNumber(strings.TrimSuffix(strings.TrimSpace(text), "%"))
	switch {
	case err != nil:
		words := pile.SqueezeWords()
		return pile.Moistness{}, &usageError{fmt.Sprintf("--squeeze cannot be %q", text), nearOr(text, words, "it is "+strings.Join(words, ", ")+", or a moisture in per cent")}
	case !(v > 0 && v < 100) || math.IsNaN(v):
		return pile.Moistness{}, &usageError{fmt.Sprintf("a moisture of %q per cent cannot be", text), "it lies between 0 and 100"}
	}
	return pile.Moistness{Low: v / 100, Usual: v / 100, High: v / 100, Told: "as measured"}, nil
}

// read reads the log and its events.
func (f *logFlags) read(name string, in io.Reader) (*pile.Log, error) {
	o, err := f.reading.options()
	if err != nil {
		return nil, err
	}
	o.Group = f.group
	if f.events != "" {
		file, err := openFile(f.events)
		if err != nil {
			return nil, err
		}
		defer file.Close()
		if o.Events, err = pile.ReadEvents(file, f.events, o); err != nil {
			return nil, err
		}
	}
	if name == "-" {
		return pile.Read(in, "standard input", o)
	}
	file, err := openFile(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return pile.ReadFile(file, name, o)
}
