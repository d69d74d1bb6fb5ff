package server

import (
	"context"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/library"
	"gauged/internal/server/forward"
	"gauged/internal/station"
)

// newBench is a station without procedures, with one gauge of its own.
func newBench(t testing.TB, gaugeID string) *station.Station {
	t.Helper()
	library, err := library.New(context.Background().Err, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	bench, _ := runStation(t, filepath.Join(t.TempDir(), "bench.db"), library, []station.GaugeInfo{{ID: gaugeID, Mode: gauge.ModeButton}})
	return bench
}

// link runs a link with short pauses until the test ends.
func link(t testing.TB, o forward.Options) (f *forward.Link, stop func()) {
	t.Helper()
	o.First, o.Longest = time.Millisecond, 20*time.Millisecond
	f, err := forward.New(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { f.Run(ctx) })
	stop = sync.OnceFunc(func() {
		cancel()
		running.Wait()
	})
	t.Cleanup(stop)
	return f, stop
}

func TestForwarderSendsReadingsAndHearsEvaluations(t *testing.T) {
	site := newRig(t)
	id := site.start(map[string]string{"depth": "pressed"}).GetId()
	bench := newBench(t, "pressed")
	var mu sync.Mutex
	var values []string
	log := &logText{}
	f, _ := link(t, forward.Options{Station: bench, Address: site.socket, Log: log.logger(), Evaluated: func(job uint64, e *gaugedv1.Evaluation) {
		mu.Lock()
		defer mu.Unlock()
		if job == id {
			values = append(values, e.GetMeasurements()[0].GetValue().GetText())
		}
	}})
	for i, shown := range []string{"25.00", "25.01"} {
		bench.Report(station.Report{Reading: reading("pressed", shown)})
		eventually(t, "the reading is evaluated", func() bool {
			mu.Lock()
			defer mu.Unlock()
			return len(values) == i+1
		})
	}
	wantText(t, values, "[25.000 25.005]")
	eventually(t, "the link is idle", func() bool { return f.Status().Behind == 0 })
	if s := f.Status(); !s.Connected || s.Acknowledged != bench.Newest() || s.Evaluations != 2 || s.Refused != 0 || s.Connects != 1 {
		t.Errorf("status = %+v", s)
	}
	facts, err := site.Readings(t.Context(), gauge.Query{Gauge: "pressed", Limit: 10})
	if err != nil {
		t.Fatal(err)
	}
	if r := facts[1].Reading; r.Source != bench.ID() || r.SourceSeq != 2 || string(r.Raw) != "25.01\r\n" {
		t.Errorf("stored %+v", r)
	}
	contains(t, log.String(), "the link to the evaluating daemon is up")
	contains(t, log.String(), `msg="a job was evaluated" job=1`)
}

func TestForwarderCountsRefusedReadings(t *testing.T) {
	site := newRig(t)
	bench := newBench(t, "stray")
	log := &logText{}
	f, _ := link(t, forward.Options{Station: bench, Address: "unix://" + site.socket, Log: log.logger()})
	for range 3 {
		bench.Report(station.Report{Reading: reading("stray", "1.0")})
	}
	eventually(t, "all are refused", func() bool { return f.Status().Refused == 3 && f.Status().Behind == 0 })
	contains(t, log.String(), `this station has no gauge \"stray\" that is fed from outside`)
}

// TestForwarderLosesAndDoublesNothing cuts the connection many times, in the
// middle of messages, and restarts the far daemon between.
func TestForwarderLosesAndDoublesNothing(t *testing.T) {
	const readings = 6000
	path, socket := filepath.Join(t.TempDir(), "site.db"), socketPath(t)
	library, log := testLibrary(t), &logText{}
	startSite := func() (s *station.Station, stop func()) {
		s, stopStation := runStation(t, path, library, testGauges)
		l, err := access.ListenUnix(socket)
		if err != nil {
			t.Fatal(err)
		}
		_, stopServer := serve(t, s, log, l)
		return s, func() { stopServer(); stopStation() }
	}
	site, stopSite := startSite()
	bench := newBench(t, "sent")
	p := newProxy(t, socket, 20240506)
	p.cutAfter(20_000)
	f, stopLink := link(t, forward.Options{Station: bench, Address: p.address(), Log: log.logger()})

	var want []string
	for i := range readings {
		want = append(want, numbered(i))
		bench.Report(station.Report{Reading: reading("sent", numbered(i))})
		if i%1000 == 500 { // entries that are not sent are in between
			bench.Report(station.Report{State: &gauge.StateChange{Gauge: "sent", Time: time.Now(), State: gauge.StateLive}})
		}
		switch i {
		case readings / 3:
			stopSite()
			site, stopSite = startSite()
		case readings / 2: // and the link's own side
			stopLink()
			f, stopLink = link(t, forward.Options{Station: bench, Address: p.address(), Log: log.logger()})
		}
	}
	eventually(t, "it was cut often", func() bool { return p.count() >= 20 || f.Status().Behind == 0 })
	p.cutAfter(0)
	p.closeAll()
	eventually(t, "the bench has stored all", func() bool { return bench.Gauges()[0].Readings == readings })
	eventually(t, "the link is idle", func() bool { s := f.Status(); return s.Connected && s.Behind == 0 })
	if got := texts(t, site, "sent"); !slices.Equal(got, want) {
		t.Errorf("%d readings arrived, want the %d that were sent, in order, once each", len(got), len(want))
	}
	if p.count() < 5 {
		t.Errorf("only %d connections were cut", p.count())
	}
	t.Logf("%d connections cut, %d times up", p.count(), f.Status().Connects)
	stopLink()
	stopSite()
}

func TestForwarderRefusesAnOlderCopyOfItsHistory(t *testing.T) {
	site := newRig(t)
	bench := newBench(t, "sent")
	if _, err := site.Resume(t.Context(), bench.ID()); err != nil {
		t.Fatal(err)
	}
	if _, err := site.Ingest(t.Context(), bench.ID(), []station.Ingested{{SourceSeq: 70, Gauge: "sent", Shown: "1", Unit: gauge.Millimetre}}); err != nil {
		t.Fatal(err)
	}
	log := &logText{}
	f, _ := link(t, forward.Options{Station: bench, Address: site.socket, Log: log.logger()})
	const want = "it has readings of this station up to entry 70, but the history here ends at 0: an older copy of the history is in use; put the newest one back, or begin a new one"
	eventually(t, "the link says why", func() bool { return len(log.String()) > 0 })
	contains(t, log.String(), want)
	if f.Status().Connected {
		t.Error("the link counts as up")
	}
}

func TestForwarderWithoutADaemonHoldsNothingUp(t *testing.T) {
	bench := newBench(t, "sent")
	log := &logText{}
	f, stop := link(t, forward.Options{Station: bench, Address: filepath.Join(shortDir(t), "none"), Log: log.logger()})
	for i := range 3000 { // more than the station's inbox
		bench.Report(station.Report{Reading: reading("sent", numbered(i))})
	}
	eventually(t, "the bench stores", func() bool { return bench.Gauges()[0].Readings == 3000 })
	if s := f.Status(); s.Connected || s.Behind != bench.Newest() {
		t.Errorf("status = %+v", s)
	}
	within(t, 2*time.Second, "the end of the link", stop)
	contains(t, log.String(), "the link to the evaluating daemon is down; readings are kept and sent later")
}
