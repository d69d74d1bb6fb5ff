package station

import (
	"errors"
	"path/filepath"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
)

// TestOtherGaugeIsNoSettingAside: a job on the bench that gets another gauge was not set
// aside. Its readings of that measurement are discarded for the reason, its technician stays,
// and it is the same over a restart.
func TestOtherGaugeIsNoSettingAside(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	r.start(map[string]string{"depth": "dial", "height": "clock", "end_play": "clock"})
	r.press("dial", "25.210", gauge.Millimetre)
	ctx := t.Context()
	if _, err := r.SetStanding(ctx, "dial", health.Suspect, "dropped", "lead"); err != nil {
		t.Fatal(err)
	}
	j, err := r.ChangeGauges(ctx, GaugesRequest{Job: 1, By: "Bo", Reason: "dial: dropped", Gauges: map[string]string{"depth": "clock"}})
	if err != nil || j.Gauges["depth"] != "clock" || j.Taken[0].Discarded != "dial: dropped" || j.Technician != "tech" || j.Uses("dial") {
		t.Fatalf("%v: %+v", err, j)
	}
	facts, err := r.store.JobFacts(ctx, 1)
	if err != nil {
		t.Fatal(err)
	}
	course, err := j.Course(ctx, r.store, facts)
	if err != nil {
		t.Fatal(err)
	}
	changed := 0
	for _, step := range course {
		switch step.Kind {
		case job.KindAside, job.KindResumed:
			t.Errorf("it is told as %s", step.Kind)
		case job.KindGauges:
			if changed++; step.Gauges["depth"] != "clock" || step.Had["depth"] != "dial" || step.By != "Bo" || step.Reason != "dial: dropped" {
				t.Errorf("%+v", step)
			}
		}
	}
	if changed != 1 {
		t.Errorf("the change is told %d times", changed)
	}
	r.stop()
	must(t, r.store.Close())
	r = rigAt(t, path)
	if again := r.job(1); again.Gauges["depth"] != "clock" || string(again.Evaluated) != string(j.Evaluated) {
		t.Errorf("after a restart %v", again.Gauges)
	}
}

// TestOtherGaugeIsRefusedWhole: where a gauge cannot serve, the job stays on the bench as it
// was; without a reason nothing is changed, and without any other gauge nothing is stored.
func TestOtherGaugeIsRefusedWhole(t *testing.T) {
	r := newRig(t)
	r.start(map[string]string{"depth": "dial", "height": "clock", "end_play": "clock"})
	ctx := t.Context()
	if _, err := r.SetStanding(ctx, "probe", health.Suspect, "dropped", "lead"); err != nil {
		t.Fatal(err)
	}
	before := r.Newest()
	for _, c := range []struct {
		gauges map[string]string
		reason string
		want   error
	}{
		{map[string]string{"depth": "clock", "height": "probe"}, "why", gauge.ErrRefused},
		{map[string]string{"depth": "clock"}, " ", gauge.ErrInput},
		{map[string]string{"depth": "nobody"}, "why", gauge.ErrNotFound},
		{map[string]string{"depth": "dial"}, "why", nil},
	} {
		if _, err := r.ChangeGauges(ctx, GaugesRequest{Job: 1, Reason: c.reason, Gauges: c.gauges}); !errors.Is(err, c.want) {
			t.Errorf("%v because %q: %v", c.gauges, c.reason, err)
		}
	}
	if j := r.job(1); j.Aside != nil || j.Gauges["depth"] != "dial" || r.Newest() != before {
		t.Errorf("%v, aside %v, %d facts more", j.Gauges, j.Aside, r.Newest()-before)
	}
	r.aside(1)
	if _, err := r.ChangeGauges(ctx, GaugesRequest{Job: 1, Reason: "why", Gauges: map[string]string{"depth": "clock"}}); !errors.Is(err, gauge.ErrRefused) {
		t.Errorf("while it waits: %v", err)
	}
}
