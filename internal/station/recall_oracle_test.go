package station

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/recall"
	"gauged/internal/job"
	"gauged/internal/lookback"
)

// slowRecall is Recall job by job, each fact read by itself and each evaluation
// written down in full, with a Monte Carlo run of its own.
func (r *rig) slowRecall(e recall.GaugeError) []recall.Item {
	r.t.Helper()
	var items []recall.Item
	files := job.NewFiles(r.o.Store)
	err := job.EachStart(r.t.Context(), r.o.Store, func(f gauge.Fact) error {
		if f.Job.Time.Before(e.Since) || !e.Ended.IsZero() && !f.Job.Time.Before(e.Ended) {
			return nil
		}
		j, err := job.Load(r.t.Context(), r.o.Store, f.Job.Job, files, nil)
		if err != nil {
			return err
		}
		item, err := r.slowJob(j, e)
		if item != nil {
			items = append(items, *item)
		}
		return err
	})
	if err != nil {
		r.t.Fatal(err)
	}
	return e.List(items).Items
}

func (r *rig) slowJob(j *job.Job, e recall.GaugeError) (*recall.Item, error) {
	readings := j.Counting()
	named := map[uint64]job.Taken{}
	for _, one := range readings {
		t, err := job.LoadTaken(r.t.Context(), r.o.Store, job.TakenData{Reading: one.Seq, From: one.From})
		if err != nil {
			return nil, err
		}
		named[one.Seq] = t
	}
	return e.Recall(lookback.Past(job.Folded{Job: j, Named: named}), evaluate.Evaluate)
}

// TestRecallAsSlowly: everything that a recall reports of several
// hundred drawn jobs is as when each is evaluated by itself and in full.
func TestRecallAsSlowly(t *testing.T) {
	r := newRig(t)
	checked := r.check("strict", r.at("strict", "block", "25.000"))
	r.guarded("0.150")
	guarded := r.lastJob
	plain := r.unit("25.430", "23.700", "0.120")
	const jobs = 800
	c := newCopier(r, jobs)
	c.unusual = true
	for n := range jobs {
		switch {
		case n%25 == 0:
			c.job(guarded, "strict", 1)
		case n%25 == 12:
			c.job(guarded, "strict", 5)
		default:
			c.job(plain, "dial", 1)
		}
	}
	c.flush()
	small, growing, large, standard := mm("0.008"), mm("0.010"), mm("0.030"), mm("0.001")
	for name, request := range map[string]recall.Request{
		"Monte Carlo":                         {Gauge: "strict", Error: &small},
		"Monte Carlo, the error is uncertain": {Gauge: "strict", Error: &small, Standard: &standard},
		"growing":                             {Gauge: "strict", Error: &growing, Standard: &standard, Model: recall.CourseGrowing, Since: checked.Time.Add(-time.Hour)},
		"nothing is known":                    {Gauge: "dial", Error: &large},
		"from place to place": {Gauge: "strict", Points: []recall.Point{
			{At: 0, Error: mm("0.014"), Own: 1e-6, Shared: 0.5e-6}, {At: mm("12"), Error: mm("0.009"), Own: 1e-6, Shared: 0.5e-6}, {At: mm("25"), Error: mm("0.002"), Own: 2e-6, Shared: 0.5e-6},
		}},
	} {
		e, err := request.Settle(r.Known(t.Context(), request.Gauge))
		if err != nil {
			t.Fatal(err)
		}
		list, err := r.RecallWith(t.Context(), e)
		if err != nil {
			t.Fatal(err)
		}
		got := list.Items
		if diff := cmp.Diff(r.slowRecall(e), got); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
		changes := map[recall.Change]int{}
		for _, item := range got {
			changes[item.Change]++
		}
		if len(got) < 30 || changes[recall.Flipped] < 3 || changes[recall.Kept] < 3 || request.Gauge == "strict" && changes[recall.Doubtful] < 3 {
			t.Errorf("%s: %d jobs, changes %v", name, len(got), changes)
		}
	}
}
