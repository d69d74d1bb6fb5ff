// Package chaos_test does to gauges' lines everything that goes wrong with
// them, on pseudo-terminals, and checks one property: each valid frame that was
// written while the line was up is delivered exactly once, in order, and
// nothing else is ever delivered as a value.
//
// What must be delivered is decided by the strict parsers of this package,
// which know nothing of the parsers that they judge. Every draw follows from a
// seed, which is printed: give it again with -seed.
package chaos_test

import (
	"context"
	"flag"
	"fmt"
	"hash/fnv"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"gauged/internal/devices"
)

var (
	seed   = flag.Uint64("seed", 0, "draws what goes wrong; 0: from the clock")
	rounds = flag.Int("rounds", 2, "how often each line goes through its trouble")
)

// within is for what takes milliseconds on an idle machine.
const within = 30 * time.Second

func TestMain(m *testing.M) {
	if os.Getenv(asOtherReader) != "" {
		os.Exit(otherReader(os.Stdin, os.Stdout))
	}
	flag.Parse()
	if *seed == 0 {
		*seed = uint64(time.Now().UnixNano())
	}
	fmt.Printf("chaos: -seed %d -rounds %d\n", *seed, *rounds)
	// The lines wait far more than they work.
	if err := flag.Set("test.parallel", "16"); err != nil {
		panic(err)
	}
	goleak.VerifyTestMain(m)
}

// supervise runs the supervisor of a gauge until stop is called.
func supervise(g devices.Gauge, sink func(devices.Event)) (ask func(context.Context) error, stop func()) {
	sup := devices.NewSupervisor([]devices.Gauge{g}, devices.NewDialer(nil, g), nil, sink, slog.New(slog.DiscardHandler))
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); sup.Run(ctx) }()
	return func(ctx context.Context) error { return sup.Ask(ctx, g.ID) }, func() { cancel(); <-done }
}

// dice returns the draws of one line of a test.
func dice(t *testing.T, id int) *rand.Rand {
	hash := fnv.New64a()
	fmt.Fprintf(hash, "%s %d", t.Name(), id)
	return rand.New(rand.NewPCG(*seed, hash.Sum64()))
}

// onLines runs a script on each of so many lines at once, and then judges what
// each line delivered.
func onLines(t *testing.T, count int, pick func(id int) *format, script func(l *line, id int)) {
	t.Helper()
	dir := t.TempDir()
	var all sync.WaitGroup
	for id := range count {
		l := newLine(t, pick(id), filepath.Join(dir, fmt.Sprintf("gauge-%d", id)), dice(t, id))
		all.Go(func() {
			defer l.giveUp()
			l.plug(nil)
			for range *rounds {
				script(l, id)
			}
			l.finish()
		})
	}
	all.Wait()
}

// each picks the formats in turn.
func each(formats ...*format) func(id int) *format {
	return func(id int) *format { return formats[id%len(formats)] }
}
