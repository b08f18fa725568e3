package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"heapwright/feedstocks"
)

func measureSqueezeCommand() command {
	return command{
		name:  "measure squeeze",
		short: "a range of moisture from squeezing a handful",
		long: `A range of moisture from squeezing a handful as hard as you can, and opening the
hand. Say what you see:

` + squeezeTable(false) + `
Take the handful from inside the heap, from three places. The edges are common
teaching, from memory; hands differ by 5 to 7 points, so it is a range and never
a number.

Not for fresh grass or leaves just cut: their water is inside the cells, and
they squeeze dry at 75 to 80 %. For those, and for silage, say --fresh:

` + squeezeTable(true) + `
Wear gloves for manure and wash hands after it; dusty or mouldy material wants a
dust mask.

  heapwright measure squeeze --shows crumbles --for "horse manure"`,
		setup: func(flags *pflag.FlagSet) run {
			shows := flags.String("shows", "", "what the handful `shows`, a word of the lists above")
			fresh := flags.Bool("fresh", false, "the material is fresh grass or the like, or silage")
			common := addMeasureFlags(flags)
			return func(_ context.Context, args []string, io streams) error {
				layout, err := common.layout(args)
				if err != nil {
					return err
				}
				isFresh, err := freshlyCut(common.material, common.library)
				if err != nil {
					return err
				}
				isFresh = isFresh || *fresh
				if *shows == "" {
					return &usageError{"what does the handful show?", "give --shows with one of " + strings.Join(feedstocks.SqueezeNames(isFresh), ", ")}
				}
				finding, err := feedstocks.Squeeze(*shows, isFresh)
				if err != nil {
					return err
				}
				return common.tell(io, layout, finding)
			}
		},
	}
}

// squeezeTable lists what a squeeze may show.
func squeezeTable(fresh bool) string {
	var b strings.Builder
	for _, band := range feedstocks.SqueezeBands() {
		if band.Fresh == fresh {
			fmt.Fprintf(&b, "  %-9s %s (%.0f to %.0f %%)\n", band.Name, band.What, 100*band.Low, 100*band.High)
		}
	}
	return b.String()
}

// freshlyCut tells material that holds its water inside the cells by its name,
// in the library if it is there: grass and clippings, and no hay.
func freshlyCut(material, library string) (bool, error) {
	if strings.TrimSpace(material) == "" {
		return false, nil
	}
	lib, err := openLibrary(library)
	if err != nil {
		return false, err
	}
	names := []string{material}
	if f, err := lib.Find(material); err == nil {
		names = append(names, f.Name)
	}
	return slices.ContainsFunc(names, func(name string) bool {
		name = strings.ToLower(name)
		has := func(word string) bool { return strings.Contains(name, word) }
		return (has("grass") || has("clipping") || has("silage")) && !has("hay") && !has("straw") && !has("dry")
	}), nil
}
