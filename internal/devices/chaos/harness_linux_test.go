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

// onLines runs a script on each of so many lines at once, round after round,
// and then judges what each line delivered.
func onLines(t *testing.T, count int, pick func(id int) *format, script func(l *line, id int)) {
	t.Helper()
	dir := t.TempDir()
	all := make([]*line, count)
	for id := range all {
		all[id] = newLine(t, pick(id), filepath.Join(dir, fmt.Sprintf("gauge-%d", id)), dice(t, id))
	}
	var done sync.WaitGroup
	defer done.Wait()
	for id, l := range all {
		done.Go(func() {
			defer l.giveUp()
			l.plug(nil)
			for range *rounds {
				script(l, id)
			}
			l.finish()
		})
	}
}

// each picks the formats in turn.
func each(formats ...*format) func(id int) *format {
	return func(id int) *format { return formats[id%len(formats)] }
}
