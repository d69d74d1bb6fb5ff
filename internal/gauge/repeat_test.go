package gauge

import (
	"testing"
	"time"
)

// TestRepeat: the same too soon is a repeat, also of a repeat; something else between ends it.
func TestRepeat(t *testing.T) {
	begin := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	var r Repeat
	for i, c := range []struct {
		what string
		ms   int
		want bool
	}{{"", 0, false}, {"a", 1, false}, {"a", 100, true}, {"a", 249, true}, {"a", 399, false}, {"b", 400, false}, {"a", 401, false}} {
		if got := r.Soon(c.what, begin.Add(time.Duration(c.ms)*time.Millisecond), BounceTime); got != c.want {
			t.Errorf("%d: %q after %d ms: %v", i, c.what, c.ms, got)
		}
	}
}
