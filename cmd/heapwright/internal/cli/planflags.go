package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/pflag"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// planFlags are the flags that say what a plan file says.
type planFlags struct {
	flags   *pflag.FlagSet
	library string
	values  map[string]*string   // one value, by flag
	lots    map[string]*[]string // NAME=VALUE, repeated, by flag
}

// planFlag ties a flag to the place of a plan that it sets.
type planFlag struct {
	name, usage string
	path        []string // for a single value
	lot         string   // for NAME=VALUE: the key of the lot in [on_hand]
	kind        valueKind
}

// valueKind says how the text of a flag becomes a TOML value.
type valueKind uint8

const (
	asText   valueKind = iota // quantities, percentages and words
	asNumber                  // a plain number
	asRange                   // LOW-HIGH
	asShare                   // a number, as in 0.2, or a percentage with its sign
)

func planFlagTable() []planFlag {
	return []planFlag{
		{name: "have", lot: "amount", usage: "a material and its `amount`, as in \"leaves=14 sacks\"; repeat for each"},
		{name: "is", lot: "feedstock", usage: "what a material of your own naming `is`, as in \"hen litter=broiler litter\""},
		{name: "figure", lot: "", usage: "a figure of your own for a material, as in \"leaves:moisture=45\" (`figure`)"},
		{name: "at-least", lot: "at_least", usage: "the least `amount` of a material that must go in, as in \"manure=2 barrows\""},
		{name: "share-at-most", lot: "share_at_most", usage: "the most `share` of the volume that a material may be, as in \"manure=25 %\""},
		{name: "price", lot: "price", usage: "the `price` of a material, as in \"straw=4.50 per bale\""},
		{name: "may-get", lot: "may_get", usage: "what could be got if the mix needs it, and the most of it, as in \"straw=10 bales\" (`amount`)"},
		{name: "carbon-to-nitrogen", path: []string{"target", "carbon_to_nitrogen"}, kind: asNumber, usage: "C:N to aim at, as in `30`"},
		{name: "carbon-to-nitrogen-range", path: []string{"target", "carbon_to_nitrogen_range"}, kind: asRange, usage: "C:N that is still good, as in `25-35`"},
		{name: "moisture", path: []string{"target", "moisture"}, usage: "moisture to aim at, `per cent` wet basis"},
		{name: "moisture-range", path: []string{"target", "moisture_range"}, kind: asRange, usage: "moisture that is still good, as in `50-60`"},
		{name: "size", path: []string{"pile", "size"}, usage: "built `volume` wanted, as in \"1.5 m3\" (else all that the stock allows)"},
		{name: "largest", path: []string{"pile", "largest"}, usage: "built `volume` that the bay holds"},
		{name: "water", path: []string{"pile", "water"}, usage: "water at hand, as in `\"300 L\"` (mix: else as needed; check: else none)"},
		{name: "mixing-shrink", path: []string{"pile", "mixing_shrink"}, kind: asShare, usage: "`share` of volume lost when materials nest (else 20 %)"},
		{name: "densest", path: []string{"pile", "densest"}, usage: "most bulk `density`, as in \"650 kg/m3\""},
		{name: "air-at-least", path: []string{"pile", "air_at_least"}, usage: "least free air space, `per cent`"},
		{name: "prefer", path: []string{"pile", "prefer"}, usage: "what comes first: target, largest, cheapest or fewest (`aim`)"},
		{name: "measure", lot: "measure", usage: "the size of a vessel of your own, as in \"sack=110 L\" (`vessel`)"},
		{name: "title", path: []string{"title"}, usage: "`title` of the recipe"},
	}
}

func addPlanFlags(flags *pflag.FlagSet) *planFlags {
	f := &planFlags{flags: flags, values: map[string]*string{}, lots: map[string]*[]string{}}
	for _, p := range planFlagTable() {
		if p.path == nil {
			f.lots[p.name] = flags.StringArray(p.name, nil, p.usage)
		} else {
			f.values[p.name] = flags.String(p.name, "", p.usage)
		}
	}
	flags.StringVar(&f.library, "library", "", "a library `file` of your own, laid over the built-in one")
	return f
}

// any reports whether a flag that says what a plan says was given.
func (f *planFlags) any() bool {
	for _, p := range planFlagTable() {
		if f.flags.Changed(p.name) {
			return true
		}
	}
	return false
}

// plan reads the plan file, if one is named, lays the flags over it, and opens
// the library.
func (f *planFlags) plan(args []string, in io.Reader) (*blend.Plan, *feedstocks.Library, error) {
	plan, err := readPlan(args, in)
	if err != nil {
		return nil, nil, err
	}
	if err := f.layOver(plan); err != nil {
		return nil, nil, err
	}
	lib, err := openLibrary(f.library)
	return plan, lib, err
}

func readPlan(args []string, in io.Reader) (*blend.Plan, error) {
	switch {
	case len(args) > 1:
		return nil, &usageError{fmt.Sprintf("one plan file at a time, not %d", len(args)), "put quotes around an amount with a space: --have \"leaves=14 sacks\""}
	case len(args) == 0:
		return blend.NewPlan(""), nil
	case args[0] == "-":
		return blend.ReadPlan(in, "standard input")
	}
	file, err := openFile(args[0])
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return blend.ReadPlan(file, args[0])
}

// openFile opens a file for reading and words what may go wrong.
func openFile(name string) (*os.File, error) {
	file, err := os.Open(name)
	if err != nil {
		problem := err
		if path, ok := errors.AsType[*fs.PathError](err); ok {
			problem = path.Err
		}
		hint := "check the name and the folder"
		if errors.Is(err, fs.ErrPermission) {
			hint = "check who may read it"
		}
		return nil, &usageError{fmt.Sprintf("%s cannot be opened: %v", name, problem), hint}
	}
	if info, err := file.Stat(); err == nil && info.IsDir() {
		file.Close()
		return nil, &usageError{name + " is a folder", "name a file in it"}
	}
	return file, nil
}

func openLibrary(name string) (*feedstocks.Library, error) {
	lib, err := feedstocks.Default()
	if err != nil || name == "" {
		return lib, err
	}
	file, err := openFile(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	own, err := feedstocks.Read(file, name)
	if err != nil {
		return nil, err
	}
	return lib.Overlay(own), nil
}

func (f *planFlags) layOver(plan *blend.Plan) error {
	for _, p := range planFlagTable() {
		if !f.flags.Changed(p.name) {
			continue
		}
		if p.path != nil {
			value, err := p.kind.value(*f.values[p.name])
			if err != nil {
				return &usageError{fmt.Sprintf("--%s: %v", p.name, err), bareUsage(p.usage)}
			}
			plan.Set(value, p.path...)
			continue
		}
		given := map[string]bool{}
		for _, text := range *f.lots[p.name] {
			name, value, ok := strings.Cut(text, "=")
			name, value = strings.TrimSpace(name), strings.TrimSpace(value)
			if given[name] {
				return &usageError{fmt.Sprintf("--%s names %q twice", p.name, name), "add the two up, or give each a name of its own with --is"}
			}
			given[name] = true
			if !ok || name == "" || value == "" {
				return &usageError{fmt.Sprintf("--%s %q is not a name, an equals sign and a value", p.name, text), bareUsage(p.usage)}
			}
			if err := p.setLot(plan, name, value); err != nil {
				return err
			}
		}
	}
	return nil
}

// setLot puts NAME=VALUE where it belongs.
func (p planFlag) setLot(plan *blend.Plan, name, value string) error {
	switch p.name {
	case "measure":
		plan.Set(value, "measures", name)
	case "may-get":
		plan.SetLot(value, "may_get", name, "amount")
	case "figure":
		material, figure, ok := strings.Cut(name, ":")
		if !ok {
			return &usageError{fmt.Sprintf("--figure %q does not say which figure", name+"="+value), bareUsage(p.usage)}
		}
		v, err := asNumber.value(value)
		if err != nil {
			v = value // a density with its unit, or a percentage with its sign
		}
		plan.SetLot(v, "on_hand", strings.TrimSpace(material), strings.ReplaceAll(strings.TrimSpace(figure), "-", "_"))
	default:
		plan.SetLot(value, "on_hand", name, p.lot)
	}
	return nil
}

// bareUsage is a flag's usage without the quotes that name its value.
func bareUsage(usage string) string { return strings.ReplaceAll(usage, "`", "") }

func (k valueKind) value(text string) (any, error) {
	switch k {
	case asNumber:
		return parseNumber(text)
	case asShare:
		if v, err := parseNumber(text); err == nil {
			return v, nil
		}
		return text, nil
	case asRange:
		low, high, ok := strings.Cut(strings.ReplaceAll(text, "%", ""), "-")
		if !ok {
			return nil, fmt.Errorf("%q is not a low and a high number", text)
		}
		l, err := parseNumber(low)
		if err != nil {
			return nil, err
		}
		h, err := parseNumber(high)
		if err != nil {
			return nil, err
		}
		return []any{l, h}, nil
	}
	return text, nil
}
