package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"heapwright/blend"
	"heapwright/blend/season"
	"heapwright/cmd/heapwright/internal/report"
)

func bedsCommand() command {
	return command{
		name:  "beds",
		args:  "[BEDS.toml]",
		short: "say how much compost beds need, and what it takes",
		long: `Say how much finished compost beds need, how much raw mix makes it, and what it
brings: nitrogen, phosphorus and potassium.

Beds come from a file, from flags, or both. A size is a length, a width and a
depth, an area and a depth, an area "at" a rate, or an amount; without a depth
it is half an inch (13 mm) a year, or 2 inches (5 cm) in the first year. With a
plan (heapwright help plan) the raw mix is that plan's recipe, in its measures.

  heapwright beds --bed "carrots=0.75 m x 15 m x 25 mm" --bed "leeks=10 m2"
  heapwright beds --bed "field=350 ft x 200 ft x 2 in" --units us
  heapwright beds market.toml --plan first-pile.toml

In a file, which may be the file of a season too:

  [bed.carrots]
  size = "10 of 0.75 m x 15 m x 25 mm"
  [cover.garlic]                       # a mulch of raw material
  material = "leaves"
  size = "0.75 m x 15 m x 8 cm"
  [dressing."kelp meal"]               # a rate of something bought
  size = "100 m2 at 5 kg/100 m2"
  [cover_crop.rye]                     # sown four to six weeks before
  frost = 2027-10-25                   # the first hard frost`,
		setup: func(flags *pflag.FlagSet) run {
			b := &bedsFlags{}
			flags.StringArrayVar(&b.beds, "bed", nil, "a bed and its `size`, as in \"carrots=0.75 m x 15 m x 25 mm\"; repeat for each")
			flags.StringArrayVar(&b.covers, "cover", nil, "a mulch of a raw material, as in \"leaves=10 m2 x 8 cm\" (`size`)")
			flags.StringArrayVar(&b.dressings, "dressing", nil, "a dressing and its rate, as in \"kelp meal=100 m2 at 5 kg/100 m2\" (`size`)")
			flags.BoolVar(&b.firstYear, "first-year", false, "the beds named by flags are new ones")
			flags.StringVar(&b.frost, "frost", "", "`date` of the first hard frost, for a cover crop")
			flags.StringVar(&b.plan, "plan", "", "a plan `file`: say what its recipe takes")
			flags.StringArrayVar(&b.measures, "measure", nil, "the size of a vessel of your own, as in \"sack=110 L\" (`vessel`)")
			flags.StringVar(&b.library, "library", "", "a library `file` of your own, laid over the built-in one")
			layout := &reportFlags{}
			flags.StringVar(&layout.format, "format", "text", "layout: `"+strings.Join(report.Formats(), ", ")+"`")
			flags.StringVar(&layout.units, "units", "metric", "units in text: `metric or us`")
			return func(ctx context.Context, args []string, io streams) error { return b.run(ctx, layout, args, io) }
		},
	}
}

// bedsFlags are the flags of beds.
type bedsFlags struct {
	beds, covers, dressings, measures []string
	firstYear                         bool
	frost, plan, library              string
}

func (b *bedsFlags) run(ctx context.Context, layout *reportFlags, args []string, io streams) error {
	options, err := layout.options()
	if err != nil {
		return err
	}
	file, err := openSeason(args, io.in)
	if err != nil {
		return err
	}
	if err := b.layOver(file); err != nil {
		return err
	}
	lib, err := openLibrary(b.library)
	if err != nil {
		return err
	}
	beds, err := file.Beds(lib)
	if err != nil {
		return err
	}
	if len(beds.Beds)+len(beds.Covers)+len(beds.Dressings)+len(beds.CoverCrops) == 0 {
		return &usageError{"which beds?", `name a file, or say it here: heapwright beds --bed "carrots=0.75 m x 15 m x 25 mm"`}
	}
	var recipe *blend.Recipe
	if b.plan != "" {
		plan, err := readPlan([]string{b.plan}, io.in)
		if err != nil {
			return err
		}
		problem, err := plan.Problem(lib)
		if err != nil {
			return err
		}
		if recipe, err = blend.Formulate(ctx, problem); err != nil {
			return err
		}
		if recipe.Conflict {
			return &usageError{b.plan + " has no mix at all", "heapwright mix " + b.plan + " says why"}
		}
	}
	need, err := beds.Need(recipe)
	if err != nil {
		return err
	}
	options.Title = file.Title()
	return report.Beds(io.out, beds, need, options)
}

// layOver puts what the flags say into the file.
func (b *bedsFlags) layOver(file *season.File) error {
	pairs := func(flag string, values []string, put func(name, value string)) error {
		for _, text := range values {
			name, value, ok := strings.Cut(text, "=")
			name, value = strings.TrimSpace(name), strings.TrimSpace(value)
			if !ok || name == "" || value == "" {
				return &usageError{fmt.Sprintf("--%s %q is not a name, an equals sign and a value", flag, text), "heapwright help beds shows how"}
			}
			put(name, value)
		}
		return nil
	}
	if b.frost != "" {
		file.Set(b.frost, "frost")
	}
	return errors.Join(
		pairs("measure", b.measures, func(name, value string) { file.Set(value, "measures", name) }),
		pairs("bed", b.beds, func(name, value string) {
			file.Set(value, "bed", name, "size")
			file.Set(b.firstYear, "bed", name, "first_year")
		}),
		pairs("cover", b.covers, func(name, value string) {
			file.Set(value, "cover", name, "size")
			file.Set(name, "cover", name, "material")
		}),
		pairs("dressing", b.dressings, func(name, value string) { file.Set(value, "dressing", name, "size") }))
}

// openSeason reads the file of a season or of beds; an empty one without a
// name.
func openSeason(args []string, in io.Reader) (*season.File, error) {
	switch {
	case len(args) > 1:
		return nil, &usageError{fmt.Sprintf("one file at a time, not %d", len(args)), "put quotes around a value with a space"}
	case len(args) == 0:
		return season.NewFile(), nil
	case args[0] == "-":
		return season.ReadFile(in, "standard input")
	}
	file, err := openFile(args[0])
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return season.ReadFile(file, args[0])
}
