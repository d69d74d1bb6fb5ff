package station

import (
	"errors"
	"strings"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/job"
)

// TestASignatureIsOfOneVerdict: what is signed is the verdict of the readings that
// counted then. Another reading, or one that no longer counts, wants it signed anew.
func TestASignatureIsOfOneVerdict(t *testing.T) {
	r := newRig(t)
	id := r.conform("dial").ID
	signed := func() {
		t.Helper()
		if j, err := r.Verify(t.Context(), id, "ann"); err != nil || !j.Verified {
			t.Fatal(err)
		}
	}
	signed()
	j, err := r.Discard(t.Context(), id, 0, "not seated", "ann")
	if err != nil || j.Verified {
		t.Fatalf("a discarded proof is signed, %v", err)
	}
	if j = r.enter(id, "0.250"); j.Verified || j.Evaluation.Outcome != evaluate.DoesNotConform {
		t.Errorf("%s is signed by the signature of another verdict", j.Evaluation.Outcome)
	}
	signed()
	if j, err := job.Load(t.Context(), r.o.Store, id, job.NewFiles(r.o.Store), nil); err != nil || !j.Verified {
		t.Errorf("the history forgets a signature: %v", err)
	}
}

// TestBeforeFittingStands: once a part is in, no reading from before can be taken
// anew, so none may be discarded: the job would wait for it for ever.
func TestBeforeFittingStands(t *testing.T) {
	r := newRig(t)
	id := r.conform("dial").ID
	first := r.job(id).Taken[0].Seq
	_, err := r.Discard(t.Context(), id, first, "burr", "ann")
	if !errors.Is(err, gauge.ErrRefused) || !strings.Contains(said(err), "was measured before fitting, and a part has been fitted by it: prove the result; if it is not right, begin a round, or close the job") {
		t.Errorf("got %v", err)
	}
	if _, err := r.Discard(t.Context(), id, 0, "not seated", "ann"); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Discard(t.Context(), id, 0, "and one more", "ann"); !errors.Is(err, gauge.ErrRefused) {
		t.Errorf("the last reading before fitting was discarded: %v", err)
	}
	if j := r.job(id); j.Stage != job.StageVerify || j.Measuring != "end_play" {
		t.Errorf("%s, measuring %q", j.Stage, j.Measuring)
	}
}
