package server

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/historytest"
	"gauged/internal/library"
	"gauged/internal/station"
	"gauged/internal/wire"
	"gauged/internal/words"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// The procedures and the parts are invented for these tests.
const ringProcedure = `procedure: ring
title: Ring for end play
unit: mm
measure:
  depth: {title: depth, repeats: 2, agree: 0.03, plausible: {min: 20, max: 30}}
  height: {title: height}
gap: depth - height
allow: {play: {min: 0.10, max: 0.20}}
parts: rings
choose: {method: middle}
verify:
  measure: {end_play: {title: end play}}
  play: end_play
  predicted_within: 0.04
`

const runoutProcedure = `procedure: runout
title: Runout of the flange
unit: in
measure:
  tir: {title: indicator at two places, repeats: 2, take: range}
gap: tir
allow: {result: {max: 0.008}}
`

const ringParts = `family: rings
title: Rings
unit: mm
grades:
  - {part: R150, thickness: 1.50}
  - {part: R155, thickness: 1.55}
  - {part: R160, thickness: 1.6}
`

// micrometerAbility is that of a gauge of which a resolution and an error are known.
var micrometerAbility = func() gauge.Ability {
	step, limit := gauge.MustLength("0.001", gauge.Millimetre), gauge.MustLength("0.004", gauge.Millimetre)
	return gauge.Ability{Unit: gauge.Millimetre, Resolution: &step, Error: &limit}
}()

// testPlans are when the gauges are checked.
var testPlans = func() map[string]*check.Plan {
	within := gauge.MustLength("0.02", gauge.Millimetre)
	return map[string]*check.Plan{"micrometer": {Repeats: 1, BeforeWithin: 8 * time.Hour, AfterEach: true, ZeroWithin: &within}}
}()

// testGauges are one of each kind.
var testGauges = []station.GaugeInfo{
	{ID: "button", Title: "depth gauge", Mode: gauge.ModeButton, Unit: gauge.Millimetre, Resolution: gauge.MustLength("0.01", gauge.Millimetre)},
	{ID: "line", Mode: gauge.ModeStream},
	{ID: "sent", Mode: gauge.ModeStream, Outside: true},
	{ID: "pressed", Mode: gauge.ModeButton, Outside: true},
	{ID: "micrometer", Mode: gauge.ModeTyped, Unit: gauge.Millimetre, Ability: micrometerAbility},
}

func testLibrary(t testing.TB) *library.Library {
	t.Helper()
	l, err := library.New(context.Background().Err,
		[]library.Source{{Path: "ring.yaml", Content: []byte(ringProcedure)}, {Path: "runout.yaml", Content: []byte(runoutProcedure)}},
		[]library.Source{{Path: "rings.yaml", Content: []byte(ringParts)}},
	)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// runStation opens the history at path and runs a station on it until the test
// ends or stop is called.
func runStation(t testing.TB, path string, library *library.Library, gauges []station.GaugeInfo) (s *station.Station, stop func()) {
	t.Helper()
	store := historytest.OpenAt(t, path)
	s, err := station.New(t.Context(), station.Options{
		Masters: map[string]check.Master{"zero": {ID: "zero"}}, Plans: testPlans,
		Store: store, Gauges: gauges, Library: library, Now: time.Now,
	})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { s.Run(ctx) })
	stop = sync.OnceFunc(func() {
		cancel()
		running.Wait()
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	t.Cleanup(stop)
	return s, stop
}

// logText is a log that tests can read.
type logText struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *logText) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *logText) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

func (l *logText) logger() *slog.Logger { return slog.New(slog.NewTextHandler(l, nil)) }

// anyone is a guard that asks nobody.
var anyone = &access.Guard{Rules: access.Rules{Open: true}}

// serve serves a station until the test ends or stop is called.
func serve(t testing.TB, st *station.Station, log *logText, l net.Listener) (s *Server, stop func()) {
	t.Helper()
	return serveWith(t, Options{Station: st, Log: log.logger(), Guard: anyone, Info: Info{Name: "bench-1", Size: func(context.Context) (int, int64, error) { return 5, 4096, nil }}}, l)
}

// serveWith serves with options.
func serveWith(t testing.TB, o Options, l net.Listener) (s *Server, stop func()) {
	t.Helper()
	s = New(o)
	var serving sync.WaitGroup
	serving.Go(func() {
		if err := s.Serve(l); err != nil {
			t.Error(err)
		}
	})
	stop = sync.OnceFunc(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 3*time.Second)
		defer cancel()
		_ = s.Shutdown(ctx) // a test may leave calls behind; its time says so
		serving.Wait()
	})
	t.Cleanup(stop)
	return s, stop
}

func dial(t testing.TB, socket string) *grpc.ClientConn {
	t.Helper()
	conn, err := grpc.NewClient("unix://"+socket, grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

// rig is a station that is served, and clients of it.
type rig struct {
	*station.Station
	t          testing.TB
	server     *Server
	log        *logText
	socket     string
	conn       *grpc.ClientConn
	gauges     gaugedv1.GaugeServiceClient
	procedures gaugedv1.ProcedureServiceClient
	jobs       gaugedv1.JobServiceClient
	evaluation gaugedv1.EvaluationServiceClient
	history    gaugedv1.HistoryServiceClient

	stopStation, stopServer func()
}

func newRig(t testing.TB) *rig {
	t.Helper()
	r := &rig{t: t, log: &logText{}, socket: socketPath(t)}
	r.Station, r.stopStation = runStation(t, filepath.Join(t.TempDir(), "history.db"), testLibrary(t), testGauges)
	l, err := access.ListenUnix(r.socket)
	if err != nil {
		t.Fatal(err)
	}
	r.server, r.stopServer = serve(t, r.Station, r.log, l)
	r.conn = dial(t, r.socket)
	r.gauges = gaugedv1.NewGaugeServiceClient(r.conn)
	r.procedures = gaugedv1.NewProcedureServiceClient(r.conn)
	r.jobs = gaugedv1.NewJobServiceClient(r.conn)
	r.evaluation = gaugedv1.NewEvaluationServiceClient(r.conn)
	r.history = gaugedv1.NewHistoryServiceClient(r.conn)
	return r
}

// shortDir is a directory whose path leaves room for a socket's name.
func shortDir(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "g")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

// socketPath is short enough for a socket whatever the test is called.
func socketPath(t testing.TB) string {
	t.Helper()
	return filepath.Join(shortDir(t), "s")
}

// report gives the station a reading of a line, and returns when it is stored.
func (r *rig) report(gaugeID, shown string) {
	r.t.Helper()
	before := r.readings(gaugeID)
	r.Report(station.Report{Reading: reading(gaugeID, shown)})
	r.eventually("the reading is stored", func() bool { return r.readings(gaugeID) > before })
}

func reading(gaugeID, shown string) *gauge.Reading {
	return &gauge.Reading{
		Gauge: gaugeID, Time: time.Now(), Value: gauge.MustLength(shown, gauge.Millimetre), Shown: shown,
		Unit: gauge.Millimetre, Status: gauge.StatusOK, Raw: []byte(shown + "\r\n"),
	}
}

func (r *rig) readings(gaugeID string) uint64 {
	for _, g := range r.Gauges() {
		if g.ID == gaugeID {
			return g.Readings
		}
	}
	r.t.Fatalf("there is no gauge %s", gaugeID)
	return 0
}

func (r *rig) eventually(what string, holds func() bool) {
	r.t.Helper()
	eventually(r.t, what, holds)
}

// eventually polls until a condition holds, for as long as a loaded machine may need.
func eventually(t testing.TB, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); !holds(); time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("it did not come about that %s", what)
		}
	}
}

// Sentences show times in the zone of who reads them.
func init() { time.Local = time.UTC }

// wantStatus checks the code and the whole text of an error, and that it says its reason.
func wantStatus(t testing.TB, err error, code codes.Code, text string) {
	t.Helper()
	st, ok := status.FromError(err)
	if !ok || st.Code() != code || st.Message() != text {
		t.Errorf("error = %v\nwant %s: %s", err, code, text)
	}
	toldBy(t, text, err)
}

// within fails when f does not return in time; f runs on.
func within(t testing.TB, limit time.Duration, what string, f func()) {
	t.Helper()
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	select {
	case <-done:
	case <-time.After(limit):
		t.Fatalf("%s took longer than %v", what, limit)
	}
}

// texts are the digits of a gauge's stored readings, in order.
func texts(t testing.TB, s *station.Station, gaugeID string) []string {
	t.Helper()
	var shown []string
	after := uint64(0)
	for {
		facts, err := s.Readings(t.Context(), gauge.Query{Gauge: gaugeID, After: after, Limit: 1000})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range facts {
			shown = append(shown, f.Reading.Shown)
			after = f.Seq
		}
		if len(facts) < 1000 {
			return shown
		}
	}
}

// numbered is a text with a number in it that is a length.
func numbered(i int) string { return fmt.Sprintf("%d.%03d", i/1000, i%1000) }

func contains(t testing.TB, text, part string) {
	t.Helper()
	if !strings.Contains(text, part) {
		t.Errorf("%q\ndoes not contain %q", text, part)
	}
}

// told is a message in English.
func told(m *gaugedv1.Message) string { return words.In(words.English).Tell(wire.FromMessage(m)) }
