package cli

import (
	"context"
	"io"

	"github.com/spf13/pflag"
)

// command is one word after "heapwright".
type command struct {
	name  string
	args  string // what follows the flags, for the usage line
	short string // one line, for the list of commands
	long  string // the whole help, without the flags
	// setup declares the flags and returns what runs once they are read.
	setup func(*pflag.FlagSet) run
	// sub are the commands below this one; their names begin with its own.
	sub []command
}

// run does the work of a command. Its error ends up on stderr with the exit
// code that it carries.
type run func(ctx context.Context, args []string, io streams) error

// streams are the standard streams of the process.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// commands is the table of all commands, in the order in which help lists
// them.
func commands() []command {
	return []command{
		mixCommand(),
		checkCommand(),
		bedsCommand(),
		seasonCommand(),
		logCommand(),
		feedstocksCommand(),
		measureCommand(),
		lessonCommand(),
		serveCommand(),
		helpCommand(),
		versionCommand(),
	}
}
