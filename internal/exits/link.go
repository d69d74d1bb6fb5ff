package exits

import (
	"context"
	"time"

	"gauged/internal/gauge"
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
		if err := e.looksAhead(ctx); err != nil {
			return false, err
		}
		e.fails(e.o.Now(), err)
		return false, e.keepFailure(ctx)
	}
	now := e.o.Now()
	if lost != l.Lost() {
		e.set(func() { e.since = now })
	}
	if e.away {
		e.away = false
		e.set(func() { e.progress, e.toKeep = e.progress.Reached(now), true })
	}
	return true, nil
}

// looksAhead passes what is not handed on up to what is, so that it is known what waits for
// the receiver.
func (e *exit) looksAhead(ctx context.Context) error {
	for e.current().After < e.o.History.Newest() {
		if err := e.keepInTime(ctx); err != nil {
			return err
		}
		if len(e.page) == 0 {
			page, err := e.cursor.Next(ctx)
			if err != nil {
				return err
			}
			e.page = page.Facts
		}
		if _, ok := e.next(); ok {
			return nil
		}
	}
	return nil
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

// lostSoon takes up that the connection is lost, where it is, and reports whether it was made
// not long ago, as when two programs take it from each other.
func (e *exit) lostSoon(now time.Time, why gauge.Message) (brief bool) {
	l, ok := e.d.Sender.(Linked)
	if !ok || connected(l) {
		return false
	}
	e.set(func() {
		if e.since.IsZero() {
			return
		}
		if brief = now.Sub(e.since) < steady; brief {
			e.brief, e.lost = e.brief+1, why
		} else {
			e.brief = 0
		}
		e.since = time.Time{}
	})
	return brief
}

// keepFailure keeps that the receiver does not take what is handed on, when that is new.
func (e *exit) keepFailure(ctx context.Context) error {
	if p := e.current(); p.Failures == 1 || !p.Paused.IsZero() {
		return e.keep(ctx)
	}
	return nil
}
