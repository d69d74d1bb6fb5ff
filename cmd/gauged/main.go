// Gauged is the daemon of a bench: it reads digital gauges, keeps their
// readings and runs jobs.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

func main() {
	keepPrivate()
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(50) // what a burst leaves is taken up sooner: less memory for little work
	}
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second signal ends the process at once
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr, os.Getenv))
}
