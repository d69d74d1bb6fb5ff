package history_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/historytest"
)

func TestOpenCreatesAndReopens(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	first := historytest.OpenAt(t, path)
	id := first.ID()
	if len(id) != 32 {
		t.Errorf("ID is %q, want 32 hexadecimal digits", id)
	}
	if got := first.LastSeq(); got != 0 {
		t.Errorf("LastSeq of a new history is %d", got)
	}
	mustAppend(t, first, mixed(3)...)
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path + "-wal"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the write-ahead log is still there after Close: %v", err)
	}

	second := historytest.OpenAt(t, path)
	if second.ID() != id {
		t.Errorf("ID is %q after reopening, was %q", second.ID(), id)
	}
	if got, want := second.LastSeq(), uint64(len(mixed(3))); got != want {
		t.Errorf("LastSeq is %d, want %d", got, want)
	}
	got, err := second.Facts(t.Context(), 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(mixed(3), got); diff != "" {
		t.Error(diff)
	}
	mustAppend(t, second, reading(second.LastSeq()+1, "a", 4))
}

func TestOtherHistoryHasOtherID(t *testing.T) {
	if a, b := historytest.Open(t), historytest.Open(t); a.ID() == b.ID() {
		t.Errorf("two histories have the ID %q", a.ID())
	}
}

func TestSecondOpenerIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	historytest.OpenAt(t, path)
	link := filepath.Join(t.TempDir(), "link.db")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{path, link} {
		_, err := history.Open(t.Context(), name)
		if !errors.Is(err, history.ErrInUse) {
			t.Fatalf("Open(%s) = %v, want ErrInUse", name, err)
		}
		want := "history " + path + ": the history is in use by process " + strconv.Itoa(os.Getpid()) +
			"; stop that process or use another history"
		if err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
}

func TestClosedStore(t *testing.T) {
	s := historytest.Open(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Errorf("second Close: %v", err)
	}
	ctx := t.Context()
	calls := map[string]func() error{
		"Append":       func() error { return s.Append(ctx, readings(0, 1)) },
		"Facts":        func() error { _, err := s.Facts(ctx, 0, 1); return err },
		"LastNumbers":  func() error { _, err := s.LastNumbers(ctx); return err },
		"LastReadings": func() error { _, err := s.LastReadings(ctx); return err },
		"Backup":       func() error { _, _, err := s.Backup(ctx, filepath.Join(t.TempDir(), "copy.db")); return err },
		"Check":        func() error { return s.Check(ctx) },
	}
	for name, call := range calls {
		if err := call(); !errors.Is(err, history.ErrClosed) {
			t.Errorf("%s after Close = %v, want ErrClosed", name, err)
		}
	}
}

func TestCancelledContext(t *testing.T) {
	s := historytest.Open(t)
	mustAppend(t, s, mixed(1)...)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := s.Append(ctx, readings(s.LastSeq(), 1)); !errors.Is(err, context.Canceled) {
		t.Errorf("Append = %v", err)
	}
	if _, err := s.Facts(ctx, 0, 10); !errors.Is(err, context.Canceled) {
		t.Errorf("Facts = %v", err)
	}
	if got, err := s.Facts(t.Context(), 0, 10); err != nil || len(got) != 8 {
		t.Errorf("afterwards Facts gives %d facts, %v", len(got), err)
	}
}

// mixed has every kind of fact, readings of two gauges and a sender.
func mixed(schema int) []gauge.Fact {
	content := []byte("grades: []\n")
	sent := reading(5, "b", 1)
	sent.Reading.Source, sent.Reading.SourceSeq = "bench-2", 7
	typed := reading(8, "a", 3)
	typed.Reading.Raw, typed.Reading.EnteredBy = nil, "technician"
	facts := []gauge.Fact{
		{Seq: 1, State: &gauge.StateChange{Gauge: "a", Time: start, State: gauge.StateLive}},
		{Seq: 2, File: &gauge.File{Hash: gauge.HashContent(content), Kind: "parts", Name: "shims", Content: content, Time: start}},
		reading(3, "a", 1),
		reading(4, "a", 2),
		sent,
		{Seq: 6, Reject: &gauge.Reject{
			Gauge: "b", Time: start, Reason: gauge.ReasonNoise, Detail: gauge.Plain("a NUL byte"), Raw: []byte{0, 255},
			Source: "bench-2", SourceSeq: 9,
		}},
		{Seq: 7, Job: &gauge.JobFact{Job: 3, Time: start, Kind: "started", By: "technician", Data: []byte(`{"a":1}`)}},
		typed,
	}
	if schema > 1 {
		facts = append(facts, gauge.Fact{Seq: 9, Gauge: &gauge.GaugeFact{Gauge: "a", Time: start, Kind: "checked", By: "technician", Data: []byte(`{"error":1}`)}})
	}
	if schema > 2 {
		facts = append(facts, gauge.Fact{Seq: 10, Release: &gauge.Release{
			Hash: gauge.HashContent(content), Kind: "parts", Name: "shims", By: "technician", Reason: "new delivery", Time: start,
		}})
	}
	if schema > 8 {
		facts = append(facts, gauge.Fact{Seq: 11, Access: &gauge.AccessFact{Time: start, Kind: "person_added", By: "lead", Subject: "technician", Data: []byte(`{"role":"technician"}`)}})
	}
	return facts
}
