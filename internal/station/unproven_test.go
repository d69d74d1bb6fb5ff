package station

import (
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// TestNothingToSignWithoutProof: a job whose procedure measures nothing after
// fitting is not told to discard a reading.
func TestNothingToSignWithoutProof(t *testing.T) {
	before, _, _ := strings.Cut(testProcedure, "verify:")
	r := rigWith(t, t.TempDir()+"/history.db", strings.Replace(before, "repeats: 2, agree: 0.03, ", "", 1))
	id := r.start(nil).ID
	r.enter(id, "25.430")
	r.enter(id, "23.700")
	if _, err := r.Choose(t.Context(), ChooseRequest{Job: id}); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Fit(t.Context(), FitRequest{Job: id}); err != nil {
		t.Fatal(err)
	}
	want := "refused: job 1 has no verdict yet: its procedure measures nothing after fitting, so that there is nothing to sign; close the job"
	if _, err := r.Verify(t.Context(), id, "ann"); err == nil || said(err) != want {
		t.Errorf("signed: %v, want %s", err, want)
	}
	want = "refused: the reading 0.1 mm of typed was not taken: job 1 measures nothing after fitting; close it"
	if _, _, err := r.Enter(t.Context(), EnterRequest{Job: id, Shown: "0.1", Unit: gauge.Millimetre}); err == nil || said(err) != want {
		t.Errorf("taken: %v, want %s", err, want)
	}
	if j, err := r.CloseJob(t.Context(), id, "", ""); err != nil || j.Stage != job.StageClosed {
		t.Errorf("closed: %v", err)
	}
}
