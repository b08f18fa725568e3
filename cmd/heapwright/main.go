// Heapwright plans compost piles: it picks the proportions of what is on hand,
// and the water, that reach a C:N ratio and a moisture.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"

	"heapwright/cmd/heapwright/internal/cli"
)

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400) // a command lives for milliseconds in a few MB: a quarter of its time was collection
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(cli.Main(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
