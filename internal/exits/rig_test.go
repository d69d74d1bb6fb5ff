package exits

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/historytest"
	"gauged/internal/tail"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// rig is a history with one exit, whose receiver is the test.
type rig struct {
	t     *testing.T
	store *faulty
	tail  *tail.Tail
	x     *Exits
	stop  func()
	got   chan string // ids of letters, as they come
	next  chan error  // what their receiver answers

	sender         Sender // the rig itself, where no other is
	first, longest time.Duration

	mu  sync.Mutex
	now time.Time
}

// faulty is a store that keeps nothing while it is full.
type faulty struct {
	Store
	append func(context.Context, []gauge.Fact, ...gauge.Request) error
	mu     sync.Mutex
	full   bool
	failed chan struct{} // hears of what was not kept
}

var errFull = errors.New("database or disk is full")

func (f *faulty) KeepExit(ctx context.Context, e gauge.Exit, letters ...gauge.DeadLetter) error {
	f.mu.Lock()
	full := f.full
	f.mu.Unlock()
	if full {
		select {
		case f.failed <- struct{}{}:
		default:
		}
		return errFull
	}
	return f.Store.KeepExit(ctx, e, letters...)
}

func (f *faulty) set(full bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.full = full
}

// Send gives a letter to the test and waits for its answer, or for the end.
func (r *rig) Send(ctx context.Context, l letter.Letter) error {
	select {
	case r.got <- l.ID:
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case err := <-r.next:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (*rig) Close() {}

// Newest and Watch make the rig the history of the exit.
func (r *rig) Newest() uint64                  { return r.tail.Newest() }
func (r *rig) Watch(after uint64) *tail.Cursor { return r.tail.From(after) }
func (r *rig) clock() time.Time                { r.mu.Lock(); defer r.mu.Unlock(); return r.now }

func (r *rig) later(d time.Duration) { r.mu.Lock(); defer r.mu.Unlock(); r.now = r.now.Add(d) }

func (r *rig) definition(settings any) []Definition {
	return []Definition{{ID: "shop", Events: gauge.Events, GiveUpAfter: threeDays, Settings: settings, Sender: r.sender}}
}

// newRig returns a history with an exit that begins with what is stored next.
func newRig(t *testing.T) *rig {
	t.Helper()
	store := historytest.Open(t)
	r := &rig{
		t: t, store: &faulty{Store: store, append: store.Append, failed: make(chan struct{}, 1)}, tail: tail.New(store),
		got: make(chan string), next: make(chan error), now: morning, first: time.Nanosecond, longest: time.Nanosecond,
	}
	r.sender = r
	r.start()
	t.Cleanup(func() { r.stop() })
	return r
}

// start begins anew, as a daemon that is started.
func (r *rig) start() {
	r.t.Helper()
	r.x = New(Options{
		Store: r.store, History: r, Now: r.clock, Log: slog.New(slog.DiscardHandler), First: r.first, Longest: r.longest, KeepAfter: -1,
		Writer: func() letter.Write {
			return func(_ context.Context, f gauge.Fact) (letter.Letter, error) {
				return letter.Letter{Fact: f, ID: fmt.Sprint("fact ", f.Seq)}, nil
			}
		},
	})
	r.x.Set(r.t.Context(), r.definition("first"))
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { r.x.Run(ctx) })
	r.stop = sync.OnceFunc(func() {
		cancel()
		running.Wait()
	})
}

// happens stores states of a gauge, which are events, and readings that are none before each.
func (r *rig) happens(n int) {
	r.t.Helper()
	for range n {
		seq := r.tail.Newest() + 1
		facts := []gauge.Fact{
			{Seq: seq, Reject: &gauge.Reject{Gauge: "dial", Time: r.clock(), Reason: gauge.ReasonNoise}},
			{Seq: seq + 1, State: &gauge.StateChange{Gauge: "dial", Time: r.clock(), State: gauge.StateLive}},
		}
		if err := r.store.append(r.t.Context(), facts); err != nil {
			r.t.Fatal(err)
		}
		r.tail.Add(facts)
	}
}

// comes waits for a letter and answers it. Where the answer is an error, that is noted then.
func (r *rig) comes(seq uint64, answer error) {
	r.t.Helper()
	if id := <-r.got; id != fmt.Sprint("fact ", seq) {
		r.t.Fatalf("%s came, not %d", id, seq)
	}
	before := r.x.All()[0].Failed
	r.next <- answer
	r.status(func(s Status) bool { return answer == nil || s.Failed > before })
}

// status waits until the exit stands so.
func (r *rig) status(is func(Status) bool) Status {
	r.t.Helper()
	for {
		if s := r.x.All()[0]; is(s) {
			return s
		}
		time.Sleep(time.Millisecond)
	}
}

var errRefused = gauge.Refused("exit.answered", gauge.Count("status", 500))

type goneError struct{}

func (goneError) Error() string { return "gone" }
func (goneError) Gone() bool    { return true }
