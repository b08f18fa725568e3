package cli

import (
	"context"
	"fmt"
	"io"
	"net"
	"strconv"

	"github.com/spf13/pflag"

	"heapwright/cmd/heapwright/internal/page"
	"heapwright/feedstocks"
)

func serveCommand() command {
	return command{
		name:  "serve",
		args:  "[PLAN.toml]",
		short: "open a page on this computer to try a mix on",
		long: `Open a page on which to try a mix and see it move: materials, amounts and aims
on one side, the answer and its picture on the other. It also judges temperature
logs, opens and saves plan files, and prints a recipe sheet.

The address is printed; open it in a browser. Only this computer can reach the
page (127.0.0.1), nothing is sent anywhere, and nothing is kept: a plan is saved
by the browser, where you tell it to. A plan file that is named here is what the
page opens with. Ctrl+C stops it, with exit code 130.

  heapwright serve
  heapwright serve first-pile.toml --port 8046`,
		setup: func(flags *pflag.FlagSet) run {
			port := flags.Uint16("port", 0, "`port` to listen at (else a free one)")
			library := flags.String("library", "", "a library `file` of your own, laid over the built-in one")
			return func(ctx context.Context, args []string, io streams) error {
				set, err := pageSettings(args, *library, io.in)
				if err != nil {
					return err
				}
				set.Note = func(err error) { fmt.Fprintf(io.err, "heapwright: error: %v\n", err) }
				at := net.JoinHostPort("127.0.0.1", strconv.Itoa(int(*port)))
				var config net.ListenConfig
				l, err := config.Listen(ctx, "tcp4", at)
				if err != nil {
					return &usageError{fmt.Sprintf("%s cannot be listened at: %v", at, err), "leave --port out for a free one, or name another"}
				}
				fmt.Fprintf(io.err, "heapwright: open this address in a browser on this computer; Ctrl+C stops the page\n")
				fmt.Fprintf(io.out, "http://%s/\n", l.Addr())
				return page.Serve(ctx, l, set)
			}
		},
	}
}

// pageSettings reads what the page starts from.
func pageSettings(args []string, library string, in io.Reader) (page.Settings, error) {
	var set page.Settings
	var err error
	if set.Library, err = openLibrary(library); err != nil || len(args) == 0 {
		return set, err
	}
	name, text, err := planText(args, in)
	if err != nil {
		return set, err
	}
	set.Plan, err = page.FormOf(text, name, set.Library)
	return set, err
}

// planText reads a plan file as it stands.
func planText(args []string, in io.Reader) (name, text string, err error) {
	if len(args) > 1 {
		return "", "", &usageError{fmt.Sprintf("one plan file at a time, not %d", len(args)), "heapwright help serve"}
	}
	name = "standard input"
	if args[0] != "-" {
		name = args[0]
		file, err := openFile(name)
		if err != nil {
			return "", "", err
		}
		defer file.Close()
		in = file
	}
	doc, err := feedstocks.ReadDocument(in, name)
	if err != nil {
		return "", "", err
	}
	return name, string(doc.Text), nil
}
