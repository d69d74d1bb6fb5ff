package job

import (
	"testing"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TestVerdictOfAJob: a job that ends without a proof and one closed unfinished are called
// so, and what has a verdict keeps it whatever its closing says.
func TestVerdictOfAJob(t *testing.T) {
	proof := &procedure.Procedure{Verify: []procedure.Step{{Name: "lash"}}}
	none := &procedure.Procedure{}
	closed := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	unfinished := gauge.Say("stands.unfinished", gauge.Text("reason", "scrapped"))
	for _, c := range []struct {
		p       *procedure.Procedure
		outcome evaluate.Outcome
		closed  time.Time
		reason  string
		want    gauge.Message
	}{
		{none, evaluate.VerifyFit, time.Time{}, "", gauge.Say("stands.unproven")},
		{none, evaluate.VerifyFit, closed, "", gauge.Say("stands.closed-unproven")},
		{proof, evaluate.VerifyFit, time.Time{}, "", gauge.Say("outcome.verify")},
		{proof, evaluate.VerifyFit, closed, "scrapped", unfinished},
		{proof, evaluate.Measuring, closed, "scrapped", unfinished},
		{proof, evaluate.DoesNotConform, closed, "scrapped", gauge.Say("outcome.does-not-conform")},
		{proof, evaluate.Conforms, closed, "", gauge.Say("outcome.conforms")},
	} {
		j := &Job{Procedure: c.p, Evaluation: evaluate.Evaluation{Outcome: c.outcome}, Closed: c.closed, CloseReason: c.reason}
		if got := j.Verdict(); !got.Equal(c.want) {
			t.Errorf("%s closed %v because %q: %v, want %v", c.outcome, c.closed, c.reason, got, c.want)
		}
	}
}
