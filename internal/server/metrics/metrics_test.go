package metrics

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	"go.uber.org/goleak"

	"gauged/internal/access"
	"gauged/internal/exits"
	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/historytest"
	"gauged/internal/library"
	"gauged/internal/server/forward"
	"gauged/internal/station"
)

// limit is the maximum permissible error of the dial.
var limit = gauge.MustLength("0.02", gauge.Millimetre)

// step is that of its display.
var step = gauge.MustLength("0.01", gauge.Millimetre)

var update = flag.Bool("update", false, "write the golden file anew")

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// The procedure is invented for these tests.
const runout = `procedure: runout
title: Runout of the flange
unit: mm
measure:
  tir: {title: indicator at two places, repeats: 2, take: range}
gap: tir
allow: {result: {max: 0.05}}
`

var (
	quiet = slog.New(slog.DiscardHandler)
	noon  = time.Date(2024, 5, 6, 12, 0, 0, 0, time.UTC)
)

// rig is a station whose clock stands at noon, with two gauges.
type rig struct {
	*station.Station
	*Metrics
	t   testing.TB
	ago *atomic.Int64 // days by which the station's clock is behind noon
}

// handedOn are three exits: one that waits for its receiver, one that is paused, and one that
// holds a connection.
func handedOn() []exits.Status {
	return []exits.Status{
		{ID: "orders", Progress: exits.Progress{Failures: 3, Failing: noon}, Behind: 7, Waiting: noon.Add(-30 * time.Second), Dead: 2, Delivered: 11, Failed: 5},
		{ID: "quality", Progress: exits.Progress{Paused: noon}},
		{ID: "plant", Connected: true, Readings: &letter.Readings{Taken: 5, Thinned: 90, Away: 3, Refused: 1}},
	}
}

func newRig(t testing.TB) *rig {
	t.Helper()
	library, err := library.New(context.Background().Err, []library.Source{{Path: "runout.yaml", Content: []byte(runout)}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	commits, ago := NewCommits(), new(atomic.Int64)
	s, err := station.New(t.Context(), station.Options{
		Store: historytest.Open(t), Library: library, Now: func() time.Time { return noon.AddDate(0, 0, -int(ago.Load())) },
		Masters:  map[string]check.Master{"zero": {ID: "zero"}, "block-25": {ID: "block-25", Due: noon.AddDate(0, 1, 0)}},
		Plans:    map[string]*check.Plan{"dial": {Every: 30 * 24 * time.Hour}},
		Gauges:   []station.GaugeInfo{{ID: "dial", Mode: gauge.ModeButton, Ability: gauge.Ability{Error: &limit, Resolution: &step}}, {ID: "sent", Mode: gauge.ModeStream, Outside: true}},
		OnCommit: func(_ time.Duration, facts int, err error) { commits.Observe(3*time.Millisecond, facts, err) },
	})
	if err != nil {
		t.Fatal(err)
	}
	forwarder, err := forward.New(forward.Options{Station: s, Address: "/run/site", Log: quiet})
	if err != nil {
		t.Fatal(err)
	}
	m := New(Options{
		Station: s, Commits: commits, Forwarder: forwarder, Exits: handedOn, Version: "1.2.3", Log: quiet,
		Now: func() time.Time { return noon.Add(90 * time.Second) },
	})
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { s.Run(ctx) })
	running.Go(func() { m.Run(ctx) })
	t.Cleanup(func() {
		cancel()
		running.Wait()
	})
	r := &rig{s, m, t, ago}
	r.eventually("the gauges were looked at before anything came", func() bool {
		m.mu.Lock()
		defer m.mu.Unlock()
		return len(m.signs) == len(s.Gauges())
	})
	return r
}

// report has the station store something of the dial.
func (r *rig) report(report station.Report) {
	r.t.Helper()
	before := r.Newest()
	r.Report(report)
	r.eventually("it is stored", func() bool { return r.Newest() > before })
}

func (r *rig) eventually(what string, holds func() bool) {
	r.t.Helper()
	for deadline := time.Now().Add(20 * time.Second); !holds(); time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			r.t.Fatalf("it did not come about that %s", what)
		}
	}
}

func (r *rig) reading(shown string) {
	r.t.Helper()
	r.report(station.Report{Reading: &gauge.Reading{
		Gauge: "dial", Time: noon.Add(1500 * time.Millisecond), Value: gauge.MustLength(shown, gauge.Millimetre), Shown: shown, Unit: gauge.Millimetre, Status: gauge.StatusOK,
	}})
}

// work does a bit of everything that is counted.
func (r *rig) work() {
	r.t.Helper()
	r.report(station.Report{State: &gauge.StateChange{Gauge: "dial", Time: noon, State: gauge.StateLive}})
	if _, err := r.StartJob(r.t.Context(), station.StartRequest{Procedure: "runout", UnitSerial: "U", Technician: "M", Gauges: map[string]string{"*": "dial"}}); err != nil {
		r.t.Fatal(err)
	}
	r.reading("0.01")
	r.reading("0.03")
	for i := range 4 { // with these there is a rate; checks of one day would be one
		r.ago.Store(int64(3 - i))
		begun, err := r.BeginCheck(r.t.Context(), "dial", "Q", nil, health.BegunData{})
		if err != nil {
			r.t.Fatal(err)
		}
		r.reading("0.01")
		list, err := r.Readings(r.t.Context(), gauge.Query{Gauge: "dial", After: begun.Seq, Limit: 1})
		if err != nil {
			r.t.Fatal(err)
		}
		if _, err := r.RecordCheck(r.t.Context(), station.CheckRequest{Gauge: "dial", By: "Q", Found: []station.CheckPoint{{Master: "zero", Readings: []uint64{list[0].Seq}}}}); err != nil {
			r.t.Fatal(err)
		}
	}
	r.report(station.Report{Reject: &gauge.Reject{Gauge: "dial", Time: noon, Reason: gauge.ReasonNoise}, Count: 5})
	if _, err := r.Resume(r.t.Context(), "program"); err != nil {
		r.t.Fatal(err)
	}
	if _, err := r.Ingest(r.t.Context(), "program", []station.Ingested{{SourceSeq: 1, Gauge: "none", Shown: "1", Unit: gauge.Millimetre}}); err != nil {
		r.t.Fatal(err)
	}
	r.eventually("the verdict is counted", func() bool { return strings.Contains(r.scrape(), `gauged_verdicts_total{outcome="conforms"} 1`) })
}

// scrape returns the project's own metrics in the text form.
func (r *rig) scrape() string {
	r.t.Helper()
	registry := prometheus.NewRegistry()
	registry.MustRegister(r.Metrics)
	answer := httptest.NewRecorder()
	promhttp.HandlerFor(registry, promhttp.HandlerOpts{}).ServeHTTP(answer, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	if answer.Code != http.StatusOK {
		r.t.Fatalf("scrape: %d %s", answer.Code, answer.Body)
	}
	return answer.Body.String()
}

var (
	goVersion = regexp.MustCompile(`goversion="[^"]*"`)
	drawn     = regexp.MustCompile(`(digest|signature|history|station_key)="[0-9a-f]*"`) // another one each time
)

func TestScrape(t *testing.T) {
	r := newRig(t)
	r.work()
	got := drawn.ReplaceAllString(goVersion.ReplaceAllString(r.scrape(), `goversion="GO"`), `$1="HEX"`)
	golden := filepath.Join("testdata", "scrape.golden")
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("difference (-want +got):\n%s", diff)
	}
}

// TestConventions fails where promtool is missing: it comes with the package prometheus.
func TestConventions(t *testing.T) {
	r := newRig(t)
	r.work()
	check := exec.CommandContext(t.Context(), "promtool", "check", "metrics")
	check.Stdin = strings.NewReader(r.scrape())
	if output, err := check.CombinedOutput(); err != nil || len(output) > 0 {
		t.Errorf("promtool check metrics: %v\n%s", err, output)
	}
}

func TestNothingOutlivesItsGauge(t *testing.T) {
	r := newRig(t)
	r.report(station.Report{Reading: &gauge.Reading{Gauge: "gone", Time: noon, Value: 1, Shown: "1", Unit: gauge.Millimetre}})
	if text := r.scrape(); strings.Contains(text, "gone") {
		t.Errorf("a gauge that is not configured is shown:\n%s", text)
	}
}

// TestSigns: what a gauge shows in its readings is found in the background, and what
// cannot be judged is not said.
func TestSigns(t *testing.T) {
	r := newRig(t)
	for i := range 12 {
		r.reading(fmt.Sprintf("%.2f", 1+0.35*float64(i)))
	}
	o := r.Metrics.o
	o.SignsEvery = time.Millisecond
	r = &rig{r.Station, New(o), t, nil}
	ctx, cancel := context.WithCancel(t.Context())
	var running sync.WaitGroup
	running.Go(func() { r.Metrics.Run(ctx) })
	defer running.Wait()
	defer cancel()
	const fine, coarse = `gauged_sign{gauge="dial",kind="low battery"} 0`, `gauged_sign{gauge="dial",kind="lost resolution"} 1`
	r.eventually("both are looked for", func() bool {
		text := r.scrape()
		return strings.Contains(text, fine+"\n") && strings.Contains(text, coarse+"\n")
	})
	if text := r.scrape(); strings.Contains(text, `kind="missed counts"`) || strings.Contains(text, `gauged_sign{gauge="sent"`) {
		t.Errorf("what cannot be judged is shown:\n%s", text)
	}
}

func TestFailedCommitsAreCounted(t *testing.T) {
	r := newRig(t)
	r.o.Commits.Observe(time.Second, 1, errors.New("disk is full"))
	for _, want := range []string{"gauged_history_commit_failures_total 1\n", "gauged_history_commit_seconds_count 1\n", "gauged_history_commit_seconds_sum 1\n"} {
		if text := r.scrape(); !strings.Contains(text, want) {
			t.Errorf("there is no %s in\n%s", want, text)
		}
	}
}

func TestWeb(t *testing.T) {
	r := newRig(t)
	web := NewWeb(r.Metrics, &access.Guard{Rules: access.Rules{Open: true}}, quiet)
	if web.ReadHeaderTimeout <= 0 || web.ReadTimeout <= 0 || web.WriteTimeout <= 0 || web.IdleTimeout <= 0 {
		t.Error("a client that stalls can hold a connection for ever")
	}
	s := httptest.NewServer(web.Handler)
	defer s.Close()
	for path, want := range map[string]struct {
		status int
		text   string
	}{
		"/":        {http.StatusOK, "gauged is running; its metrics are at /metrics\n"},
		"/metrics": {http.StatusOK, "process_resident_memory_bytes"},
		"/other":   {http.StatusNotFound, "404"},
	} {
		answer, err := s.Client().Get(s.URL + path)
		if err != nil {
			t.Fatal(err)
		}
		var body bytes.Buffer
		if _, err := io.Copy(&body, answer.Body); err != nil {
			t.Fatal(err)
		}
		_ = answer.Body.Close()
		if answer.StatusCode != want.status || !strings.Contains(body.String(), want.text) {
			t.Errorf("%s: %d %s", path, answer.StatusCode, body.String())
		}
	}
	answer, err := s.Client().Post(s.URL+"/metrics", "text/plain", nil)
	if err != nil {
		t.Fatal(err)
	}
	_ = answer.Body.Close()
	if answer.StatusCode != http.StatusMethodNotAllowed {
		t.Errorf("POST: %d", answer.StatusCode)
	}
}
