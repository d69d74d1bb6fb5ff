package station

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/job"
)

// toTheProof fits a ring into a gap of 1.650 mm and measures the play.
func (r *rig) toTheProof(id uint64, play string) *job.Job {
	r.t.Helper()
	for _, shown := range []string{"25.00", "25.00", "23.35"} {
		r.enter(id, shown)
	}
	return r.proved(id, "1.50", play)
}

// proved fits the recommended part, measured, and proves it.
func (r *rig) proved(id uint64, thickness, play string) *job.Job {
	r.t.Helper()
	if _, err := r.Choose(r.t.Context(), ChooseRequest{Job: id}); err != nil {
		r.t.Fatal(err)
	}
	if _, err := r.Fit(r.t.Context(), FitRequest{Job: id, Thickness: thickness, Unit: gauge.Millimetre}); err != nil {
		r.t.Fatal(err)
	}
	return r.enter(id, play)
}

func (r *rig) sum(j *job.Job, name string) string {
	r.t.Helper()
	for _, s := range j.Evaluation.Sums {
		if s.Name == name {
			return s.Expression + " = " + s.Worked
		}
	}
	r.t.Fatalf("there is no sum %s in %+v", name, j.Evaluation.Sums)
	return ""
}

// TestABadProofGoesBackIntoTheSum: the ring that is in and the play that was
// measured are the gap of the next round, which proves itself; the first round
// stays, also over a restart, and every verdict replays.
func TestABadProofGoesBackIntoTheSum(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	ctx, id := t.Context(), r.start(nil).ID
	if _, err := r.NextRound(ctx, id, "tech"); err == nil || !strings.Contains(said(err), "job 1 has no proof to go on from: measure depth") {
		t.Error(err)
	}
	if j := r.toTheProof(id, "0.25"); j.Evaluation.Outcome != evaluate.DoesNotConform {
		t.Fatal(j.Evaluation.Outcome)
	}
	j, err := r.NextRound(ctx, id, "tech")
	if err != nil {
		t.Fatal(err)
	}
	if got := r.sum(j, "gap"); got != "fitted_1 + end_play_1 = 1.500 + 0.250" {
		t.Errorf("gap = %s", got)
	}
	if j.Stage != job.StageChoose || j.Evaluation.Recommended() != "R160" || j.Round() != 2 || len(j.Evaluation.Measurements) != 3 {
		t.Fatalf("%s, %s, round %d, %+v", j.Stage, j.Evaluation.Recommended(), j.Round(), j.Evaluation.Measurements)
	}
	if _, err := r.Discard(ctx, id, 2, "late", ""); err == nil {
		t.Error("a reading that is in no sum of this round was discarded")
	}
	if j = r.proved(id, "1.60", "0.15"); j.Evaluation.Outcome != evaluate.Conforms {
		t.Fatal(j.Evaluation.Outcome)
	}
	if v := j.Evaluation.Verification; v.Predicted == nil || *v.Difference != 0 {
		t.Errorf("%+v", v)
	}
	done := j.Rounds
	if len(done) != 1 || done[0].Outcome != evaluate.DoesNotConform || done[0].Fitted[0].Part != "R150" ||
		len(done[0].Results) != 1 || done[0].Results[0].Value != gauge.MustLength("0.25", gauge.Millimetre) {
		t.Errorf("%+v", done)
	}
	if _, err := r.NextRound(ctx, id, "tech"); err == nil || !strings.Contains(said(err), "the outcome of job 1 is \"Conforms\"; there is nothing to go on from") {
		t.Error(err)
	}
	steps, err := r.Course(ctx, id)
	if err != nil {
		t.Fatal(err)
	}
	var struck []string
	for _, s := range steps {
		if s.Reading != nil && s.Reading.Replaced {
			struck = append(struck, s.Reading.Shown)
		}
	}
	if !slices.Equal(struck, []string{"25.00", "25.00", "23.35"}) {
		t.Errorf("struck are %v", struck)
	}
	before := string(j.Evaluated)
	r.stop()
	r.store.Close()
	again := rigAt(t, path)
	j = again.job(id)
	if after := string(j.Evaluated); after != before || len(j.Rounds) != 1 || j.Rounds[0].Ended != done[0].Ended {
		t.Errorf("the job reads back as\n%s\nit was\n%s\n%+v", after, before, j.Rounds)
	}
	if replay, err := again.ReplayVerdicts(ctx, 0); err != nil || replay.Verdicts < 4 || len(replay.Differences) > 0 {
		t.Errorf("%+v, %v", replay, err)
	}
}

// TestNoRoundFollowsFromNought: parts that are tight by an unknown amount say
// nothing of the next part.
func TestNoRoundFollowsFromNought(t *testing.T) {
	r := newRig(t)
	id := r.start(nil).ID
	r.toTheProof(id, "0.00")
	_, err := r.NextRound(t.Context(), id, "")
	if err == nil || !strings.Contains(said(err), "end_play_1: 0.000 mm is no play that can be felt. The parts are tight by an unknown amount, so no next round follows from it. Fit a thinner part") {
		t.Error(err)
	}
	if j := r.job(id); j.Round() != 1 || j.Stage != job.StageDecided {
		t.Errorf("round %d, %s", j.Round(), j.Stage)
	}
}

// TestRoundsEnd: after the last round somebody looks for what is wrong.
func TestRoundsEnd(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), testProcedure+"rounds: {most: 2}\n")
	id := r.start(nil).ID
	r.toTheProof(id, "0.25")
	if _, err := r.NextRound(t.Context(), id, ""); err != nil {
		t.Fatal(err)
	}
	r.proved(id, "1.60", "0.24")
	if _, err := r.NextRound(t.Context(), id, ""); err == nil || !strings.Contains(said(err), "round 2 was the last of job 1: look for what is wrong") {
		t.Error(err)
	}
}

// TestACarriedReadingIsMeasuredAgain: what was carried may be discarded and
// measured anew instead.
func TestACarriedReadingIsMeasuredAgain(t *testing.T) {
	r := newRig(t)
	id := r.start(nil).ID
	r.toTheProof(id, "0.25")
	if _, err := r.NextRound(t.Context(), id, ""); err != nil {
		t.Fatal(err)
	}
	j, err := r.Discard(t.Context(), id, 0, "pushed too hard", "")
	if err != nil || j.Stage != job.StageMeasure || j.Measuring != "end_play_1" {
		t.Fatalf("%+v, %v", j, err)
	}
	if j = r.enter(id, "0.22"); j.Stage != job.StageChoose || r.sum(j, "gap") != "fitted_1 + end_play_1 = 1.500 + 0.220" {
		t.Errorf("%s: %s", j.Stage, r.sum(j, "gap"))
	}
}
