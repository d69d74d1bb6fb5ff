package exits

import (
	"context"
	"slices"
	"time"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
)

// lettersAtOnce is how many dead letters are read at once.
const lettersAtOnce = 200

// resending is what somebody asked for of dead letters. It is not kept: what was not sent
// when the daemon ends is dead as before.
type resending struct {
	seqs  []uint64 // nil: all
	after uint64   // those up to this number were tried
	last  uint64   // those after this one died later
}

// wants reports whether a letter is one of those that somebody asked for.
func (r *resending) wants(seq uint64) bool {
	return seq <= r.last && (r.seqs == nil || slices.Contains(r.seqs, seq))
}

// sendAgain has dead letters sent, all without numbers, and returns how many there are of them.
func (e *exit) sendAgain(ctx context.Context, seqs []uint64) (n uint64, err error) {
	if !e.current().Paused.IsZero() {
		return 0, gauge.Refused("refusal.exit.paused", gauge.Text("exit", e.d.ID))
	}
	slices.Sort(seqs)
	seqs = slices.Compact(seqs)
	r := &resending{seqs: seqs, last: e.current().After}
	for after, more := uint64(0), true; more; {
		letters, err := e.o.Store.DeadLetters(ctx, e.d.ID, after, lettersAtOnce)
		if err != nil {
			return 0, err
		}
		for _, l := range letters {
			if after = l.Seq; r.wants(l.Seq) {
				n++
			}
		}
		more = len(letters) == lettersAtOnce
	}
	if n < uint64(len(seqs)) {
		return 0, gauge.NotFound("refusal.exit.no-letters", gauge.Text("exit", e.d.ID))
	}
	e.set(func() { e.resend, e.retryAt = r, time.Time{} })
	e.wake()
	return n, nil
}

// nextDead returns the fact of the next dead letter that somebody asked for.
func (e *exit) nextDead(ctx context.Context) (f gauge.Fact, ok bool, err error) {
	r := e.asked()
	for r != nil {
		letters, err := e.o.Store.DeadLetters(ctx, e.d.ID, r.after, lettersAtOnce)
		if err != nil {
			return f, false, err
		}
		for _, l := range letters {
			if !r.wants(l.Seq) {
				r.after = l.Seq
				continue
			}
			facts, err := e.o.Store.Facts(ctx, l.Seq-1, 1)
			if err != nil {
				return f, false, err
			}
			if len(facts) == 0 { // the history has lost its end
				r.after = l.Seq
				continue
			}
			e.tried = r
			return facts[0], true, nil
		}
		if len(letters) < lettersAtOnce {
			e.resendEnds(r)
			return f, false, nil
		}
	}
	return f, false, nil
}

func (e *exit) asked() *resending {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.resend
}

// resent takes up what came of a dead letter. One that was not taken stays, and the rest is
// not tried: who asked for it will see, and ask again.
func (e *exit) resent(ctx context.Context, f gauge.Fact, err error) error {
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		e.resendEnds(e.tried)
		e.o.Log.Warn("a dead letter was not taken again; it stays, and the rest is not tried", "exit", e.d.ID, "seq", f.Seq, "err", err)
		now := e.o.Now()
		l := Dead{Seq: f.Seq, Event: letter.EventOf(f), Time: f.Time(), GivenUp: now, Why: gauge.Told(err)}
		e.set(func() { e.failed++ })
		return e.store(ctx, e.current, l.kept())
	}
	if err := e.store(ctx, e.current, gauge.DeadLetter{Seq: f.Seq}); err != nil {
		return err
	}
	e.tried.after = f.Seq
	e.set(func() {
		e.dead--
		e.delivered++
	})
	return nil
}

// resendEnds ends what somebody asked for, unless something else was asked for since.
func (e *exit) resendEnds(r *resending) {
	e.set(func() {
		if e.resend == r {
			e.resend = nil
		}
	})
}
