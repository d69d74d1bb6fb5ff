package station

import (
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
)

// aside sets a job aside for an ordered ring.
func (r *rig) aside(id uint64) *job.Job {
	r.t.Helper()
	j, err := r.SetAside(r.t.Context(), id, "ring ordered", "second hand", "tech")
	if err != nil {
		r.t.Fatal(err)
	}
	return j
}

func (r *rig) takeUp(id uint64, by string) *job.Job {
	r.t.Helper()
	j, err := r.TakeUp(r.t.Context(), ResumeRequest{Job: id, By: by})
	if err != nil {
		r.t.Fatal(err)
	}
	return j
}

// TestAsideAtEveryMoment: a job waits in each of its moments, takes nothing meanwhile and
// goes on where it was, also over a restart while it waits.
func TestAsideAtEveryMoment(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	r.start(map[string]string{"*": "dial"})
	ctx := t.Context()
	steps := []struct {
		stage job.Stage
		do    func()
	}{
		{job.StageMeasure, func() { r.press("dial", "25.210", gauge.Millimetre) }},
		{job.StageMeasure, func() { r.press("dial", "25.212", gauge.Millimetre); r.press("dial", "23.510", gauge.Millimetre) }},
		{job.StageChoose, func() { must(t, ignore(r.Choose(ctx, ChooseRequest{Job: 1}))) }},
		{job.StageFit, func() { must(t, ignore(r.Fit(ctx, FitRequest{Job: 1}))) }},
		{job.StageVerify, func() { r.press("dial", "0.151", gauge.Millimetre) }},
		{job.StageDecided, func() { must(t, ignore(r.Verify(ctx, 1, "second hand"))) }},
		{job.StageDecided, func() {}},
	}
	for i, step := range steps {
		before := r.job(1)
		if before.Stage != step.stage {
			t.Fatalf("step %d: stage %s, want %s", i, before.Stage, step.stage)
		}
		waits := r.aside(1)
		if waits.Stage != job.StageAside || waits.Measuring != "" || waits.Aside.Reason != "ring ordered" || waits.Aside.For != "second hand" || waits.Uses("dial") {
			t.Errorf("step %d: %+v holds the dial: %v", i, waits.Aside, waits.Uses("dial"))
		}
		r.press("dial", "25.111", gauge.Millimetre)
		refused := map[string]error{
			"enter":   second(r.Enter(ctx, EnterRequest{Job: 1, Shown: "25.2", Unit: gauge.Millimetre})),
			"capture": second(r.Capture(ctx, CaptureRequest{Job: 1})),
			"discard": ignore(r.Discard(ctx, 1, 0, "wrong", "")),
			"choose":  ignore(r.Choose(ctx, ChooseRequest{Job: 1})),
			"fit":     ignore(r.Fit(ctx, FitRequest{Job: 1})),
			"sign":    ignore(r.Verify(ctx, 1, "")),
			"round":   ignore(r.NextRound(ctx, 1, "")),
			"aside":   ignore(r.SetAside(ctx, 1, "again", "", "")),
			"close":   ignore(r.CloseJob(ctx, 1, "", "")),
		}
		for what, err := range refused {
			if !errors.Is(err, gauge.ErrRefused) && what != "close" || what == "close" && !errors.Is(err, gauge.ErrInput) {
				t.Errorf("step %d: %s while it waits: %v", i, what, err)
			}
		}
		r.stop()
		must(t, r.store.Close())
		r = rigAt(t, path)
		if again := r.job(1); again.Stage != job.StageAside || again.LastSeq != waits.LastSeq || *again.Aside != *waits.Aside {
			t.Errorf("step %d: after a restart %+v", i, again.Aside)
		}
		after := r.takeUp(1, "second hand")
		if after.Stage != before.Stage || after.Measuring != before.Measuring || string(after.Evaluated) != string(before.Evaluated) || after.Verified != before.Verified || !after.Uses("dial") || after.Technician != "second hand" {
			t.Errorf("step %d: it goes on at %s %q, and was at %s %q", i, after.Stage, after.Measuring, before.Stage, before.Measuring)
		}
		step.do()
	}
	if _, err := r.CloseJob(ctx, 1, "", ""); err != nil {
		t.Fatal(err)
	}
	replayed, err := r.ReplayVerdicts(ctx, 0)
	if err != nil || replayed.Verdicts == 0 || len(replayed.Differences) > 0 {
		t.Errorf("%+v, %v", replayed, err)
	}
	course, err := r.Course(ctx, 1)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(course, func(s job.CourseStep) bool { return s.Kind == job.KindAside })
	if i < 0 || course[i].Reason != "ring ordered" || course[i].For != "second hand" || course[i].By != "tech" || course[i+1].Kind != job.KindResumed || course[i+1].By != "second hand" {
		t.Errorf("%+v", course)
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func ignore(_ *job.Job, err error) error { return err }

func second(_ *job.Job, _ gauge.Fact, err error) error { return err }

// TestAsideFreesItsGauges: a button gauge is free for another unit while a job waits, and
// who takes the job up is told where it is bound.
func TestAsideFreesItsGauges(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	r.start(map[string]string{"*": "dial"})
	r.press("dial", "25.210", gauge.Millimetre)
	r.aside(1)
	r.start(map[string]string{"*": "dial"})
	r.press("dial", "25.300", gauge.Millimetre)
	if n := len(r.job(1).Taken); n != 1 || len(r.job(2).Taken) != 1 {
		t.Fatalf("%d readings in the job that waits, %d in the other", n, len(r.job(2).Taken))
	}
	_, err := r.TakeUp(ctx, ResumeRequest{Job: 1, By: "tech"})
	if want := "refused: job 1 cannot have gauge dial again: the button of gauge dial feeds job 2 (unit U-7), which is still open; close it or set it aside first"; said(err) != want {
		t.Errorf("%v", said(err))
	}
	if r.job(1).Stage != job.StageAside {
		t.Error("it was taken up all the same")
	}
	r.aside(2)
	r.takeUp(1, "tech")
	if _, err := r.TakeUp(ctx, ResumeRequest{Job: 1, By: "tech"}); said(err) != "refused: job 1 is not set aside" {
		t.Errorf("%v", said(err))
	}
}

// TestTakenUpWithOtherGauges: a measurement without readings may have another gauge, what
// is measured through lets its gauge go, and what was known of the old one counts no more.
func TestTakenUpWithOtherGauges(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	r.start(map[string]string{"depth": "dial", "height": "dial", "end_play": "clock"})
	for _, shown := range []string{"25.210", "25.212", "23.510"} {
		r.press("dial", shown, gauge.Millimetre)
	}
	r.aside(1)
	r.start(map[string]string{"depth": "dial", "height": "dial", "end_play": "clock"})
	if _, err := r.TakeUp(t.Context(), ResumeRequest{Job: 1, By: "x"}); err == nil || !strings.Contains(said(err), "gauge clock") {
		t.Fatalf("%v", said(err))
	}
	j, err := r.TakeUp(t.Context(), ResumeRequest{Job: 1, By: "x", Gauges: map[string]string{"end_play": "sweep"}})
	if err != nil {
		t.Fatal(err)
	}
	if j.Gauges["end_play"] != "sweep" || j.Gauges["depth"] != "dial" || j.Uses("dial") || j.Uses("clock") || !j.Uses("sweep") || j.Abilities["end_play"].Error == nil {
		t.Errorf("%v, holds dial %v", j.Gauges, j.Uses("dial"))
	}
	r.press("dial", "25.215", gauge.Millimetre)
	if n := len(r.job(1).Taken); n != 3 || len(r.job(2).Taken) != 1 {
		t.Errorf("a press of the gauge that it let go: %d and %d readings", n, len(r.job(2).Taken))
	}
	r.stop()
	must(t, r.store.Close())
	r = rigAt(t, path)
	if again := r.job(1); again.Gauges["end_play"] != "sweep" || again.Uses("dial") || string(again.Evaluated) != string(j.Evaluated) {
		t.Errorf("after a restart %v", again.Gauges)
	}
}

// TestTakenUpAfterABadCheck: a gauge that failed meanwhile is not bound again, and what it
// measured before is in doubt when the job goes on without it.
func TestTakenUpAfterABadCheck(t *testing.T) {
	r := newRig(t)
	r.start(map[string]string{"*": "dial"})
	r.press("dial", "25.210", gauge.Millimetre)
	r.aside(1)
	if _, err := r.SetStanding(t.Context(), "dial", health.Suspect, "dropped", "lead"); err != nil {
		t.Fatal(err)
	}
	_, err := r.TakeUp(t.Context(), ResumeRequest{Job: 1, By: "tech"})
	if err == nil || !strings.Contains(said(err), "job 1 cannot have gauge dial again: gauge dial is suspect") {
		t.Fatalf("%v", said(err))
	}
	if j := r.job(1); !slices.ContainsFunc(j.Warnings, func(m gauge.Message) bool { return m.Code == "warning.out" }) {
		t.Errorf("%v", j.Warnings)
	}
	// With another gauge it is measured again: what the first showed stays, and does not count.
	j, err := r.TakeUp(t.Context(), ResumeRequest{Job: 1, By: "tech", Gauges: map[string]string{"depth": "probe", "height": "probe", "end_play": "probe"}})
	if err != nil {
		t.Fatal(said(err))
	}
	if first := j.Taken[0]; len(j.Taken) != 1 || first.Discarded != "ring ordered" || first.Gauge != "dial" || j.Measuring != "depth" || j.Gauges["depth"] != "probe" || j.Uses("dial") {
		t.Errorf("%+v of %v, measuring %q", j.Taken, j.Gauges, j.Measuring)
	}
}

// TestAnotherGaugeAfterFitting: what led to a part that is in is not measured again.
func TestAnotherGaugeAfterFitting(t *testing.T) {
	r := newRig(t)
	r.start(map[string]string{"*": "dial"})
	for _, shown := range []string{"25.210", "25.212", "23.510"} {
		r.press("dial", shown, gauge.Millimetre)
	}
	if _, err := r.Fit(t.Context(), FitRequest{Job: 1}); err != nil {
		t.Fatal(said(err))
	}
	r.aside(1)
	_, err := r.TakeUp(t.Context(), ResumeRequest{Job: 1, By: "tech", Gauges: map[string]string{"depth": "probe"}})
	if err == nil || gauge.Told(err).Code != "refusal.reading.fitted-by" || r.job(1).Stage != job.StageAside {
		t.Errorf("%v, %s", said(err), r.job(1).Stage)
	}
}

// TestTakenUpAfterTheFilesChanged: the job keeps the versions of its start, and says so.
func TestTakenUpAfterTheFilesChanged(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	r.start(nil)
	r.aside(1)
	r.stop()
	must(t, r.store.Close())
	r = rigWith(t, path, strings.Replace(testProcedure, "max: 0.20", "max: 0.22", 1))
	j := r.takeUp(1, "tech")
	if len(j.Warnings) != 1 || j.Warnings[0].Code != "warning.aside.procedure" {
		t.Errorf("%+v", j.Warnings)
	}
	r.aside(1)
	if j = r.takeUp(1, "tech"); len(j.Warnings) != 1 {
		t.Errorf("it is said twice: %+v", j.Warnings)
	}
}

// TestPressesWhileAside: a foot switch acts on the job on the bench, not on the one that waits.
func TestPressesWhileAside(t *testing.T) {
	r := newRig(t)
	r.start(map[string]string{"*": "probe"})
	r.aside(1)
	if err := r.Press(t.Context(), Press{From: "pedal", Means: gauge.MeansNext}); err == nil || !strings.Contains(said(err), "but no job") {
		t.Errorf("%v", said(err))
	}
}

// TestWhatSettingAsideNeeds: a reason, and who takes it up.
func TestWhatSettingAsideNeeds(t *testing.T) {
	r := newRig(t)
	r.start(nil)
	if _, err := r.SetAside(t.Context(), 1, " ", "", ""); !errors.Is(err, gauge.ErrInput) {
		t.Error(err)
	}
	r.aside(1)
	if _, err := r.TakeUp(t.Context(), ResumeRequest{Job: 1}); !errors.Is(err, gauge.ErrInput) {
		t.Error(err)
	}
	if jobs, err := r.Jobs(t.Context(), gauge.JobQuery{Aside: true, Limit: 9}); err != nil || len(jobs) != 1 || r.Aside() != 1 {
		t.Errorf("%v, %v", jobs, err)
	}
	if j, err := r.CloseJob(t.Context(), 1, "scrapped", ""); err != nil || j.Stage != job.StageClosed {
		t.Errorf("%v, %v", j, err)
	}
	if jobs, err := r.Jobs(t.Context(), gauge.JobQuery{Aside: true, Limit: 9}); err != nil || len(jobs) != 0 || r.Aside() != 0 {
		t.Errorf("%v, %v", jobs, err)
	}
}
