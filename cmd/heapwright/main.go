// Heapwright plans compost piles: it picks the proportions of what is on hand,
// and the water, that reach a C:N ratio and a moisture.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"heapwright/cmd/heapwright/internal/cli"
)

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400) // a command lives for milliseconds in a few MB: a quarter of its time was collection
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second signal ends what does not heed the first
	os.Exit(cli.Main(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
