package cli

import (
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"heapwright/blend"
	"heapwright/cmd/heapwright/internal/answer"
	"heapwright/cmd/heapwright/internal/report"
)

// reportFlags say how an answer is laid out.
type reportFlags struct {
	format, units string
	explain       bool
}

func addReportFlags(flags *pflag.FlagSet) *reportFlags {
	r := &reportFlags{}
	flags.StringVar(&r.format, "format", "text", "layout: `"+strings.Join(report.Formats(), ", ")+"`")
	flags.StringVar(&r.units, "units", "metric", "units in text: `metric or us` (cautions and limits stay metric)")
	flags.BoolVar(&r.explain, "explain", false, "show the arithmetic line by line, to redo on paper")
	return r
}

// options checks the flags.
func (r *reportFlags) options() (report.Options, error) {
	format, ok := report.ParseFormat(r.format)
	if !ok {
		return report.Options{}, &usageError{fmt.Sprintf("there is no format %q", r.format), nearOr(r.format, report.Formats(), "it is one of "+strings.Join(report.Formats(), ", "))}
	}
	units, ok := report.ParseUnits(r.units)
	if !ok {
		return report.Options{}, &usageError{fmt.Sprintf("there are no units %q", r.units), "it is metric or us"}
	}
	return report.Options{Format: format, Units: units, Explain: r.explain}, nil
}

func mixCommand() command {
	return command{
		name:  "mix",
		args:  "[PLAN.toml]",
		short: "pick the proportions and the water for a pile",
		long: `Pick how much of each material on hand goes into a pile, and how much water,
so that its C:N and moisture come to what the plan asks for.

The plan is a file (heapwright help plan), flags, or both: a flag goes over the
file. "-" reads the plan from standard input. A target that is out of reach is
answered with the nearest mix, the reason and what would mend it, and exit
code 3.

  heapwright mix first-pile.toml
  heapwright mix --have "leaves=14 sacks" --have "grass clippings=5 barrows" \
      --carbon-to-nitrogen 30 --moisture 55 --measure "sack=110 L"`,
		setup: func(flags *pflag.FlagSet) run {
			plan, layout := addPlanFlags(flags), addReportFlags(flags)
			whole := flags.Bool("whole", false, "answer in whole sacks, barrows and buckets")
			exact := flags.Bool("exact", false, "answer in exact amounts (the default)")
			surety := flags.String("surety", "", "the mix whose ranges hold with this `chance`, as in \"90 %\"")
			chances := addChanceFlags(flags)
			why := flags.Bool("why", false, "show the full reasoning: reach, conflict, all limits and repairs")
			drawing := addMixPicture(flags)
			return func(ctx context.Context, args []string, io streams) error {
				if *whole && *exact {
					return &usageError{"--whole and --exact exclude each other", "leave one of them out"}
				}
				q, err := ask(plan, layout, args, io)
				if err != nil {
					return err
				}
				if err := drawing.check(q.options, append(args, plan.library)...); err != nil {
					return err
				}
				return q.mix(ctx, io, mixWishes{whole: *whole, why: *why, surety: *surety, chance: chances, picture: drawing})
			}
		},
	}
}

func checkCommand() command {
	return command{
		name:  "check",
		args:  "[PLAN.toml]",
		short: "judge a recipe that you already have",
		long: `Judge a recipe: work out the C:N, moisture, volume and density of all that the
plan lists in [on_hand], with the water that its [pile] gives and no other.

The plan is a file (heapwright help plan), flags, or both, as for mix. A recipe
that misses its ranges ends with exit code 3.

  heapwright check --have "straw=3 bales" --have "horse manure=6 barrows" \
      --water "80 L"`,
		setup: func(flags *pflag.FlagSet) run {
			plan, layout := addPlanFlags(flags), addReportFlags(flags)
			chances, drawing := addChanceFlags(flags), addMixPicture(flags)
			return func(ctx context.Context, args []string, io streams) error {
				q, err := ask(plan, layout, args, io)
				if err != nil {
					return err
				}
				if err := drawing.check(q.options, append(args, plan.library)...); err != nil {
					return err
				}
				q.options.Kind, q.options.Chance = report.Check, chances.all
				judged, err := q.Check(ctx, answer.Wishes{Chance: chances.all, Draws: chances.draws, Seed: chances.seed})
				if err != nil {
					return err
				}
				return drawing.tell(ctx, io, judged, q.options, chances.seed)
			}
		},
	}
}

// question is a plan turned into numbers, and how to lay out the answer.
type question struct {
	*answer.Question
	options report.Options
}

// ask reads the plan and flags of mix and check.
func ask(flags *planFlags, layout *reportFlags, args []string, io streams) (*question, error) {
	options, err := layout.options()
	if err != nil {
		return nil, err
	}
	if len(args) == 0 && !flags.any() {
		return nil, &usageError{"what is on hand?", fmt.Sprintf(`name a plan file, or say it here: heapwright %s --have "leaves=14 sacks"`, flags.flags.Name())}
	}
	plan, library, err := flags.plan(args, io.in)
	if err != nil {
		return nil, err
	}
	options.Title = plan.Title()
	asked, err := answer.Ask(plan, library)
	if err != nil {
		return nil, err
	}
	return &question{asked, options}, nil
}

// mixWishes are the flags of mix that are no part of a plan.
type mixWishes struct {
	whole, why bool
	surety     string
	chance     *chanceFlags
	picture    *mixPicture
}

// mix has the pile formulated, and lays out the answer.
func (q *question) mix(ctx context.Context, io streams, wish mixWishes) error {
	asked := answer.Wishes{
		Whole: wish.whole, Beside: q.options.Format == report.Text, Why: wish.why,
		Chance: wish.chance.all, Draws: wish.chance.draws, Seed: wish.chance.seed,
		Progress: progressTo(io.err),
	}
	if wish.surety != "" {
		var err error
		if asked.Surety, err = parseSurety(wish.surety); err != nil {
			return err
		}
	}
	mixed, err := q.Mix(ctx, asked)
	if err != nil {
		return err
	}
	q.options.Why, q.options.Chance = wish.why, wish.chance.all
	return wish.picture.tell(ctx, io, mixed, q.options, wish.chance.seed)
}

// tellRecipe writes the answer, and ends with exit code 3 where it is no: the
// ranges, or the surety asked for, cannot be had.
func tellRecipe(io streams, told *report.Answer, options report.Options) error {
	if err := report.Recipe(io.out, told, options); err != nil {
		return err
	}
	if told.Recipe.Status == blend.OutOfReach || told.Sure != nil && !told.Sure.Reached {
		return errAnswerNo
	}
	return nil
}

// progressTo tells of a search that goes on for longer than a second, once a
// second.
func progressTo(w io.Writer) func(tried int) {
	told := time.Now()
	return func(tried int) {
		if now := time.Now(); now.Sub(told) >= time.Second {
			told = now
			fmt.Fprintf(w, "heapwright: still looking for whole measures (%d tried)\n", tried)
		}
	}
}
