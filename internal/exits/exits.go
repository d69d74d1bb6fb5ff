// Package exits hands on what is stored to other systems: in the order of the history, at
// least once, and without holding up the station. Each exit has a place in the history, which
// moves behind a fact when its receiver has taken it, and is kept with the history. What fails
// is tried again, with pauses that grow; after days it is given up and kept as a dead letter.
package exits

import (
	"context"
	"log/slog"
	"reflect"
	"slices"
	"sync"
	"time"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/tail"
)

// Definition is an exit as the station's file has it.
type Definition struct {
	ID          string
	Address     string        // that may be shown
	Events      []gauge.Event // that it hands on
	Besides     []gauge.Event // that its sender follows by itself, of which the newest counts
	GiveUpAfter time.Duration // how long a letter is tried
	Settings    any           // all that it is made from: another exit of the same id has others
	Sender      Sender
}

// Sender brings letters to one receiver.
type Sender interface {
	// Send brings a letter, and comes back without an error when the receiver has taken it.
	// What an error may say besides is in faults.go.
	Send(ctx context.Context, l letter.Letter) error
	// Close gives up what is held for the next letter.
	Close()
}

// Linked is a Sender that holds a connection, also while there is no letter.
type Linked interface {
	Sender
	// Open connects, unless that is so. When the connection before was lost it says why,
	// once, and connects the next time.
	Open(ctx context.Context) error
	// Lost is closed when the connection of the last Open is lost; nil: there is none.
	Lost() <-chan struct{}
	// Readings is what has become of the readings that it hands on besides.
	Readings() letter.Readings
}

// Store is where the places of exits are kept.
type Store interface {
	Exit(ctx context.Context, name string) (e gauge.Exit, known bool, err error)
	KeepExit(ctx context.Context, e gauge.Exit, letters ...gauge.DeadLetter) error
	DeadLetters(ctx context.Context, exit string, after uint64, limit int) ([]gauge.DeadLetter, error)
	CountDeadLetters(ctx context.Context, exit string) (uint64, error)
	// Facts returns facts of all kinds that follow one.
	Facts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error)
}

// History is what is handed on.
type History interface {
	Watch(after uint64) *tail.Cursor
	Newest() uint64
}

// Options is what exits are made from.
type Options struct {
	Store   Store
	History History
	Writer  func() letter.Write // one for each exit
	Now     func() time.Time
	Log     *slog.Logger
	// The pauses after attempts that fail: the first, and the longest that they grow to. 0: a second and ten minutes.
	First, Longest time.Duration
	// How long a place may be known before it is kept. Negative: no time at all. 0: a second.
	KeepAfter time.Duration
}

// The pauses, and how long a place is known before it is kept: what is handed on in that time
// may come twice after a crash.
const (
	firstPause   = time.Second
	longestPause = 10 * time.Minute
	keepAfter    = time.Second
)

// Exits are those of a station.
type Exits struct {
	o Options

	mu      sync.Mutex // guards what follows
	order   []*exit
	running context.Context // of Run; nil: it does not run
	live    sync.WaitGroup
}

// New returns no exits yet: see Set.
func New(o Options) *Exits { return &Exits{o: o} }

// Run runs the exits until ctx ends.
func (x *Exits) Run(ctx context.Context) {
	x.mu.Lock()
	x.running = ctx
	for _, e := range x.order {
		x.start(e)
	}
	x.mu.Unlock()
	<-ctx.Done()
	x.mu.Lock()
	x.running = nil
	x.mu.Unlock()
	x.live.Wait()
}

// start runs an exit; x.mu is held.
func (x *Exits) start(e *exit) {
	ctx, cancel := context.WithCancel(x.running)
	e.end = cancel
	x.live.Go(func() {
		defer close(e.ended)
		e.run(ctx)
	})
}

// Set puts other exits in the place of those that there are. Those that are the same run on;
// one that changed goes on from its place, and one that is new begins with what is stored next.
func (x *Exits) Set(ctx context.Context, all []Definition) {
	x.mu.Lock()
	defer x.mu.Unlock()
	var next, kept []*exit
	for _, d := range all {
		if i := slices.IndexFunc(x.order, func(e *exit) bool { return e.d.ID == d.ID && reflect.DeepEqual(e.d.Settings, d.Settings) }); i >= 0 {
			next, kept = append(next, x.order[i]), append(kept, x.order[i])
			continue
		}
		next = append(next, newExit(x.o, d))
	}
	for _, e := range x.order {
		if !slices.Contains(kept, e) {
			e.stop()
		}
	}
	x.order = next
	for _, e := range next {
		if slices.Contains(kept, e) {
			continue
		}
		if err := e.load(ctx); err != nil {
			e.held(err) // it tries again when it runs
		}
		if x.running != nil {
			x.start(e)
		}
	}
}

// find returns the exit of an id.
func (x *Exits) find(id string) (*exit, error) {
	x.mu.Lock()
	defer x.mu.Unlock()
	var ids []string
	for _, e := range x.order {
		if e.d.ID == id {
			return e, nil
		}
		ids = append(ids, e.d.ID)
	}
	return nil, gauge.NotFound("refusal.exit.missing", gauge.Text("exit", id), gauge.Others("others", id, ids))
}

// All returns how the exits stand, in the order of the station's file.
func (x *Exits) All() []Status {
	x.mu.Lock()
	order := slices.Clone(x.order)
	x.mu.Unlock()
	all := make([]Status, len(order))
	for i, e := range order {
		all[i] = e.status()
	}
	return all
}

// Pause has an exit hand on nothing until it is resumed.
func (x *Exits) Pause(ctx context.Context, id, by string) (Status, error) {
	return x.change(ctx, id, func(p Progress, now time.Time) Progress { return p.Stopped(now, by) }, "the exit is paused", by)
}

// Resume has an exit go on, also one that waits before it tries again.
func (x *Exits) Resume(ctx context.Context, id, by string) (Status, error) {
	return x.change(ctx, id, Progress.GoesOn, "the exit goes on", by)
}

func (x *Exits) change(ctx context.Context, id string, to func(Progress, time.Time) Progress, told, by string) (Status, error) {
	e, err := x.find(id)
	if err != nil {
		return Status{}, err
	}
	if err := e.change(ctx, to); err != nil {
		return Status{}, err
	}
	x.o.Log.Info(told, "exit", id, "by", by)
	return e.status(), nil
}

// Letters returns up to so many dead letters of an exit that follow a number.
func (x *Exits) Letters(ctx context.Context, id string, after uint64, limit int) (letters []Dead, err error) {
	e, err := x.find(id)
	if err != nil {
		return nil, err
	}
	dead, err := x.o.Store.DeadLetters(ctx, e.d.ID, after, limit)
	for _, d := range dead {
		letters = append(letters, deadOf(d))
	}
	return letters, err
}

// SendAgain has an exit send dead letters again, all without numbers, and returns how many
// it will try. When one is not taken the rest stays.
func (x *Exits) SendAgain(ctx context.Context, id string, seqs []uint64, by string) (n uint64, err error) {
	e, err := x.find(id)
	if err != nil {
		return 0, err
	}
	n, err = e.sendAgain(ctx, seqs)
	if err == nil {
		x.o.Log.Info("the exit sends dead letters again", "exit", id, "letters", n, "by", by)
	}
	return n, err
}

// behindLong is how long an exit fails before that is a trouble of the station.
const behindLong = 15 * time.Minute

// manyBrief is how many connections one after the other are a trouble when they are lost soon.
const manyBrief = 3

// Troubles is which exits hand nothing on, though they should.
func (x *Exits) Troubles() (all []gauge.Message) {
	for _, s := range x.All() {
		name := gauge.Text("exit", s.ID)
		switch {
		case !s.NotKept.IsZero():
			all = append(all, gauge.Say("trouble.exit.not-kept", name, gauge.Nested("why", s.NotKept)))
		case s.Refused && s.Paused.IsZero():
			all = append(all, gauge.Say("trouble.exit.refused", name, gauge.Nested("why", s.Why)))
		case s.Brief >= manyBrief && s.Paused.IsZero():
			all = append(all, gauge.Say("trouble.exit.unsteady", name, gauge.Count("times", s.Brief), gauge.Nested("why", s.Lost)))
		case !s.Paused.IsZero() && s.PausedBy == "":
			all = append(all, gauge.Say("trouble.exit.gone", name, gauge.Moment("since", s.Paused)))
		case s.Paused.IsZero() && s.Failures > 0 && x.o.Now().Sub(s.Failing) >= behindLong:
			all = append(all, gauge.Say("trouble.exit.behind", name, gauge.Moment("since", s.Failing), gauge.Count("behind", s.Behind), gauge.Nested("why", s.Why)))
		}
	}
	return all
}
