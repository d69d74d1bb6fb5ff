package access

import (
	"context"
	"log"
	"log/slog"
	"sync"
	"time"
)

// linesAtMost is how many lines a minute a door writes about connections that come to
// nothing. Anybody who reaches it can make one with each connection.
const linesAtMost = 30

// ErrorLog is the log of an HTTP server for what becomes of its connections, such as a TLS
// handshake that fails: at most 30 lines a minute. Those that are left out are counted, and
// the next line after that minute is preceded by their count.
func ErrorLog(to *slog.Logger, level slog.Level) *log.Logger {
	return slog.NewLogLogger(&thinned{Handler: to.Handler()}, level)
}

// thinned passes on so many records a minute.
type thinned struct {
	slog.Handler

	mu      sync.Mutex
	since   time.Time // when the present minute began
	passed  int       // in it
	leftOut int       // since it began
}

func (t *thinned) Handle(ctx context.Context, r slog.Record) error {
	t.mu.Lock()
	leftOut := 0
	if age := r.Time.Sub(t.since); age >= time.Minute || age < 0 {
		leftOut = t.leftOut
		t.since, t.passed, t.leftOut = r.Time, 0, 0
	}
	pass := t.passed < linesAtMost
	if t.passed++; !pass {
		t.leftOut++
	}
	last := t.passed == linesAtMost
	t.mu.Unlock()
	if leftOut > 0 {
		count := slog.NewRecord(r.Time, r.Level, "errors of connections were left out of the log", 0)
		count.AddAttrs(slog.Int("count", leftOut))
		if err := t.Handler.Handle(ctx, count); err != nil {
			return err
		}
	}
	if !pass {
		return nil
	}
	if last {
		r.AddAttrs(slog.String("more", "are counted until the minute is over"))
	}
	return t.Handler.Handle(ctx, r)
}
