package main

import (
	"log/slog"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// TestTroublesAreSaidOnceAMinute: at once, not again within the minute, and when they end.
func TestTroublesAreSaidOnceAMinute(t *testing.T) {
	var out strings.Builder
	var now []gauge.Message
	tr := troubles{look: func() []gauge.Message { return now }, log: slog.New(slog.NewTextHandler(&out, nil))}
	begin := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	full := []gauge.Message{gauge.Say("trouble.history.not-stored", gauge.Text("why", "the disk is full"))}
	for second, want := range []int{0, 1, 1, 1} {
		if second > 0 {
			now = full
		}
		tr.tell(begin.Add(time.Duration(second) * time.Second))
		if got := strings.Count(out.String(), "nothing is stored at present: the disk is full"); got != want {
			t.Errorf("after %d s it is said %d times, want %d", second, got, want)
		}
	}
	if tr.tell(begin.Add(61 * time.Second)); strings.Count(out.String(), "nothing is stored") != 2 {
		t.Errorf("after a minute:\n%s", out.String())
	}
	now = nil
	tr.tell(begin.Add(62 * time.Second))
	if tr.tell(begin.Add(63 * time.Second)); strings.Count(out.String(), "the history is stored again") != 1 {
		t.Errorf("when it is over:\n%s", out.String())
	}
}
