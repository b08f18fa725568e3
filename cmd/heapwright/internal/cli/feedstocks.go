package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"heapwright/cmd/heapwright/internal/report"
	"heapwright/feedstocks"
)

func feedstocksCommand() command {
	return command{
		name:  "feedstocks",
		args:  "[list [WORD ...] | show NAME | check FILE]",
		short: "look into the library of materials",
		long: `Look into the library of materials, with where each number comes from.

  feedstocks list            all of them, by group; words narrow it down
  feedstocks list manure     those with "manure" in a name, title or group
  feedstocks show NAME       one, with each number's range, source and standing
  feedstocks check FILE      whether a library file of your own is in order

"feedstocks" alone lists them all. Standing says how a number was come by: read
in the source named, derived from numbers that were read, from memory (recalled
and not checked), or yours. A number that is missing is not known.`,
		setup: func(flags *pflag.FlagSet) run {
			format := flags.String("format", "text", "layout: `text, json or csv`")
			library := flags.String("library", "", "a library `file` of your own, laid over the built-in one")
			usable := flags.Bool("usable", false, "list only those with nitrogen, C:N and moisture")
			return func(_ context.Context, args []string, io streams) error {
				layout, ok := report.ParseFormat(*format)
				if !ok || layout == report.Markdown {
					return &usageError{fmt.Sprintf("feedstocks has no format %q", *format), "it is text, json or csv"}
				}
				verb, rest := "list", args
				if len(args) > 0 {
					verb, rest = args[0], args[1:]
				}
				switch verb {
				case "list", "show":
					lib, err := openLibrary(*library)
					if err != nil {
						return err
					}
					if verb == "list" {
						return report.FeedstockList(io.out, narrow(lib, rest, *usable), layout)
					}
					if len(rest) == 0 {
						return &usageError{"which material?", "heapwright feedstocks show leaves"}
					}
					f, err := lib.Find(strings.Join(rest, " "))
					if err != nil {
						return err
					}
					return report.Feedstock(io.out, f, lib, layout)
				case "check":
					if len(rest) != 1 {
						return &usageError{"feedstocks check takes one file", "heapwright feedstocks check FILE"}
					}
					file, err := openFile(rest[0])
					if err != nil {
						return err
					}
					defer file.Close()
					own, err := feedstocks.Read(file, rest[0])
					if err != nil {
						return err
					}
					_, err = fmt.Fprintf(io.out, "%s is in order: %d materials, %d sources\n", rest[0], len(own.All()), len(own.Sources()))
					return err
				}
				return &usageError{fmt.Sprintf("feedstocks does not know %q", verb), nearOr(verb, []string{"list", "show", "check"}, fmt.Sprintf("to look for it: heapwright feedstocks list %s", verb))}
			}
		},
	}
}

// narrow keeps the materials that have every word in a name, title or group.
func narrow(lib *feedstocks.Library, words []string, usable bool) []*feedstocks.Feedstock {
	var out []*feedstocks.Feedstock
	for _, f := range lib.All() {
		text := strings.ToLower(strings.Join(append([]string{f.Name, f.Title, f.Group}, f.Aliases...), "\n"))
		if slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, strings.ToLower(w)) }) {
			continue
		}
		if usable && !hasAll(f, feedstocks.Nitrogen, feedstocks.CarbonToNitrogen, feedstocks.Moisture) {
			continue
		}
		out = append(out, f)
	}
	return out
}

func hasAll(f *feedstocks.Feedstock, kinds ...feedstocks.Kind) bool {
	for _, k := range kinds {
		if _, ok := f.Typical(k); !ok {
			return false
		}
	}
	return true
}
