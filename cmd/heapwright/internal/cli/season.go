package cli

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"heapwright/blend/season"
	"heapwright/cmd/heapwright/internal/picture"
	"heapwright/cmd/heapwright/internal/report"
	"heapwright/feedstocks"
)

func seasonCommand() command {
	return command{
		name:  "season",
		args:  "SEASON.toml",
		short: "plan a season's batches so that beds get compost in time",
		long: `Plan a season: this week's batch in whole measures, the calendar week by week,
what to buy and by when, what spoils, and what beds go short of.

The file says what arrives and keeps how long, what can be bought, the bays, and
what beds want by when (heapwright help season-file). In order, each held before
the next, the plan has the least shortage (earlier beds first), buys least,
wastes least, builds the fewest batches and is nearest the targets; what could
not be proved in the time is told. A season that leaves beds short ends with
exit code 3.

  heapwright season market.toml
  heapwright season market.toml --week 9 --limits`,
		setup: func(flags *pflag.FlagSet) run {
			f := &seasonFlags{flags: flags}
			flags.IntVar(&f.week, "week", 1, "the `week` that it is; what was before is taken from [done]")
			flags.BoolVar(&f.limits, "limits", false, "say what one more bay, or more of a material, would bring")
			flags.StringVar(&f.surety, "surety", "", "plan on so little coming and so much shrinking that each holds with this `chance`, as in \"80 %\"")
			flags.BoolVar(&f.chance, "chance", false, "show the chance that each bed is served")
			flags.Uint64Var(&f.seed, "seed", 1, "`seed` of the draws, so that a run repeats")
			flags.DurationVar(&f.limit, "time", 10*time.Second, "most time to look for the best plan (`duration`)")
			flags.StringVar(&f.calendar, "calendar", "", "write the calendar to a `file` in iCalendar form")
			flags.StringVar(&f.picture, "picture", "", "draw bays and stocks into an SVG `file`")
			flags.StringVar(&f.library, "library", "", "a library `file` of your own, laid over the built-in one")
			layout := &reportFlags{}
			flags.StringVar(&layout.format, "format", "text", "layout: `"+strings.Join(report.Formats(), ", ")+"`")
			flags.StringVar(&layout.units, "units", "metric", "units in text: `metric or us`")
			return func(ctx context.Context, args []string, io streams) error { return f.run(ctx, layout, args, io) }
		},
	}
}

// seasonFlags are the flags of season.
type seasonFlags struct {
	flags                      *pflag.FlagSet
	week                       int
	limits, chance             bool
	surety                     string
	seed                       uint64
	limit                      time.Duration
	calendar, picture, library string
}

func (f *seasonFlags) run(ctx context.Context, layout *reportFlags, args []string, io streams) error {
	options, err := layout.options()
	if err != nil {
		return err
	}
	if len(args) == 0 {
		return &usageError{"which season?", "name a file; heapwright help season-file shows how to write one"}
	}
	if err := fileNamed(f.flags, "picture", "calendar"); err != nil {
		return err
	}
	file, err := openSeason(args, io.in)
	if err != nil {
		return err
	}
	lib, err := openLibrary(f.library)
	if err != nil {
		return err
	}
	s, err := file.Season(lib, 0)
	if err != nil {
		return err
	}
	if f.week < 1 || f.week > s.Weeks {
		return &usageError{fmt.Sprintf("--week %d is not one of the season's %d", f.week, s.Weeks), ""}
	}
	if f.week > 1 {
		if s, err = file.Season(lib, f.week); err != nil {
			return err
		}
	}
	if f.limit <= 0 {
		return &usageError{"--time must be more than nothing", "as in --time 30s"}
	}
	for _, out := range []string{f.calendar, f.picture} {
		if out != "" && args[0] == out {
			return &usageError{out + " is the season file itself", "write to another file"}
		}
	}
	if kind, ok := picture.FormatOf(f.picture); f.picture != "" && (!ok || kind != picture.SVG) {
		return &usageError{f.picture + " does not end in .svg", "a season is drawn as SVG alone: --picture season.svg"}
	}
	if f.calendar != "" && f.calendar == f.picture {
		return &usageError{"--calendar and --picture name one file", "give each a file of its own"}
	}
	if f.calendar != "" && s.Start.IsZero() {
		return &usageError{"a calendar needs dates", "write start = 2027-03-01 at the top of the file"}
	}
	set := season.Settings{Time: f.limit, Progress: seasonProgress(io.err)}
	planned := s
	if f.surety != "" {
		sure, err := feedstocks.ParsePercent(f.surety)
		if err != nil || sure <= 0 || sure >= 1 {
			return &usageError{fmt.Sprintf("--surety cannot be %q", f.surety), `write a percentage below 100, as in --surety "80 %"`}
		}
		planned = s.OnTheLowSide(sure)
	}
	plan, err := season.Solve(ctx, planned, set)
	if err != nil {
		return err
	}
	answer := &report.SeasonAnswer{Plan: plan}
	if answer.Reasons, err = plan.Reasons(ctx); err != nil {
		return err
	}
	for _, b := range plan.Built(max(f.week, 1)) {
		card, err := plan.Card(ctx, b, progressTo(io.err))
		if err != nil {
			return err
		}
		answer.Cards = append(answer.Cards, card)
	}
	if f.limits {
		if answer.Limits, err = plan.Limits(ctx, set); err != nil {
			return err
		}
	}
	if f.chance || f.surety != "" {
		answer.Chances = plan.Chances(s, f.seed)
	}
	if err := f.write(plan, io.err); err != nil {
		return err
	}
	options.Title = s.Title
	if err := report.Season(io.out, answer, options); err != nil {
		return err
	}
	if plan.ShortM3() >= 1e-3 {
		return errAnswerNo
	}
	return nil
}

// write writes the files that were asked for, and says so.
func (f *seasonFlags) write(plan *season.Plan, said io.Writer) error {
	for _, out := range []struct {
		file, what string
		to         func(io.Writer) error
	}{
		{f.calendar, "the calendar", func(w io.Writer) error { return report.ICalendar(w, plan) }},
		{f.picture, "the picture", func(w io.Writer) error { return picture.Season(w, plan) }},
	} {
		if out.file == "" {
			continue
		}
		var made bytes.Buffer
		if err := out.to(&made); err != nil {
			return err
		}
		if err := writeBeside(out.file, made.Bytes(), isMissing(out.file), nil); err != nil {
			return err
		}
		tellWritten(said, out.file, out.what)
	}
	return nil
}

// seasonProgress tells of a search that goes on for longer than a second, once
// a second.
func seasonProgress(w io.Writer) func(season.Progress) {
	told := time.Duration(0)
	return func(p season.Progress) {
		if p.Elapsed-told >= time.Second {
			told = p.Elapsed
			fmt.Fprintf(w, "heapwright: still planning for the least %s (%d tried): %.4g found, none under %.4g\n", p.Aim, p.Nodes, p.Best, max(p.Bound, 0))
		}
	}
}
