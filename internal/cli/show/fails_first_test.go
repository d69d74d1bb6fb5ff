package show

import (
	"testing"

	pb "gauged/api/gauged/v1"
)

// TestOnlyWhatFailsIsNamed: a unit that does not conform is told by the results that fail.
func TestOnlyWhatFailsIsNamed(t *testing.T) {
	e := &pb.Evaluation{Outcome: pb.Outcome_OUTCOME_DOES_NOT_CONFORM, Judgements: []*pb.Judgement{
		{Name: "spread", Mark: "even", Outcome: pb.Outcome_OUTCOME_CONFORMS},
		{Name: "goes", Mark: "out", Wanted: "in", Outcome: pb.Outcome_OUTCOME_DOES_NOT_CONFORM},
	}}
	if got, want := answerText(e), "Does not conform: goes out."; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
