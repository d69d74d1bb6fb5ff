package station

import (
	"context"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/history"
	"gauged/internal/historytest"
	"gauged/internal/job"
	"gauged/internal/library"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// The procedure and the parts are invented for these tests.
const testProcedure = `procedure: ring
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

const testParts = `family: rings
title: Rings
unit: mm
grades:
  - {part: R150, thickness: 1.50}
  - {part: R155, thickness: 1.55}
  - {part: R160, thickness: 1.60}
`

// strictAbility is that of a gauge with a maximum permissible error of 4 um.
var strictAbility = func() gauge.Ability {
	limit := gauge.MustLength("0.004", gauge.Millimetre)
	return gauge.Ability{Unit: gauge.Millimetre, Error: &limit, Repeats: &gauge.Pooled{Deviation: gauge.MustLength("0.0005", gauge.Millimetre), Freedom: 20}}
}()

// zeroRange is how near to zero a zero return of the gauges clock and sweep is.
var zeroRange = func() *gauge.Length {
	l := gauge.MustLength("0.02", gauge.Millimetre)
	return &l
}()

// rig is a station on a real history, with a clock of its own.
type rig struct {
	*Station
	t     testing.TB
	store *faultyStore
	now   time.Time
	cut   int // after so many looks at the clock it fails; 0: never
	mu    sync.Mutex
	stop  context.CancelFunc
	ended chan struct{}
}

// faultyStore is a real history whose commits can be made to fail.
type faultyStore struct {
	*history.Store
	mu   sync.Mutex
	fail error
}

func (s *faultyStore) Append(ctx context.Context, facts []gauge.Fact, requests ...gauge.Request) error {
	s.mu.Lock()
	err := s.fail
	s.mu.Unlock()
	if err != nil {
		return err
	}
	return s.Store.Append(ctx, facts, requests...)
}

func (s *faultyStore) setFail(err error) {
	s.mu.Lock()
	s.fail = err
	s.mu.Unlock()
}

func newRig(t testing.TB) *rig { return rigAt(t, filepath.Join(t.TempDir(), "history.db")) }

// rigAt starts a station on the history at path; stop it before opening the
// same history again.
func rigAt(t testing.TB, path string) *rig { return rigWith(t, path, testProcedure) }

func rigWith(t testing.TB, path, procedure string, families ...string) *rig {
	t.Helper()
	r := standing(t, path, procedure, families...)
	ctx, cancel := context.WithCancel(context.Background())
	r.stop = sync.OnceFunc(func() {
		cancel()
		<-r.ended
	})
	go func() {
		r.Run(ctx)
		close(r.ended)
	}()
	t.Cleanup(r.stop)
	return r
}

// standing is a rig whose station does not run.
func standing(t testing.TB, path, procedure string, families ...string) *rig {
	t.Helper()
	parts := []library.Source{{Path: "rings.yaml", Content: []byte(testParts)}}
	for _, family := range families {
		parts = append(parts, library.Source{Path: "more.yaml", Content: []byte(family)})
	}
	library, err := library.New(context.Background().Err, []library.Source{{Path: "ring.yaml", Content: []byte(procedure)}}, parts)
	if err != nil {
		t.Fatal(err)
	}
	r := &rig{t: t, store: &faultyStore{Store: historytest.OpenAt(t, path)}, now: time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC), ended: make(chan struct{})}
	r.Station, err = New(t.Context(), Options{
		Store: r.store, Library: library,
		Now: func() time.Time {
			r.mu.Lock()
			defer r.mu.Unlock()
			if r.cut > 0 {
				if r.cut--; r.cut == 0 {
					panic(errCut)
				}
			}
			r.now = r.now.Add(time.Millisecond)
			return r.now
		},
		Masters: map[string]check.Master{
			"zero":  {ID: "zero"},
			"block": {ID: "block", Value: gauge.MustLength("25", gauge.Millimetre)},
			"rough": {ID: "rough", Value: gauge.MustLength("25", gauge.Millimetre), Certified: &gauge.Expanded{Uncertainty: gauge.MustLength("2", gauge.Micrometre), K: gauge.MustLength("2", gauge.One)}},
			"old":   {ID: "old", Due: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)},
		},
		Plans: map[string]*check.Plan{
			"dial":   {Every: 30 * 24 * time.Hour, Masters: []string{"zero", "block"}, Repeats: 2},
			"strict": {Every: 24 * time.Hour, Repeats: 1, Blocks: true},
			"clock":  {Repeats: 1, AfterEach: true, ZeroWithin: zeroRange},
			"each":   {Repeats: 1, BeforeEach: true, Blocks: true},
			"fresh":  {Repeats: 1, BeforeWithin: 8 * time.Hour},
			"sweep":  {Repeats: 1, ZeroWithin: zeroRange},
		},
		Gauges: []GaugeInfo{
			{ID: "dial", Mode: gauge.ModeButton},
			{ID: "probe", Mode: gauge.ModeStream, Fresh: time.Second},
			{ID: "far", Mode: gauge.ModeButton, Outside: true},
			{ID: "remote", Mode: gauge.ModeStream, Outside: true, Fresh: 3 * time.Second},
			{ID: "pedal", Mode: gauge.ModeSwitch},
			{ID: "strict", Mode: gauge.ModeStream, Ability: strictAbility},
			{ID: "clock", Mode: gauge.ModeButton, Ability: strictAbility},
			{ID: "each", Mode: gauge.ModeButton, Ability: strictAbility},
			{ID: "fresh", Mode: gauge.ModeButton, Ability: strictAbility},
			{ID: "sweep", Mode: gauge.ModeStream, Ability: strictAbility},
			{ID: "micrometer", Mode: gauge.ModeTyped, Unit: gauge.Millimetre, Ability: strictAbility},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// clock is the time that the station has come to.
func (r *rig) clock() time.Time {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.now
}

func (r *rig) start(gauges map[string]string) *job.Job {
	r.t.Helper()
	j, err := r.StartJob(r.t.Context(), StartRequest{Procedure: "ring", UnitSerial: "U-7", Technician: "tech", Gauges: gauges})
	if err != nil {
		r.t.Fatal(err)
	}
	return j
}

// press reports a reading of a gauge, a second after what was before, and waits until it is durable.
func (r *rig) press(gaugeID, shown string, unit gauge.Unit) {
	r.t.Helper()
	r.pass(time.Second)
	r.pressAtOnce(gaugeID, shown, unit)
}

// pressAtOnce is a press a moment after what was before.
func (r *rig) pressAtOnce(gaugeID, shown string, unit gauge.Unit) {
	r.t.Helper()
	cursor := r.Watch(r.Newest())
	r.Report(Report{Reading: &gauge.Reading{
		Gauge: gaugeID, Time: r.o.Now(), Value: gauge.MustLength(shown, unit), Shown: shown, Unit: unit,
		Status: gauge.StatusOK, Raw: []byte(shown + "\r"),
	}})
	for {
		page, err := cursor.Next(r.t.Context())
		if err != nil {
			r.t.Fatal(err)
		}
		for _, f := range page.Facts {
			if f.Reading != nil && f.Reading.Shown == shown {
				return
			}
		}
	}
}

func (r *rig) enter(id uint64, shown string) *job.Job {
	r.t.Helper()
	j, _, err := r.Enter(r.t.Context(), EnterRequest{Job: id, Shown: shown, Unit: gauge.Millimetre, Instrument: "feeler gauge"})
	if err != nil {
		r.t.Fatal(err)
	}
	return j
}

func (r *rig) job(id uint64) *job.Job {
	r.t.Helper()
	j, err := r.Job(r.t.Context(), id)
	if err != nil {
		r.t.Fatal(err)
	}
	return j
}

// kinds lists the facts of a job.
func (r *rig) kinds(id uint64) string {
	r.t.Helper()
	facts, err := r.store.JobFacts(r.t.Context(), id)
	if err != nil {
		r.t.Fatal(err)
	}
	var kinds []string
	for _, f := range facts {
		kinds = append(kinds, f.Job.Kind)
	}
	return strings.Join(kinds, " ")
}
