package server

import (
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestRoundsOverTheWire: a bad proof goes back into the sum, and the earlier round
// is part of the job.
func TestRoundsOverTheWire(t *testing.T) {
	r := newRig(t)
	ctx, id := t.Context(), r.start(nil).GetId()
	if _, err := r.jobs.BeginRound(ctx, &gaugedv1.BeginRoundRequest{JobId: id}); status.Code(err) != codes.FailedPrecondition {
		t.Error(err)
	}
	for _, shown := range []string{"25.00", "25.01", "23.305"} {
		r.enter(id, shown)
	}
	if _, err := r.jobs.ChoosePart(ctx, &gaugedv1.ChoosePartRequest{JobId: id}); err != nil {
		t.Fatal(err)
	}
	if _, err := r.jobs.RecordFittedPart(ctx, &gaugedv1.RecordFittedPartRequest{JobId: id, Thickness: "1.551", Unit: mm}); err != nil {
		t.Fatal(err)
	}
	if j := r.enter(id, "0.22"); j.GetNoNextRound() != nil || j.GetRound() != 1 {
		t.Fatalf("round %d, %q", j.GetRound(), j.GetNoNextRound())
	}
	answer, err := r.jobs.BeginRound(ctx, &gaugedv1.BeginRoundRequest{JobId: id, By: "N"})
	if err != nil {
		t.Fatal(err)
	}
	j := answer.GetJob()
	if j.GetRound() != 2 || j.GetEvaluation().GetFits()[0].GetGap().GetText() != "1.771" || j.GetNoNextRound() == nil {
		t.Errorf("round %d, gap %v, %q", j.GetRound(), j.GetEvaluation().GetFits()[0].GetGap(), j.GetNoNextRound())
	}
	earlier := j.GetEarlierRounds()
	if len(earlier) != 1 || earlier[0].GetFitted()[0].GetThickness().GetText() != "1.551" ||
		earlier[0].GetResults()[0].GetValue().GetText() != "0.220" || earlier[0].GetOutcome() != gaugedv1.Outcome_OUTCOME_DOES_NOT_CONFORM {
		t.Errorf("%v", earlier)
	}
}
