package station

import (
	"errors"
	"maps"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// TestLabels: a job has labels from its start on. One that comes later needs no reason, what
// was said and becomes another does, also of a closed job; the job is found by what it has now.
func TestLabels(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	start := StartRequest{Procedure: "ring", UnitSerial: "U-1", Technician: "tech", Labels: job.Labels{"order": " A-1041 "}}
	j, err := r.StartJob(ctx, start)
	if err != nil || !maps.Equal(j.Labels, job.Labels{"order": "A-1041"}) {
		t.Fatal(j, err)
	}
	start.UnitSerial, start.Labels = "U-2", nil
	if _, err := r.StartJob(ctx, start); err != nil {
		t.Fatal(err)
	}
	for what, labels := range map[string]job.Labels{"refusal.label.name": {"Order": "A"}, "refusal.label.empty": {"order": ""}} {
		start.Labels = labels
		if _, err := r.StartJob(ctx, start); !errors.Is(err, gauge.ErrInput) || gauge.Told(err).Code != what {
			t.Errorf("started with %v: %v", labels, err)
		}
	}
	if j, err = r.SetLabels(ctx, 1, job.Labels{"customer": "Miller"}, "", ""); err != nil || j.Labels["customer"] != "Miller" || j.Labels["order"] != "A-1041" {
		t.Fatal(j, err)
	}
	if _, err := r.CloseJob(ctx, 1, "given up", ""); err != nil {
		t.Fatal(err)
	}
	before := r.job(1)
	for _, c := range []struct {
		id      uint64
		changes job.Labels
		code    string
		kind    error
	}{
		{1, job.Labels{"order": "A-1042"}, "refusal.label.why", gauge.ErrInput},
		{1, job.Labels{"customer": ""}, "refusal.label.why", gauge.ErrInput},
		{1, job.Labels{"order": "A-1041", "customer": "Miller"}, "refusal.label.same", gauge.ErrRefused},
		{1, nil, "refusal.label.same", gauge.ErrRefused},
		{1, job.Labels{"or der": "x"}, "refusal.label.name", gauge.ErrInput},
		{9, job.Labels{"order": "A-1042"}, "", gauge.ErrNotFound},
	} {
		if _, err := r.SetLabels(ctx, c.id, c.changes, " ", ""); !errors.Is(err, c.kind) || c.code != "" && gauge.Told(err).Code != c.code {
			t.Errorf("%v of job %d: %v", c.changes, c.id, err)
		}
	}
	j, err = r.SetLabels(ctx, 1, job.Labels{"order": "A-1042", "customer": "", "bay": "3"}, "misread", "lead")
	if err != nil || !maps.Equal(j.Labels, job.Labels{"order": "A-1042", "bay": "3"}) || j.Closed.IsZero() || string(j.Evaluated) != string(before.Evaluated) || r.OpenJobs() != 1 {
		t.Fatalf("%+v, %v", j, err)
	}
	if j = r.job(1); !maps.Equal(j.Labels, job.Labels{"order": "A-1042", "bay": "3"}) {
		t.Errorf("from the history: %v", j.Labels)
	}
	if _, err := r.SetLabels(ctx, 2, job.Labels{"order": "a 1041"}, "", ""); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]uint64{"A-1042": 1, "a1042": 1, "A-1041": 2, "A-1040": 0} {
		jobs, err := r.Jobs(ctx, gauge.JobQuery{Labels: map[string]string{"order": text}, Limit: 9})
		if got := len(jobs); err != nil || got != int(min(1, want)) || got > 0 && jobs[0].ID != want {
			t.Errorf("order %s: %v, %v", text, jobs, err)
		}
	}
	steps, err := r.Course(ctx, 1)
	last := steps[len(steps)-1]
	if err != nil || last.Kind != job.KindLabelled || last.By != "lead" || last.Reason != "misread" || last.Labels.Before["order"] != "A-1041" || last.Labels.Labels["order"] != "A-1042" {
		t.Errorf("%+v, %v", last, err)
	}
}
