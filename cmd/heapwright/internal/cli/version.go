package cli

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"

	"github.com/spf13/pflag"
)

// version is that of CHANGELOG.md.
const version = "0.1.0"

func versionCommand() command {
	return command{
		name:  "version",
		short: "print the version",
		long:  "Print the version of heapwright and what it was built with.",
		setup: func(*pflag.FlagSet) run {
			return func(_ context.Context, args []string, io streams) error {
				if len(args) > 0 {
					return &usageError{"version takes no arguments", "type heapwright version"}
				}
				return writeVersion(io.out)
			}
		},
	}
}

func writeVersion(w io.Writer) error {
	revision := ""
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				revision = ", revision " + s.Value[:12]
			}
		}
	}
	_, err := fmt.Fprintf(w, "heapwright %s (%s, %s/%s%s)\n", version, runtime.Version(), runtime.GOOS, runtime.GOARCH, revision)
	return err
}
