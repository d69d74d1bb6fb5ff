package station

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/recall"
	"gauged/internal/job"
)

// conform brings a job that measures its depth with a button gauge to a verdict.
func (r *rig) conform(gaugeID string) *job.Job {
	r.t.Helper()
	j := r.start(map[string]string{"depth": gaugeID})
	r.press(gaugeID, "25.40", gauge.Millimetre)
	r.press(gaugeID, "25.41", gauge.Millimetre)
	r.enter(j.ID, "23.70")
	if _, err := r.Choose(r.t.Context(), ChooseRequest{Job: j.ID}); err != nil {
		r.t.Fatal(err)
	}
	if _, err := r.Fit(r.t.Context(), FitRequest{Job: j.ID}); err != nil {
		r.t.Fatal(err)
	}
	if j = r.enter(j.ID, "0.155"); j.Evaluation.Outcome != evaluate.Conforms {
		r.t.Fatalf("the job %s", j.Evaluation.Outcome)
	}
	return j
}

func (r *rig) finish(id uint64) *job.Job {
	r.t.Helper()
	j, err := r.CloseJob(r.t.Context(), id, "", "")
	if err != nil {
		r.t.Fatal(err)
	}
	return j
}

func wantWarnings(t *testing.T, when string, j *job.Job, want ...string) {
	t.Helper()
	if got := warningsOf(j); !slices.Equal(got, want) {
		t.Errorf("%s, the job warns\n got %q\nwant %q", when, got, want)
	}
}

func (r *rig) startWith(gaugeID string) error {
	_, err := r.StartJob(r.t.Context(), StartRequest{Procedure: "ring", UnitSerial: "1", Technician: "t", Gauges: map[string]string{"depth": gaugeID}})
	return err
}

func wantError(t *testing.T, when string, err error, want string) {
	t.Helper()
	if err == nil || said(err) != want {
		t.Errorf("%s\n got %v\nwant %s", when, err, want)
	}
}

// TestCheckBeforeEachJob: a check since the last reading of the last job that used
// the gauge, also after a restart.
func TestCheckBeforeEachJob(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	wantError(t, "never checked", r.startWith("each"), "refused: gauge each was never checked against a master: check it first")
	r.check("each", r.at("each", "zero", "0.000"))
	j := r.conform("each")
	r.finish(j.ID)
	wantError(t, "used since", r.startWith("each"), "refused: gauge each was not checked since job 1 used it: check it first")
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	wantError(t, "after a restart", r.startWith("each"), "refused: gauge each was not checked since job 1 used it: check it first")
	r.check("each", r.at("each", "zero", "0.001"))
	if err := r.startWith("each"); err != nil {
		t.Errorf("checked again: %v", err)
	}
}

// TestCheckInTheMidstOfAJob: readings that came after it were not checked, and a
// restart does not forget it.
func TestCheckInTheMidstOfAJob(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	r.check("each", r.at("each", "zero", "0.000"))
	j := r.start(map[string]string{"depth": "each"})
	r.press("each", "25.40", gauge.Millimetre)
	r.check("each", r.at("each", "zero", "0.000"))
	r.press("each", "25.41", gauge.Millimetre)
	if _, err := r.CloseJob(t.Context(), j.ID, "wrong unit", ""); err != nil {
		t.Fatal(err)
	}
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	wantError(t, "after a reading", r.startWith("each"), "refused: gauge each was not checked since job 1 used it: check it first")
}

// TestCheckNoOlderThan: where the plan does not block, the job says it.
func TestCheckNoOlderThan(t *testing.T) {
	r := newRig(t)
	r.check("fresh", r.at("fresh", "zero", "0.000"))
	r.pass(7 * time.Hour)
	j := r.start(map[string]string{"depth": "fresh"})
	wantWarnings(t, "7 h after a check", j)
	if _, err := r.CloseJob(t.Context(), j.ID, "wrong unit", ""); err != nil {
		t.Fatal(err)
	}
	r.pass(2 * time.Hour)
	wantWarnings(t, "9 h after a check", r.start(map[string]string{"depth": "fresh"}),
		"the last check of gauge fresh was on 1 Mar 2026 08:00:00 +00:00; a job wants one of the last 8 h")
}

// TestCheckAfterEachJob: the job says that it is due, in its closing too, and how it
// ended; the next job is told as well.
func TestCheckAfterEachJob(t *testing.T) {
	r := newRig(t)
	const due = "the check of gauge clock after the job is still due"
	j := r.conform("clock")
	wantWarnings(t, "with a verdict", j, due)
	r.check("clock", r.at("clock", "block", "25.000"))
	wantWarnings(t, "checked", r.job(j.ID))
	wantWarnings(t, "closed", r.finish(j.ID))

	j = r.conform("clock")
	wantWarnings(t, "closed without a check", r.finish(j.ID), due)
	if data := r.lastFact(j.ID); !strings.Contains(data, `"warning.after.due"`) {
		t.Errorf("the closing does not say it: %s", data)
	}
	next := r.start(map[string]string{"depth": "clock"})
	wantWarnings(t, "the next job", next, "the check of gauge clock after job 2 is still due")
	r.check("clock", r.at("clock", "block", "25.001"))
	wantWarnings(t, "checked later", r.job(j.ID), due, "the check of gauge clock after the job was made on 1 Mar 2026, and the gauge passed")
}

func (r *rig) lastFact(id uint64) string {
	r.t.Helper()
	facts, err := r.store.JobFacts(r.t.Context(), id)
	if err != nil {
		r.t.Fatal(err)
	}
	return string(facts[len(facts)-1].Job.Data)
}

// TestFailedCheckAfterAProof: a gauge that only chose the part is found wrong. The proof
// stands, and a recall with any error keeps the verdict and says so; a gauge that also
// measured the proof puts the verdict in doubt.
func TestFailedCheckAfterAProof(t *testing.T) {
	r := newRig(t)
	chose := r.finish(r.conform("fresh").ID)
	j := r.start(map[string]string{"depth": "fresh", "end_play": "fresh"})
	r.press("fresh", "25.40", gauge.Millimetre)
	r.press("fresh", "25.41", gauge.Millimetre)
	r.enter(j.ID, "23.70")
	if _, err := r.Fit(t.Context(), FitRequest{Job: j.ID, Part: "R155"}); err != nil {
		t.Fatal(err)
	}
	r.press("fresh", "0.155", gauge.Millimetre)
	r.finish(j.ID)
	r.check("fresh", r.at("fresh", "block", "25.090"))
	if w := warningsOf(r.job(chose.ID)); !slices.ContainsFunc(w, func(s string) bool {
		return strings.HasPrefix(s, "the part was chosen with a gauge that is in doubt, and the proof")
	}) {
		t.Errorf("only chose: %q", w)
	}
	if w := warningsOf(r.job(j.ID)); !slices.ContainsFunc(w, func(s string) bool {
		return strings.HasPrefix(s, "whether the verdict changes, the recall of the gauge says: ")
	}) {
		t.Errorf("measured the proof: %q", w)
	}
	for _, item := range r.recall(recall.Request{Gauge: "fresh"}).Items {
		if only := item.Job == chose.ID; item.ChoseOnly != only || only && (item.Change != recall.Kept || item.After != evaluate.Conforms) {
			t.Errorf("%+v", item)
		}
	}
}

// TestFailedCheckAfterAJob: the verdict stays as it is, also after
// a restart; a job before the last check that passed is not in doubt.
func TestFailedCheckAfterAJob(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	early := r.finish(r.conform("fresh").ID)
	r.check("fresh", r.at("fresh", "block", "25.001"))
	late := r.conform("fresh")
	verdict := late.Evaluation.Outcome
	r.finish(late.ID)
	seqs := r.job(late.ID).ReadingsOf("fresh")
	if _, err := r.RecordCheck(t.Context(), CheckRequest{
		Gauge: "fresh", By: "quality", Found: []CheckPoint{r.at("fresh", "block", "25.009")}, Left: []CheckPoint{r.at("fresh", "block", "25.000")},
	}); err != nil {
		t.Fatal(err)
	}
	doubt := "the part was chosen with a gauge that is in doubt, and the proof, which was measured without it, stands: gauge fresh failed its check of 1 Mar 2026, with an error of 9.0 um where 4.0 um is permissible, and " +
		readingsText(seqs) + " came from it before"
	look := func(when string) {
		t.Helper()
		wantWarnings(t, when+": before the good check", r.job(early.ID), "gauge fresh was never checked against a master")
		j := r.job(late.ID)
		wantWarnings(t, when+": after it", j, doubt)
		if j.Evaluation.Outcome != verdict {
			t.Errorf("%s: the verdict is %s", when, j.Evaluation.Outcome)
		}
	}
	look("found wrong and adjusted")
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	look("after a restart")
	if replay, err := r.ReplayVerdicts(t.Context(), 0); err != nil || len(replay.Differences) > 0 {
		t.Errorf("%+v, %v", replay, err)
	}
}

// TestStandingInTheMidstOfAJob: no more readings are taken of a gauge that may not be
// used, and the job names those that came from it.
func TestStandingInTheMidstOfAJob(t *testing.T) {
	for _, standing := range []health.Standing{health.Suspect, health.Away, health.Retired} {
		t.Run(string(standing), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "history.db")
			r := rigAt(t, path)
			j := r.start(map[string]string{"depth": "probe"})
			r.Report(Report{State: &gauge.StateChange{Gauge: "probe", Time: r.o.Now(), State: gauge.StateLive}})
			r.press("probe", "25.40", gauge.Millimetre)
			if _, _, err := r.Capture(t.Context(), CaptureRequest{Job: j.ID}); err != nil {
				t.Fatal(err)
			}
			seqs := r.job(j.ID).ReadingsOf("probe")
			if _, err := r.SetStanding(t.Context(), "probe", standing, "fell down", "quality"); err != nil {
				t.Fatal(err)
			}
			want := "gauge probe is " + string(standing) + ": fell down; no more of its readings are taken, and " + readingsText(seqs) + " came from it"
			wantWarnings(t, "at once", r.job(j.ID), want)
			r.press("probe", "25.41", gauge.Millimetre)
			_, _, err := r.Capture(t.Context(), CaptureRequest{Job: j.ID})
			wantError(t, "the next reading", err, "refused: gauge probe is "+string(standing)+": fell down: take another gauge")
			r.stop()
			if err := r.store.Close(); err != nil {
				t.Fatal(err)
			}
			r = rigAt(t, path)
			wantWarnings(t, "after a restart", r.job(j.ID), want)
			if _, err := r.CloseJob(t.Context(), j.ID, "gauge fell down", ""); err != nil {
				t.Fatal(err)
			}
			if _, err := r.SetStanding(t.Context(), "probe", health.InService, "looked at", "quality"); err != nil {
				t.Fatal(err)
			}
			wantWarnings(t, "closed, and the gauge is back", r.job(j.ID), want)
		})
	}
}

// TestButtonOfASuspectGauge: the press is stored, not taken, and the job says why.
func TestButtonOfASuspectGauge(t *testing.T) {
	r := newRig(t)
	j := r.start(map[string]string{"depth": "clock"})
	r.check("clock", r.at("clock", "block", "25.009"))
	r.press("clock", "25.40", gauge.Millimetre)
	j = r.job(j.ID)
	if want := "gauge clock is suspect: its check of 1 Mar 2026 failed: take another gauge"; told(j.Notice) != want {
		t.Errorf("notice %q, want %q", told(j.Notice), want)
	}
	if _, err := r.SetStanding(t.Context(), "clock", health.InService, "looked at", "quality"); err != nil {
		t.Fatal(err)
	}
	if j = r.job(j.ID); !j.Notice.IsZero() {
		t.Errorf("the gauge is back in service, and the job still says %q", told(j.Notice))
	}
}

// TestOverdueInTheMidstOfAJob: readings go on being taken, and the job says it.
func TestOverdueInTheMidstOfAJob(t *testing.T) {
	r := newRig(t)
	r.check("strict", r.at("strict", "block", "25.000"))
	j := r.start(map[string]string{"depth": "strict"})
	wantWarnings(t, "in time", j)
	r.pass(25 * time.Hour)
	r.Report(Report{State: &gauge.StateChange{Gauge: "strict", Time: r.o.Now(), State: gauge.StateLive}})
	r.press("strict", "25.40", gauge.Millimetre)
	j, _, err := r.Capture(t.Context(), CaptureRequest{Job: j.ID})
	if err != nil {
		t.Fatal(err)
	}
	wantWarnings(t, "overdue", j, "the check of gauge strict was due on 2 Mar 2026")
}
