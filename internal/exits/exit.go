package exits

import (
	"cmp"
	"context"
	"slices"
	"sync"
	"time"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/retry"
	"gauged/internal/tail"
)

// Status is how an exit stands.
type Status struct {
	Progress
	ID        string
	Address   string
	Events    []gauge.Event
	Behind    uint64    // facts after its place
	Waiting   time.Time // of the event that is next; zero: there is none yet
	Retry     time.Time // when it tries again; zero: it does not wait for that
	Dead      uint64    // letters
	Delivered uint64    // letters, since the start
	Failed    uint64    // attempts, since the start
	NotKept   gauge.Message
	Readings  *letter.Readings // nil: it holds no connection, and hands on none besides
	Connected bool             // it has the connection that it holds
	Brief     uint64           // connections, one after the other, that were lost soon
	Lost      gauge.Message    // why the last of them was
}

// exit is one that runs.
type exit struct {
	o     Options
	d     Definition
	write letter.Write
	page  []gauge.Fact       // read and not yet looked at
	tried *resending         // of which a letter is sent now
	again retry.Pauses       // after what the receiver did not take
	away  bool               // the receiver was not reached at the last attempt
	end   context.CancelFunc // nil: it does not run yet
	ended chan struct{}

	keeping sync.Mutex // one write at a time

	mu        sync.Mutex // guards what follows
	progress  Progress
	cursor    *tail.Cursor // nil: it is not known yet where the exit goes on
	kept      Progress     // that is stored
	keptAt    time.Time
	toKeep    bool // something was handed on that kept does not know
	head      gauge.Fact
	retryAt   time.Time
	notKept   gauge.Message
	holds     retry.Pauses // after what failed here
	resend    *resending
	since     time.Time     // of the connection, where the sender holds one; zero: there is none
	brief     uint64        // connections, one after the other, that did not hold for long
	lost      gauge.Message // why the last of them did not
	dead      uint64
	delivered uint64
	failed    uint64
	changed   chan struct{} // closed and replaced when somebody changes something
}

func newExit(o Options, d Definition) *exit {
	begin := Progress{After: o.History.Newest()}
	pauses := retry.Pauses{First: cmp.Or(o.First, firstPause), Longest: cmp.Or(o.Longest, longestPause)}
	return &exit{o: o, d: d, write: o.Writer(), ended: make(chan struct{}), changed: make(chan struct{}), again: pauses, holds: pauses, progress: begin}
}

// load finds where the exit goes on. One that is new begins behind what was stored when it
// came, and is kept.
func (e *exit) load(ctx context.Context) error {
	stored, known, err := e.o.Store.Exit(ctx, e.d.ID)
	if err != nil {
		return err
	}
	dead, err := e.o.Store.CountDeadLetters(ctx, e.d.ID)
	if err != nil {
		return err
	}
	e.set(func() {
		if known {
			e.progress = progressOf(stored).Within(e.o.History.Newest()).Again(e.o.Now())
		}
		e.dead, e.toKeep, e.kept = dead, !known, e.progress
		e.away = e.progress.Away
		e.cursor = e.o.History.Watch(e.progress.After)
		e.notKept, e.retryAt = gauge.Message{}, time.Time{}
	})
	if known {
		return nil
	}
	return e.keep(ctx)
}

// stop ends the exit, and waits until it has.
func (e *exit) stop() {
	if e.end != nil {
		e.end()
		<-e.ended
	}
}

// run hands on until ctx ends.
func (e *exit) run(ctx context.Context) {
	defer e.d.Sender.Close()
	for ctx.Err() == nil {
		changed, until, rests := e.due()
		if rests {
			if until.IsZero() {
				e.d.Sender.Close()
			}
			retry.Rest(ctx, changed, until, e.o.Now())
			continue
		}
		if err := e.step(ctx, changed); err != nil && ctx.Err() == nil {
			e.held(err)
		}
	}
	if !e.unkept() {
		return
	}
	if err := e.keep(context.WithoutCancel(ctx)); err != nil {
		e.o.Log.Warn("the place of an exit could not be kept: what came last comes twice", "exit", e.d.ID, "err", err)
	}
}

// due says whether the exit rests, and until when; zero: until something is changed.
func (e *exit) due() (changed <-chan struct{}, until time.Time, rests bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if !e.progress.Paused.IsZero() {
		return e.changed, time.Time{}, true
	}
	return e.changed, e.retryAt, e.o.Now().Before(e.retryAt)
}

// step hands on one letter, or passes what is none.
func (e *exit) step(ctx context.Context, changed <-chan struct{}) error {
	if !e.loaded() {
		return e.load(ctx)
	}
	if err := e.keepInTime(ctx); err != nil {
		return err
	}
	if open, err := e.open(ctx); err != nil || !open {
		return err
	}
	if f, ok, err := e.nextDead(ctx); err != nil || ok {
		if err == nil {
			err = e.deliver(ctx, f, e.resent)
		}
		return err
	}
	if len(e.page) == 0 {
		return e.turn(ctx, changed)
	}
	if f, ok := e.next(); ok {
		return e.deliver(ctx, f, e.sent)
	}
	return nil
}

// next is the first fact of the page, where it is one that is handed on; else it is passed.
func (e *exit) next() (f gauge.Fact, ok bool) {
	f = e.page[0]
	if slices.Contains(e.d.Events, letter.EventOf(f)) {
		e.set(func() { e.head = f })
		return f, true
	}
	e.page = e.page[1:]
	e.set(func() { e.progress = e.progress.Passed(f.Seq) })
	return f, false
}

// turn reads the next page of the history, which may be long in coming. What is known is
// kept meanwhile.
func (e *exit) turn(ctx context.Context, changed <-chan struct{}) error {
	e.set(func() { e.head = gauge.Fact{} })
	within, cancel := context.WithCancel(ctx)
	defer cancel()
	var due <-chan time.Time
	if e.unkept() {
		timer := time.NewTimer(cmp.Or(e.o.KeepAfter, keepAfter))
		defer timer.Stop()
		due = timer.C
	}
	var lost <-chan struct{}
	if l, ok := e.d.Sender.(Linked); ok {
		lost = l.Lost()
	}
	go func() {
		select {
		case <-changed:
		case <-lost:
		case <-due:
		case <-within.Done():
		}
		cancel()
	}()
	page, err := e.cursor.Next(within)
	if within.Err() != nil && err != nil {
		return ctx.Err()
	}
	if err == nil {
		e.page = page.Facts
		e.set(func() { e.notKept = gauge.Message{} })
	}
	return err
}

// deliver brings the letter of a fact to the receiver, and says what came of it.
func (e *exit) deliver(ctx context.Context, f gauge.Fact, came func(context.Context, gauge.Fact, error) error) error {
	l, err := e.write(ctx, f)
	if err != nil {
		return err
	}
	return came(ctx, f, e.d.Sender.Send(ctx, l))
}

// sent takes up what came of the letter of the next fact.
func (e *exit) sent(ctx context.Context, f gauge.Fact, err error) error {
	if err == nil {
		e.page = e.page[1:]
		e.set(func() {
			e.delivered++
			e.toKeep = true
			e.progress, e.retryAt = e.progress.Taken(f.Seq), time.Time{}
		})
		return nil
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	now := e.o.Now()
	e.fails(now, err)
	if p := e.current(); p.Paused.IsZero() && p.GivenUp(now, f.Time(), e.d.GiveUpAfter) {
		return e.giveUp(ctx, f, now)
	}
	return e.keepFailure(ctx)
}

// fails notes an attempt that failed.
func (e *exit) fails(now time.Time, err error) {
	before, why := e.current(), gauge.Told(err)
	e.away = away(err)
	if brief := e.lostSoon(now, why); before.Failures == 0 && !brief {
		e.again.Reset()
	}
	wait := e.again.Next()
	e.set(func() {
		e.failed++
		e.progress, e.retryAt = e.progress.Failed(now, err), now.Add(wait)
		if gone(err) {
			e.progress, e.retryAt = e.progress.Stopped(now, ""), time.Time{}
		}
	})
	switch {
	case gone(err):
		e.o.Log.Error("the receiver of an exit wants nothing any more: the exit is paused", "exit", e.d.ID, "err", err)
	case !before.Why.Equal(why):
		e.o.Log.Warn("an exit could not hand on what is stored; it is tried again", "exit", e.d.ID, "err", err, "again_in", wait.Round(time.Millisecond))
	}
}

// giveUp makes a dead letter of the next fact, and goes on behind it: both or nothing.
func (e *exit) giveUp(ctx context.Context, f gauge.Fact, now time.Time) error {
	p := e.current()
	l := Dead{Seq: f.Seq, Event: letter.EventOf(f), Time: f.Time(), GivenUp: now, Why: p.Why}
	if err := e.store(ctx, func() Progress { return e.current().Passed(f.Seq) }, l.kept()); err != nil {
		return err
	}
	e.page = e.page[1:]
	e.set(func() { e.dead++ })
	e.o.Log.Error("an exit has given up what its receiver did not take: gaugectl exit letters", "exit", e.d.ID, "seq", f.Seq, "after", e.d.GiveUpAfter)
	return nil
}

// loaded reports whether it is known where the exit goes on.
func (e *exit) loaded() bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.cursor != nil
}

// set changes what others see.
func (e *exit) set(change func()) {
	e.mu.Lock()
	defer e.mu.Unlock()
	change()
}

// current is how far the exit has come.
func (e *exit) current() Progress {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.progress
}

func (e *exit) status() Status {
	newest := e.o.History.Newest()
	var readings *letter.Readings
	var has bool
	if l, ok := e.d.Sender.(Linked); ok {
		now := l.Readings()
		readings, has = &now, connected(l)
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	if has && e.o.Now().Sub(e.since) >= steady {
		e.brief = 0
	}
	return Status{
		Progress: e.progress, ID: e.d.ID, Address: e.d.Address, Events: slices.Concat(e.d.Events, e.d.Besides), Readings: readings, Connected: has,
		Behind: newest - min(e.progress.After, newest), Waiting: e.head.Time(), Retry: e.retryAt,
		Brief: e.brief, Lost: e.lost, Dead: e.dead, Delivered: e.delivered, Failed: e.failed, NotKept: e.notKept,
	}
}
