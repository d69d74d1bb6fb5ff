package retry

import (
	"context"
	"testing"
	"testing/synctest"
	"time"
)

// TestRest: a rest ends at its time, at a change, or with its context; a zero time never comes.
func TestRest(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		changed := make(chan struct{})
		for name, c := range map[string]struct {
			until  time.Duration // 0: a zero time
			change time.Duration // 0: never
			end    time.Duration // 0: never
			want   time.Duration
		}{
			"its time":      {time.Minute, 0, time.Hour, time.Minute},
			"a change":      {time.Minute, time.Second, time.Hour, time.Second},
			"the end":       {time.Minute, 0, time.Second, time.Second},
			"never by time": {0, 0, time.Hour, time.Hour},
			"it is past":    {-time.Minute, 0, time.Hour, 0},
		} {
			ctx, cancel := context.WithTimeout(t.Context(), c.end)
			now, until := time.Now(), time.Time{}
			if c.until != 0 {
				until = now.Add(c.until)
			}
			if c.change > 0 {
				time.AfterFunc(c.change, func() { changed <- struct{}{} })
			}
			Rest(ctx, changed, until, now)
			if got := time.Since(now); got != c.want {
				t.Errorf("%s: it rested %v, want %v", name, got, c.want)
			}
			cancel()
		}
	})
}
