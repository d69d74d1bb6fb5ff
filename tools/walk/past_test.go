//go:build walk

package walk

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"gauged/internal/config"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/study"
	"gauged/internal/history"
	"gauged/internal/station"
)

// pastStation is the bench with a past. Its gauge has no connection, so that its
// readings can be of any day. Everything is invented.
const pastStation = `station: past
shop: {name: Shop of the past, email: shop@past.example, country: DE}
access: open
listen:
  grpc: unix://s
  metrics: METRICS
  page: PAGE
history: history.db
procedures: procedure.yaml
parts: parts.yaml
webhooks:
  orders: {url: "http://127.0.0.1:9/gauged", secret_file: orders.secret}
gauges:
  dial:
    title: Indicator that is read by eye
    typed: yes
    unit: mm
    resolution: 0.001
    error: 0.006
    repeatability: {deviation: 0.001, readings: 30}
  spare:
    title: Spare indicator, never used
    typed: yes
    unit: mm
masters:
  block-10: {title: Gauge block 10 mm, unit: mm, value: "10.00005", calibration: {uncertainty: 0.0001, k: 2}, expansion: 11.5}
checks:
  dial: {every_days: 30, at: [zero, block-10], repeats: 2, zero_return: {within: 0.02 mm}}
`

// past makes a history day by day.
type past struct {
	testing.TB
	*station.Station
	mu  sync.Mutex
	now time.Time
}

func (p *past) clock() time.Time {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.now = p.now.Add(time.Second)
	return p.now
}

func (p *past) later(days int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.now = p.now.AddDate(0, 0, days)
}

// newPast makes the history of a bench whose indicator drifts: a year of checks,
// jobs among them, studies; the last check fails, which puts verdicts in doubt.
// Then it starts the daemon on it.
func newPast(t *testing.T) *site {
	t.Helper()
	s := &site{TB: t, name: "past", dir: t.TempDir()}
	page, metrics := freeAddress(t), freeAddress(t)
	s.page, s.metrics = "http://"+page, "http://"+metrics
	s.socket, s.log = filepath.Join(s.dir, "s"), filepath.Join(s.dir, "gauged.log")
	file := filepath.Join(s.dir, "station.yaml")
	write(t, file, pastStation)
	edit(t, file, "PAGE", page, "METRICS", metrics)
	if err := os.WriteFile(filepath.Join(s.dir, "orders.secret"), []byte("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	copyFiles(t, filepath.Join(root(t), "deploy", "demo-drift"), s.dir, "procedure.yaml", "parts.yaml")
	makePast(t, file)
	start(t, s.log, "msg=ready", exec.Command(program(t, "gauged"), "--config", file))
	return s
}

func makePast(t *testing.T, file string) {
	t.Helper()
	c, err := config.Load(t.Context(), file, func(string) string { return "" })
	if err != nil {
		t.Fatal(err)
	}
	store, err := history.Open(t.Context(), c.History)
	if err != nil {
		t.Fatal(err)
	}
	p := &past{TB: t, now: time.Now().AddDate(0, 0, -400).UTC().Truncate(time.Second)}
	var gauges []station.GaugeInfo
	for _, g := range c.Gauges {
		gauges = append(gauges, station.GaugeInfo{ID: g.ID, Title: g.Title, Mode: gauge.ModeTyped, Unit: g.Unit, Resolution: g.Resolution, Ability: g.Ability})
	}
	p.Station, err = station.New(t.Context(), station.Options{Store: store, Gauges: gauges, Library: c.Library, Masters: c.Masters, Plans: c.Plans, Now: p.clock})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { p.Run(ctx) })
	p.live()
	stop()
	running.Wait()
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
}

// live is a year at the bench. The indicator gains 0.2 um a month.
func (p *past) live() {
	for month := range 12 {
		p.check(0.0002*float64(month), "periodic")
		p.zero(0)
		p.later(5)
		p.job(fmt.Sprintf("A-%d", month+1), 2.652+0.003*float64(month%4))
		p.later(25)
	}
	p.studyOfParts()
	p.study(study.BiasKind, health.StudyRequest{Checks: &health.StoredChecks{Master: "block-10"}})
	p.job("A-13", 2.590)
	p.zero(13)
	p.later(4)
	p.check(0.060, "after a drop")
	p.begun()
}

func (p *past) must(what string, err error) {
	p.Helper()
	if err != nil {
		p.Fatalf("%s: %v", what, err)
	}
}

// mm is a reading as it is typed.
func mm(value float64) station.TypedReading {
	return station.TypedReading{Shown: fmt.Sprintf("%.3f", value), Unit: gauge.Millimetre}
}

// check compares the indicator, which has an error at the block, with its masters.
func (p *past) check(err float64, occasion string) {
	p.Helper()
	_, failed := p.RecordCheck(p.Context(), station.CheckRequest{
		Gauge: "dial", By: "quality", Occasion: occasion,
		Found: []station.CheckPoint{
			{Master: "zero", Typed: []station.TypedReading{mm(0), mm(0.001)}},
			{Master: "block-10", Typed: []station.TypedReading{mm(10 + err), mm(10 + err + 0.001)}},
		},
	})
	p.must("check", failed)
}

func (p *past) zero(job uint64) {
	p.Helper()
	_, err := p.RecordZeroReturn(p.Context(), station.ZeroRequest{Gauge: "dial", Job: job, Typed: mm(0.001), By: "demo"})
	p.must("zero return", err)
}

// begin opens a job and measures the depth.
func (p *past) begin(serial string, depth float64) uint64 {
	p.Helper()
	j, err := p.StartJob(p.Context(), station.StartRequest{
		Procedure: "intermediate-spacer", UnitSerial: serial, Technician: "demo", Gauges: map[string]string{"depth": "dial", "end_play": "dial"},
	})
	p.must("start", err)
	for _, value := range []float64{depth, depth + 0.001} {
		p.enter(j.ID, value)
	}
	return j.ID
}

func (p *past) enter(job uint64, value float64) {
	p.Helper()
	typed := mm(value)
	_, _, err := p.Enter(p.Context(), station.EnterRequest{Job: job, Shown: typed.Shown, Unit: typed.Unit})
	p.must("enter", err)
}

// job is a whole job.
func (p *past) job(serial string, depth float64) {
	p.Helper()
	id := p.begin(serial, depth)
	_, err := p.Choose(p.Context(), station.ChooseRequest{Job: id})
	p.must("choose", err)
	j, err := p.Fit(p.Context(), station.FitRequest{Job: id, By: "demo"})
	p.must("fit", err)
	p.enter(id, depth-j.Evaluation.Choice.Thickness.Metres()*1000)
	_, err = p.Verify(p.Context(), id, "demo")
	p.must("verify", err)
	_, err = p.CloseJob(p.Context(), id, "", "demo")
	p.must("close", err)
}

// begun is a job that waits for its part.
func (p *past) begun() {
	p.Helper()
	_, err := p.SetStanding(p.Context(), "dial", health.InService, "adjusted", "quality")
	p.must("standing", err)
	p.begin("A-14", 2.655)
}

func (p *past) studyOfParts() {
	var rows []health.StudyRow
	for part := range 5 {
		for _, person := range []string{"A", "B"} {
			for trial := range 2 {
				shown := fmt.Sprintf("%.3f", 5+0.01*float64(part)+0.001*float64((part*trial+len(rows))%3))
				rows = append(rows, health.StudyRow{Typed: shown, Unit: gauge.Millimetre, Part: fmt.Sprint(part + 1), Person: person, Trial: fmt.Sprint(trial + 1)})
			}
		}
	}
	p.study(study.CrossedKind, health.StudyRequest{Rows: rows, Unit: gauge.Millimetre})
}

func (p *past) study(kind study.Kind, r health.StudyRequest) {
	p.Helper()
	r.Gauge, r.By, r.Plan = "dial", "quality", study.Plan{Kind: kind, Options: study.Options{Tolerance: 0.1}}
	_, err := p.RecordStudy(p.Context(), r)
	p.must(string(kind), err)
}

// dialFailed has the dial fail a check, so that what it measured before waits for a decision.
func (s *site) dialFailed() {
	s.Helper()
	if a := s.ask("0.101 mm\n0.101 mm\n10.101 mm\n10.101 mm\n", "master", "check", "dial", "--by", "quality"); a.code != 4 {
		s.Fatalf("the dial has not failed: exit %d, %s%s", a.code, a.stdout, a.stderr)
	}
}
