package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"heapwright/cmd/heapwright/internal/report"
	"heapwright/feedstocks"
)

func measureCommand() command {
	sub := []command{measureDensityCommand(), measureMoistureCommand(), measureSqueezeCommand(), measureSheetCommand()}
	return command{
		name:  "measure",
		args:  "TEST [FLAGS]",
		short: "turn a bucket weight, a drying test or a sheet into numbers",
		long: `Turn a test at the heap into a number, with its range and the working, and save
it for a material in a plan or a library file of your own.

  heapwright measure density --volume "10 L" --empty "0.6 kg" \
      --full "4.9 kg" --full "5.2 kg" --for leaves --save plan.toml

"heapwright help measure density" tells how each test is done:`,
		sub: sub,
		setup: func(flags *pflag.FlagSet) run {
			flags.SetInterspersed(false)
			return func(_ context.Context, args []string, _ streams) error {
				var names []string
				for _, c := range sub {
					names = append(names, strings.TrimPrefix(c.name, "measure "))
				}
				if len(args) == 0 {
					return &usageError{"measure what?", "it is one of " + strings.Join(names, ", ")}
				}
				return &usageError{fmt.Sprintf("there is no test %q", args[0]), nearOr(args[0], names, "it is one of "+strings.Join(names, ", "))}
			}
		},
	}
}

// measureFlags are those of every test.
type measureFlags struct {
	format, material, library string
	save, source              string
	evenSo                    bool
}

func addMeasureFlags(flags *pflag.FlagSet) *measureFlags {
	m := &measureFlags{}
	flags.StringVar(&m.material, "for", "", "the `material` that was tested")
	flags.StringVar(&m.save, "save", "", "add the figure to this plan or library `file`, for the material of --for")
	flags.StringVar(&m.source, "source", "", "where the figure is from, as in \"north heap, 3 November\" (`words`; else the test)")
	flags.BoolVar(&m.evenSo, "even-so", false, "save a doubtful figure too")
	flags.StringVar(&m.library, "library", "", "a library `file` of your own, laid over the built-in one")
	flags.StringVar(&m.format, "format", "text", "layout: `text or json`")
	return m
}

// layout checks the flags that do not depend on the test.
func (m *measureFlags) layout(args []string) (report.Format, error) {
	layout, ok := report.ParseFormat(m.format)
	switch {
	case !ok || layout != report.Text && layout != report.JSON:
		return 0, &usageError{fmt.Sprintf("measure has no format %q", m.format), "it is text or json"}
	case len(args) > 0:
		return 0, &usageError{fmt.Sprintf("%q is not part of a flag", args[0]), `put quotes round a weight with a space, as in --full "4.9 kg"`}
	case m.save != "" && strings.TrimSpace(m.material) == "":
		return 0, &usageError{"--save needs the material that was tested", "name it, as in --for leaves"}
	}
	return layout, nil
}

// tell saves a finding where that was asked for, and reports it. A doubtful
// one is reported and not saved.
func (m *measureFlags) tell(io streams, layout report.Format, finding *feedstocks.Finding) error {
	found := &report.Measured{Finding: finding, For: strings.TrimSpace(m.material)}
	var refusal error
	if doubts := finding.Doubtful(); m.save != "" && len(doubts) > 0 && !m.evenSo {
		refusal = &usageError{fmt.Sprintf("nothing is written to %s, because the figure is doubtful (%s)", m.save, doubts[0].Key),
			"look at the test again; to save it as it stands add --even-so"}
	} else if m.save != "" {
		lib, err := openLibrary(m.library)
		if err != nil {
			return err
		}
		saved, err := save(m.save, strings.TrimSpace(m.material), m.source, finding, lib)
		if err != nil {
			return err
		}
		found.Saved = saved
	}
	if err := report.Measurement(io.out, found, layout); err != nil {
		return err
	}
	return refusal
}

// weight reads the weight of a flag, in kg.
func weight(flag, text string) (float64, error) {
	q, err := measured(flag, text, `write a weight, as in "4.9 kg"`)
	if err != nil {
		return 0, err
	}
	if q.Unit.Dimension != feedstocks.Mass || q.Unit.Measure {
		return 0, &usageError{fmt.Sprintf("--%s: %s is not a weight off a scale", flag, q), `write a weight, as in "4.9 kg" or "10.8 lb"`}
	}
	return q.Kg(0)
}

// volume reads the volume of a flag, in m3.
func volume(flag, text string) (float64, error) {
	q, err := measured(flag, text, `write a volume, as in "10 L" or "5 US gal"`)
	if err != nil {
		return 0, err
	}
	if q.Unit.Dimension != feedstocks.Volume {
		return 0, &usageError{fmt.Sprintf("--%s: %s is a weight, and a volume is wanted", flag, q), `write a volume, as in "10 L" or "5 US gal"`}
	}
	return q.M3(0)
}

func measured(flag, text, hint string) (feedstocks.Quantity, error) {
	q, err := feedstocks.DefaultMeasures().Parse(text)
	return q, flagQuantity(flag, err, hint)
}

// flagQuantity names the flag in the error of a quantity.
func flagQuantity(flag string, err error, hint string) error {
	if err == nil {
		return nil
	}
	text, own, _ := words(err)
	if own != "" {
		hint = own
	}
	return &usageError{fmt.Sprintf("--%s: %s", flag, text), hint}
}
