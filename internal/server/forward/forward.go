// Package forward is the link of a bench to the daemon that evaluates for it: the stored
// readings are sent there, and go on where they were after a break of either side.
package forward

import (
	"cmp"
	"context"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"gauged/internal/dial"
	"gauged/internal/retry"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

// Options is what a link is made from.
type Options struct {
	Station *station.Station // the bench's own, whose readings are sent
	Address string           // of the evaluating daemon: unix:///path, /path or host:port
	Files   dial.Files       // what it shows there, and trusts
	Log     *slog.Logger
	// Evaluated hears of every evaluation that comes back. It must not block.
	// It may be nil.
	Evaluated func(job uint64, e *gaugedv1.Evaluation)
	// The pauses between attempts: the first, and the longest that it grows to. 0: 250 ms and 15 s.
	First, Longest time.Duration
}

// Link sends the stored readings of a bench to another daemon, which runs
// the jobs, and goes on where it was after a break of either side. It reads the
// history behind the station's back and never holds the station up.
type Link struct {
	o      Options
	target string
	window *window
	again  retry.Pauses

	mu          sync.Mutex // guards what follows
	connected   bool
	connects    uint64
	evaluations uint64
	refused     uint64
}

// Status is the state of a link.
type Status struct {
	Connected    bool
	Connects     uint64 // times that the other daemon answered, since the start
	Acknowledged uint64 // our number of the last reading that the other daemon has stored; 0 when not known
	Behind       uint64 // entries of our history after the last one that is known to be settled there
	Evaluations  uint64 // received since the start
	Refused      uint64 // readings that the other daemon did not accept, since the start
}

// mostInFlight is how many readings are sent ahead of their acknowledgement.
const mostInFlight = 4096

// New returns a link; Run makes it work.
func New(o Options) (*Link, error) {
	target, err := dialTarget(o.Address)
	if err != nil {
		return nil, err
	}
	return &Link{
		o: o, target: target, window: newWindow(mostInFlight),
		again: retry.Pauses{First: cmp.Or(o.First, 250*time.Millisecond), Longest: cmp.Or(o.Longest, 15*time.Second)},
	}, nil
}

// dialTarget turns an address into what gRPC dials.
func dialTarget(address string) (string, error) {
	network, place, ok := dial.Split(address)
	switch {
	case !ok:
		return "", fmt.Errorf("evaluator %q is not an address: use unix:///path, /path or host:port", address)
	case network == "unix":
		return "unix://" + place, nil
	}
	return "passthrough:///" + place, nil
}

// Status returns how the link stands.
func (f *Link) Status() Status {
	acknowledged, settled := f.window.position()
	newest := f.o.Station.Newest()
	f.mu.Lock()
	defer f.mu.Unlock()
	return Status{
		Connected: f.connected, Connects: f.connects, Acknowledged: acknowledged,
		Behind: newest - min(settled, newest), Evaluations: f.evaluations, Refused: f.refused,
	}
}

// Run keeps the link up until ctx ends.
func (f *Link) Run(ctx context.Context) {
	told := ""
	for {
		acknowledged, err := f.session(ctx)
		if ctx.Err() != nil {
			return
		}
		if acknowledged {
			f.again.Reset()
		}
		wait := f.again.Next()
		if text := err.Error(); acknowledged || text != told {
			f.o.Log.Warn("the link to the evaluating daemon is down; readings are kept and sent later",
				"address", f.o.Address, "error", text, "again_in", wait.Round(time.Millisecond))
			told = text
		}
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return
		}
	}
}

func (f *Link) setConnected(connected bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.connected = connected
	if connected {
		f.connects++
	}
}
