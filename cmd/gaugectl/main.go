// Command gaugectl shows gauges and runs jobs on a bench whose daemon, gauged,
// is reached over gRPC. It also decodes a gauge's bytes and plays gauges without one.
// Its commands are those of internal/cli.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"gauged/internal/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second interrupt ends the program at once
	code := cli.Run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr, os.Getenv)
	stop()
	os.Exit(code)
}
