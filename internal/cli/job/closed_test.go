package job

import (
	"testing"

	pb "gauged/api/gauged/v1"
)

// TestClosedHow: only what was closed without a verdict was closed unfinished.
func TestClosedHow(t *testing.T) {
	for outcome, want := range map[pb.Outcome]string{
		pb.Outcome_OUTCOME_CONFORMS: "reason", pb.Outcome_OUTCOME_CALCULATED: "reason", pb.Outcome_OUTCOME_DOES_NOT_CONFORM: "reason",
		pb.Outcome_OUTCOME_MEASURING: "closed unfinished", pb.Outcome_OUTCOME_NOTHING_FITS: "closed unfinished", pb.Outcome_OUTCOME_FIT_PART: "closed unfinished",
	} {
		if got := closedHow(&pb.Job{CloseReason: "order cancelled", Verified: true, Evaluation: &pb.Evaluation{Outcome: outcome}}); got != want {
			t.Errorf("%v: %q, want %q", outcome, got, want)
		}
	}
}
