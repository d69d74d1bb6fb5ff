package exits

import (
	"cmp"
	"context"
	"time"

	"gauged/internal/gauge"
)

// passedUnkept is behind how many facts that are not handed on the place is kept.
const passedUnkept = 10_000

// unkept reports whether something was handed on that is not kept yet.
func (e *exit) unkept() bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.toKeep
}

// keepInTime keeps the place when it is known long enough, or far behind the one that is kept.
func (e *exit) keepInTime(ctx context.Context) error {
	e.mu.Lock()
	far := e.progress.After >= e.kept.After+passedUnkept
	lately := e.o.Now().Sub(e.keptAt) < cmp.Or(e.o.KeepAfter, keepAfter)
	e.mu.Unlock()
	if !far && (lately || !e.unkept()) {
		return nil
	}
	return e.keep(ctx)
}

// keep stores how far the exit has come.
func (e *exit) keep(ctx context.Context) error { return e.store(ctx, e.current) }

// store stores a progress with letters that died or were taken, and puts it in force.
func (e *exit) store(ctx context.Context, next func() Progress, letters ...gauge.DeadLetter) error {
	e.keeping.Lock()
	defer e.keeping.Unlock()
	p := next()
	if err := e.o.Store.KeepExit(ctx, p.kept(e.d.ID), letters...); err != nil {
		return err
	}
	e.set(func() {
		// What somebody changed meanwhile is stored next.
		e.progress.After = max(e.progress.After, p.After)
		e.kept, e.keptAt, e.notKept, e.toKeep = p, e.o.Now(), gauge.Message{}, e.progress.After > p.After
		e.holds.Reset()
	})
	return nil
}

// held rests after something failed that is not the receiver's: reading, writing the letter,
// keeping the place. Until the place is kept again nothing more is handed on, so that what
// would come twice after a crash does not grow.
func (e *exit) held(err error) {
	why, told, wait := gauge.Told(err), false, time.Duration(0)
	e.set(func() {
		told, wait = e.notKept.Equal(why), e.holds.Next()
		e.notKept, e.retryAt = why, e.o.Now().Add(wait)
	})
	if !told {
		e.o.Log.Error("an exit rests: its place cannot be kept, or the history cannot be read", "exit", e.d.ID, "err", err, "again_in", wait.Round(time.Millisecond))
	}
}

// change changes the progress as somebody asks, durably, and wakes the exit.
func (e *exit) change(ctx context.Context, to func(Progress, time.Time) Progress) error {
	if !e.loaded() {
		return gauge.Refused("refusal.exit.not-kept", gauge.Text("exit", e.d.ID), gauge.Nested("why", e.status().NotKept))
	}
	now := e.o.Now()
	if err := e.store(ctx, func() Progress { return to(e.current(), now) }); err != nil {
		return gauge.Refused("refusal.exit.not-kept", gauge.Text("exit", e.d.ID), gauge.Because("why", err))
	}
	e.set(func() { e.progress, e.retryAt = to(e.progress, now), time.Time{} })
	e.wake()
	return nil
}

// wake has the exit look what there is to do.
func (e *exit) wake() {
	e.mu.Lock()
	defer e.mu.Unlock()
	close(e.changed)
	e.changed = make(chan struct{})
}
