package retry

import (
	"testing"
	"time"
)

// TestPausesDouble: up to the longest, and from the first again after a success.
func TestPausesDouble(t *testing.T) {
	p := Pauses{First: 250 * time.Millisecond, Longest: 15 * time.Second}
	for range 2 {
		for i, want := range []time.Duration{250, 500, 1000, 2000, 4000, 8000, 15000, 15000} {
			want *= time.Millisecond
			if got := p.Next(); got < want*8/10 || got > want*12/10 {
				t.Errorf("pause %d = %v, want %v within a fifth", i, got, want)
			}
		}
		p.Reset()
	}
	for range 100 {
		if got := p.Next(); got <= 0 || got > 18*time.Second {
			t.Fatalf("pause = %v", got)
		}
	}
}
