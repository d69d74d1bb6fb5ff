package cli

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"

	pb "gauged/api/gauged/v1"
)

// TestMasterCheckAsksBack: a reading far off the master is asked back, d discards it or
// the last one that was taken, y takes it as it is.
func TestMasterCheckAsksBack(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	f.more = []*pb.Gauge{{Id: "micrometer", Mode: pb.GaugeMode_GAUGE_MODE_TYPED}}
	serve(t, f, socket)
	code, _, stderr := call(t, socket, "d\ny\n250 mm\nd\n25.001 mm\nd\n25.002 mm\n1.5 mm\ny\n", "master", "check", "micrometer", "--by", "q", "--at", "block-25", "--at", "zero")
	f.mu.Lock()
	defer f.mu.Unlock()
	if want := []string{"block-25 25.002 UNIT_MILLIMETRE", "zero 1.5 UNIT_MILLIMETRE"}; code != app.ExitFine || !slices.Equal(f.typed, want) {
		t.Errorf("exit %d, took %q\n%s", code, f.typed, stderr)
	}
	for _, want := range []string{
		"  there is no reading to discard yet\n", "  no reading is in question\n",
		"  250 mm at block-25 (25.0001 mm) is far off: another master, another unit, a preset, or not yet at rest?\n  Measure again, or type y to take it anyway\n  discarded\n",
		"  discarded: the last reading at block-25\n", "  1.5 mm at zero (0 mm) is far off",
	} {
		if !strings.Contains(stderr, want) {
			t.Errorf("no %q in\n%s", want, stderr)
		}
	}
}

// TestMasterCheckIsLeft: q gives a check up, or keeps it with the command that takes it
// up again with the readings that were taken.
func TestMasterCheckIsLeft(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	f.more = []*pb.Gauge{{Id: "micrometer", Mode: pb.GaugeMode_GAUGE_MODE_TYPED}}
	serve(t, f, socket)
	left := func(want int) {
		t.Helper()
		f.mu.Lock()
		defer f.mu.Unlock()
		if f.left != want {
			t.Errorf("%d checks were given up, want %d", f.left, want)
		}
	}
	if code, _, stderr := call(t, socket, "q\n", "master", "check", "micrometer", "--by", "q", "--at", "zero"); code != app.ExitFailure || !strings.HasSuffix(stderr, "gaugectl: the check was cancelled\n") {
		t.Errorf("exit %d, %s", code, stderr)
	}
	left(1)
	sent := make(chan struct{})
	go func() {
		defer close(sent)
		for t.Context().Err() == nil {
			f.store("0.001")
			time.Sleep(5 * time.Millisecond)
		}
	}()
	t.Cleanup(func() { <-sent })
	if code, _, stderr := call(t, socket, "\nq\nperhaps\nc\n", "master", "check", "dial-2", "--by", "q", "--at", "zero:2"); code != app.ExitFailure || !strings.Contains(stderr, "k or c?\n") {
		t.Errorf("exit %d, %s", code, stderr)
	}
	left(2)
	code, stdout, stderr := call(t, socket, "\nq\nk\n", "master", "check", "dial-2", "--by", "q", "--at", "zero:2")
	if code != app.ExitFine || stdout != "" {
		t.Errorf("exit %d, %s", code, stdout)
	}
	left(2)
	_, again, found := strings.Cut(strings.TrimSpace(stderr), "  gaugectl ")
	if !found || !strings.HasPrefix(again, "master check dial-2 --begun 87 --at zero:2 --taken zero=") {
		t.Fatalf("to take it up again: %s", stderr)
	}
	code, _, stderr = call(t, socket, "\n", append(strings.Fields(again), "--by", "q")...)
	if code != app.ExitFine || !strings.HasPrefix(stderr, "zero (0 mm): reading 2 of 2\n") {
		t.Errorf("exit %d, %s", code, stderr)
	}
	_, first, _ := strings.Cut(again, "zero=")
	f.mu.Lock()
	defer f.mu.Unlock()
	if n := len(f.calls); n != 1 || !strings.Contains(f.calls[0], fmt.Sprintf("reading_seqs:%s ", first)) || strings.Count(f.calls[0], "reading_seqs:") != 2 {
		t.Errorf("recorded %q", f.calls)
	}
	if code, _, stderr := call(t, socket, "", "master", "check", "dial-2", "--by", "q", "--taken", "zero=1"); code != app.ExitUsage || !strings.Contains(stderr, "say which with --begun") {
		t.Errorf("exit %d, %s", code, stderr)
	}
}
