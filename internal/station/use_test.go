package station

import (
	"encoding/json"
	"path/filepath"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/drift"
	"gauged/internal/job"
)

// TestAdviceFromTheHistory: jobs and readings since the last check, and the next
// interval in days and in uses, the same after a restart.
func TestAdviceFromTheHistory(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	if h, _ := r.Health("clock"); h.Use.SinceCheck() != 0 {
		t.Error("a gauge that was never used was used")
	}
	errors := []string{"25.0005", "25.0004", "25.0006", "25.0005"}
	for _, shown := range errors {
		r.check("clock", r.at("clock", "block", shown))
		for range 2 {
			r.finish(r.conform("clock").ID)
		}
		r.pass(10 * 24 * time.Hour)
	}
	look := func(when string) {
		t.Helper()
		h, err := r.Health("clock")
		if err != nil || h.Use.Jobs != 8 || h.Use.SinceCheck() != 2 || r.since("clock") != 4 {
			t.Fatalf("%s: %+v, %d readings, %v", when, h.Use, r.since("clock"), err)
		}
		advice, refused := h.Advice()
		if len(advice) != 4 || len(refused) != 0 {
			t.Fatalf("%s: %+v, refused %q", when, advice, refused)
		}
		for _, a := range advice {
			// From check to check 10 days, and 3 uses: two jobs and the check.
			observed := map[string]float64{drift.InDays: 10, drift.InUses: 3}[a.Unit]
			if a.Change != drift.Extended || a.Next <= observed || a.Next > 2.01*observed {
				t.Errorf("%s: %+v", when, a)
			}
		}
	}
	look("live")
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	look("after a restart")
}

// TestAdviceIsRefused says why there is none.
func TestAdviceIsRefused(t *testing.T) {
	r := newRig(t)
	look := func(want ...gauge.Message) {
		t.Helper()
		h, err := r.Health("probe")
		if err != nil {
			t.Fatal(err)
		}
		advice, refused := h.Advice()
		if len(advice) != 0 || len(refused) != len(want) || !refused[0].Equal(want[0]) {
			t.Errorf("%+v, refused %v, want %v", advice, refused, want)
		}
	}
	look(gauge.Say("trend.no_checks"))
	r.check("probe", r.at("probe", "block", "25.000", "25.001"))
	one := gauge.Nested("why", gauge.Say("advice.one_check"))
	look(gauge.Say("advice.in_unit", gauge.Word("unit", "advice.in_days"), one), gauge.Say("advice.in_unit", gauge.Word("unit", "advice.in_uses"), one))
}

// TestAdviceWaitsForTheCause: no longer interval while a chart points.
func TestAdviceWaitsForTheCause(t *testing.T) {
	r := newRig(t)
	small := []string{"25.0001", "25.0000", "25.0002", "25.0001", "25.0000"}
	for i := range 12 {
		shown := small[i%5]
		if i == 11 {
			shown = "25.0015"
		}
		r.check("clock", r.at("clock", "block", shown))
		r.pass(24 * time.Hour)
	}
	h, err := r.Health("clock")
	if err != nil || !h.Trend().Worst().Pointed() {
		t.Fatalf("no chart points: %v, %v", h.ChartNow(), err)
	}
	advice, _ := h.Advice()
	if len(advice) == 0 {
		t.Fatal("no advice")
	}
	for _, a := range advice {
		if a.Change == drift.Extended {
			t.Errorf("%+v", a)
		}
	}
}

// TestCheckOfBefore: a check that was stored before checks kept the number of the
// gauge's readings, zero returns and jobs.
func TestCheckOfBefore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	p := r.at("clock", "block", "25.000", "25.001")
	r.check("clock", p)
	r.stop()
	facts, err := r.store.GaugeFacts(t.Context(), "clock", 0, 10)
	if err != nil || len(facts) != 2 {
		t.Fatal(facts, err)
	}
	old := *facts[1].Gauge
	var data map[string]json.RawMessage
	if err := json.Unmarshal(old.Data, &data); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"number", "zero_return", "job"} {
		delete(data, key)
	}
	old.Data = job.Marshal(data)
	if err := r.store.Append(t.Context(), []gauge.Fact{{Seq: r.store.LastSeq() + 1, Gauge: &old}}); err != nil {
		t.Fatal(err)
	}
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	r.press("clock", "25.002", gauge.Millimetre)
	h, err := r.Health("clock")
	if err != nil || h.Checks != 2 || h.Last.Zero || r.since("clock") != 1 {
		t.Errorf("%+v, %d readings, %v", h, r.since("clock"), err)
	}
}

// BenchmarkLoadHealth reads the checks of the gauges and the starts of the jobs, as
// at the start of the daemon.
func BenchmarkLoadHealth(b *testing.B) {
	r := newRig(b)
	r.unit("25.430", "23.700", "0.120")
	r.copyJobs(100_000, func(int) uint64 { return 1 })
	for b.Loop() {
		r.health = map[string]*health.Gauge{}
		if err := r.loadHealth(b.Context()); err != nil || r.health["dial"].Use.Jobs != 100_001 {
			b.Fatal(r.health["dial"].Use, err)
		}
	}
}

// since is how many readings a gauge gave since its last check.
func (r *rig) since(gaugeID string) uint64 {
	r.t.Helper()
	_, readings, err := r.HealthIn(r.t.Context(), gaugeID)
	if err != nil {
		r.t.Fatal(err)
	}
	return readings
}
