// Command gaugectl shows gauges and runs jobs on a bench whose daemon, gauged,
// is reached over gRPC. It also decodes a gauge's bytes and plays gauges without one.
//
// Its exit codes are a promise to scripts: see the exit constants. Goroutines:
// the session of `job run` owns one that follows the job and one that reads
// its input line by line.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second interrupt ends the program at once
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr, os.Getenv)
	stop()
	os.Exit(code)
}
