package station

import (
	"errors"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// TestCloseOfABadUnit: a unit that does not conform is closed with a signature and a
// reason, never with one of them.
func TestCloseOfABadUnit(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{"depth": "dial", "end_play": "dial"}).ID
	if j := r.toTheProof(id, "0.250"); j.Evaluation.Outcome != evaluate.DoesNotConform {
		t.Fatalf("%s: %s", j.Stage, j.Evaluation.Outcome)
	}
	if _, err := r.CloseJob(t.Context(), id, " ", ""); !errors.Is(err, gauge.ErrInput) || said(err) != "wrong input: the verdict of job 1 is: Does not conform. Give a reason to close it" {
		t.Errorf("without a reason: %v", said(err))
	}
	if _, err := r.CloseJob(t.Context(), id, "scrap", ""); !errors.Is(err, gauge.ErrRefused) {
		t.Errorf("unsigned: %v", err)
	}
	if _, err := r.Verify(t.Context(), id, ""); err != nil {
		t.Fatal(err)
	}
	if _, err := r.CloseJob(t.Context(), id, "scrap", ""); err != nil {
		t.Error(err)
	}
}
