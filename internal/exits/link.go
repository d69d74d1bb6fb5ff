package exits

import (
	"context"
	"time"
)

// steady is how long a connection holds before its loss begins with the first pause again.
const steady = time.Minute

// open has the sender hold its connection, where it is one that does, and reports whether it
// has it. What fails is an attempt of the exit as any other.
func (e *exit) open(ctx context.Context) (bool, error) {
	l, ok := e.d.Sender.(Linked)
	if !ok {
		return true, nil
	}
	lost := l.Lost()
	err := l.Open(ctx)
	switch {
	case ctx.Err() != nil:
		return false, ctx.Err()
	case err != nil:
		e.fails(e.o.Now(), err)
		return false, e.keepFailure(ctx)
	}
	now := e.o.Now()
	if lost != l.Lost() {
		e.since = now
	}
	if e.away {
		e.away = false
		e.set(func() { e.progress, e.toKeep = e.progress.Reached(now), true })
	}
	return true, nil
}

// connected reports whether a sender has its connection.
func connected(l Linked) bool {
	lost := l.Lost()
	select {
	case <-lost:
		return false
	default:
		return lost != nil
	}
}

// unsteady reports whether the receiver was reached and went away soon, as when two programs
// take a connection from each other.
func (e *exit) unsteady(now time.Time) bool {
	return e.away && !e.since.IsZero() && now.Sub(e.since) < steady
}

// keepFailure keeps that the receiver does not take what is handed on, when that is new.
func (e *exit) keepFailure(ctx context.Context) error {
	if p := e.current(); p.Failures == 1 || !p.Paused.IsZero() {
		return e.keep(ctx)
	}
	return nil
}
