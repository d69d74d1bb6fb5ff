package devices_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/simulate"
)

// update is the flag of this package's golden tests.
var update = devices.Update

const within = 20 * time.Second // for what takes milliseconds on an idle machine

// watched is a supervisor on a pseudo-terminal, and what it reported.
type watched struct {
	t    *testing.T
	line *simulate.Line
	sup  *devices.Supervisor
	rest *rests // where it decides when the line is at rest; nil: time does

	mu     sync.Mutex
	events []devices.Event
	last   time.Time
	opened int // how often the port was opened
}

func (w *watched) sink(e devices.Event) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.events = append(w.events, e)
	w.last = time.Now()
	s := e.State
	// A gauge that was live with a port is live or opening with the next one
	// only after it was absent or failed.
	if s != nil && (s.State == gauge.StateOpening || s.State == gauge.StateLive) && !w.isOpen() {
		w.opened++
	}
}

func (w *watched) isOpen() bool {
	for i := len(w.events) - 2; i >= 0; i-- {
		if s := w.events[i].State; s != nil {
			return s.State == gauge.StateOpening || s.State == gauge.StateLive || s.State == gauge.StateSilent
		}
	}
	return false
}

// watch starts the supervisor of a gauge on a new pseudo-terminal.
func watch(t *testing.T, g devices.Gauge) *watched { return watchResting(t, g, nil) }

// watchResting does the same on a line of which something else than time decides
// when it is at rest.
func watchResting(t *testing.T, g devices.Gauge, rest *rests) *watched {
	t.Helper()
	w := &watched{t: t, line: simulate.NewLine(filepath.Join(t.TempDir(), "gauge")), last: time.Now(), rest: rest}
	if err := w.line.Plug(); err != nil {
		t.Fatal(err)
	}
	g.Port, g.Line = w.line.Link(), devices.DefaultLine
	t.Cleanup(func() {
		if err := w.line.Unplug(); err != nil {
			t.Error(err)
		}
	})
	w.supervise(g)
	return w
}

// supervise runs the supervisor of a gauge until the test ends.
func (w *watched) supervise(g devices.Gauge) {
	dialer := devices.NewDialer(nil, g)
	if w.rest != nil {
		dialer = restingDialer{dialer, w.rest}
	}
	w.sup = devices.NewSupervisor([]devices.Gauge{g}, dialer, nil, w.sink, slog.New(slog.DiscardHandler))
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); w.sup.Run(ctx) }()
	w.t.Cleanup(func() {
		cancel()
		<-done
	})
}

func (w *watched) until(what string, is func() bool) {
	w.t.Helper()
	for end := time.Now().Add(within); time.Now().Before(end); time.Sleep(time.Millisecond) {
		w.mu.Lock()
		ok := is()
		w.mu.Unlock()
		if ok {
			return
		}
	}
	w.t.Fatalf("%s did not happen within %v; events: %v", what, within, w.words(true, true))
}

// nextOpened returns a function that waits until the port is open once more.
func (w *watched) nextOpened() func(context.Context) error {
	times := 0
	return func(context.Context) error {
		times++
		w.until(fmt.Sprintf("opening the port for time %d", times), func() bool { return w.opened >= times })
		return nil
	}
}

// words lists the readings and, where wanted, rejections and states.
func (w *watched) words(rejects, states bool) []string {
	w.mu.Lock()
	defer w.mu.Unlock()
	var words []string
	for _, e := range w.events {
		switch {
		case e.Reading != nil:
			words = append(words, fmt.Sprintf("reading %s %v %q", e.Reading.Shown, e.Reading.Unit, e.Reading.Raw))
		case e.Reject != nil && rejects:
			words = append(words, fmt.Sprintf("reject %s %q", e.Reject.Reason, e.Reject.Raw))
		case e.State != nil && states:
			words = append(words, fmt.Sprintf("<%s %s>", e.State.State, e.State.Reason))
		}
	}
	return words
}

func shippedLayout(t testing.TB, name string) *devices.Layout {
	t.Helper()
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	l, err := layouts.Find(name)
	if err != nil {
		t.Fatalf("layout %s is not shipped", name)
	}
	return l
}

func gaugeFor(t testing.TB, h devices.RecordingHeader) devices.Gauge {
	l := shippedLayout(t, h.Layout)
	g := devices.Gauge{ID: "recorded", Layout: l, Unit: h.Unit, Mode: l.Mode}
	switch l.Mode {
	case gauge.ModeButton:
		g.Bounce = 2 * time.Second // far from what a busy machine adds; only bounces repeat a frame here
	case gauge.ModePoll:
		g.Poll, g.SilentAfter = 500*time.Millisecond, time.Minute
	}
	return g
}

// TestRecordings plays each recording through a pseudo-terminal, as it was
// recorded, byte by byte and in one block. The readings are the same each
// time; rejections may differ in one block, where a pause is no pause.
func TestRecordings(t *testing.T) {
	files, err := filepath.Glob("../../testdata/logs/*.jsonl")
	if err != nil || len(files) == 0 {
		t.Fatalf("there is no recording to play (%v): this test would prove nothing", err)
	}
	for _, file := range files {
		for _, how := range []simulate.Chunking{simulate.AsRecorded, simulate.SingleBytes, simulate.OneBlock} {
			t.Run(filepath.Base(file)+"/"+string(how), func(t *testing.T) {
				t.Parallel()
				want := golden(t, file, how)
				got := play(t, file, how, len(want))
				if *update && how == simulate.AsRecorded {
					rewrite(t, file, got)
				} else if !*update && !slices.Equal(got, want) {
					t.Errorf("%s\n got\n%s\nwant\n%s", file, strings.Join(got, "\n"), strings.Join(want, "\n"))
				}
			})
		}
	}
}

// play returns what a recording gave. On a busy machine it waits longer for as
// many reports as are expected.
func play(t *testing.T, file string, how simulate.Chunking, atLeast int) []string {
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	rec, err := devices.ReadRecording(file, bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	g := gaugeFor(t, rec.Header)
	if g.Mode == gauge.ModePoll {
		w := watch(t, g)
		return w.replay(rec, how, w.line, atLeast)
	}
	rest := newRests()
	w := watchResting(t, g, rest)
	far := &restingLine{Line: w.line, rests: rest}
	if how != simulate.OneBlock {
		far.before = pausesOf(rec, g.Layout.Pause)
	}
	return w.replay(rec, how, far, atLeast)
}

// replay plays a recording into the line's far end and returns what it gave.
func (w *watched) replay(rec *devices.Recording, how simulate.Chunking, far simulate.FarEnd, atLeast int) []string {
	w.t.Helper()
	if err := simulate.Replay(w.t.Context(), rec, far, how, w.nextOpened()); err != nil {
		w.t.Fatal(err)
	}
	if w.rest != nil {
		w.rest.wait(w.t.Context())
	}
	// An unfinished frame is rejected after the layout's pause.
	quiet := shippedLayout(w.t, rec.Header.Layout).Pause + 100*time.Millisecond
	played := time.Now()
	late := played.Add(within / 2)
	w.until("a quiet line", func() bool {
		return time.Since(played) > quiet && time.Since(w.last) > quiet && (w.reports() >= atLeast || time.Now().After(late))
	})
	return w.words(how != simulate.OneBlock, false)
}

func wantFile(file string) string { return strings.TrimSuffix(file, ".jsonl") + ".want" }

func rewrite(t *testing.T, file string, got []string) {
	t.Helper()
	if err := os.WriteFile(wantFile(file), []byte(strings.Join(got, "\n")+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
}

// golden returns what a recording must give; in one block only the readings.
func golden(t *testing.T, file string, how simulate.Chunking) []string {
	t.Helper()
	if *update {
		return nil
	}
	content, err := os.ReadFile(wantFile(file))
	if err != nil {
		t.Fatal(err)
	}
	want := expected(string(content), how)
	if len(want) == 0 {
		t.Fatalf("%s expects nothing: it would prove nothing", wantFile(file))
	}
	return want
}

func expected(golden string, how simulate.Chunking) []string {
	var want []string
	for line := range strings.Lines(golden) {
		if how != simulate.OneBlock || strings.HasPrefix(line, "reading ") {
			want = append(want, strings.TrimSuffix(line, "\n"))
		}
	}
	return want
}

// TestRecordingsCanFail plays one recording against a golden text that lacks a
// line of it.
func TestRecordingsCanFail(t *testing.T) {
	t.Parallel()
	file := "../../testdata/logs/unit-change.jsonl"
	got := play(t, file, simulate.OneBlock, 1)
	content, err := os.ReadFile(wantFile(file))
	if err != nil {
		t.Fatal(err)
	}
	want := expected(string(content), simulate.OneBlock)
	if !slices.Equal(got, want) || slices.Equal(got, want[1:]) || slices.Equal(got[1:], want) {
		t.Errorf("the comparison does not see a missing line: %q", got)
	}
}

// TestUnplugAtEveryByte pulls the plug after each byte of a frame and plugs
// the gauge in again under another port: each whole frame is delivered once,
// and nothing else.
func TestUnplugAtEveryByte(t *testing.T) {
	t.Parallel()
	frame := "+012.345 mm\r\n"
	w := watch(t, gaugeFor(t, devices.RecordingHeader{Layout: "value-with-unit"}))
	opened := w.nextOpened()
	ports := map[string]bool{}
	var want []string
	for cut := range len(frame) + 1 {
		if err := opened(t.Context()); err != nil {
			t.Fatal(err)
		}
		port, err := os.Readlink(w.line.Link())
		if err != nil {
			t.Fatal(err)
		}
		ports[port] = true
		before := fmt.Sprintf("+001.%03d mm", cut)
		if _, err := w.line.Write([]byte(before + "\r\n" + frame[:cut])); err != nil {
			t.Fatal(err)
		}
		want = append(want, fmt.Sprintf("reading +001.%03d mm %q", cut, before))
		if cut >= len(frame)-1 {
			want = append(want, `reading +012.345 mm "+012.345 mm"`)
		}
		w.until("the readings before the plug is pulled", func() bool { return w.readings() == len(want) })
		if cut == len(frame) {
			break
		}
		keep, err := os.Open(port) // so that the kernel gives the next one another number
		if err != nil {
			t.Fatal(err)
		}
		defer keep.Close()
		if err := errors.Join(w.line.Unplug(), w.line.Plug()); err != nil {
			t.Fatal(err)
		}
	}
	if got := w.words(false, false); strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if len(ports) < 2 {
		t.Errorf("the gauge always came back under the same port: %v", ports)
	}
}

// reports counts readings and rejections; the lock is held.
func (w *watched) reports() int {
	n := 0
	for _, e := range w.events {
		if e.Reading != nil || e.Reject != nil {
			n++
		}
	}
	return n
}

// readings counts them; the lock is held.
func (w *watched) readings() int {
	n := 0
	for _, e := range w.events {
		if e.Reading != nil {
			n++
		}
	}
	return n
}
