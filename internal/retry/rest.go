package retry

import (
	"context"
	"time"
)

// Rest waits until a time, for a change, or until ctx ends, whichever comes first. A zero time
// and a nil channel never come.
func Rest(ctx context.Context, changed <-chan struct{}, until, now time.Time) {
	var due <-chan time.Time
	if !until.IsZero() {
		timer := time.NewTimer(until.Sub(now))
		defer timer.Stop()
		due = timer.C
	}
	select {
	case <-due:
	case <-changed:
	case <-ctx.Done():
	}
}
