package job

import (
	"strings"
	"testing"

	"gauged/internal/cli/clitest"

	pb "gauged/api/gauged/v1"
)

// TestRoundsAreTold: after a bad proof the next step is the next round, or why there
// is none; earlier rounds stand in the head of the job, and a part that was measured
// when it was fitted is no reading that is told again.
func TestRoundsAreTold(t *testing.T) {
	j := clitest.VerifyJob()
	j.Stage, j.Round, j.Evaluation.Outcome = pb.JobStage_JOB_STAGE_DECIDED, 2, pb.Outcome_OUTCOME_DOES_NOT_CONFORM
	j.EarlierRounds = []*pb.Round{{
		Number: 1, Outcome: pb.Outcome_OUTCOME_UNDECIDED, Fitted: []*pb.FittedPart{{Part: "R-190", Thickness: clitest.MM("1.900"), Measured: true}},
		Results: []*pb.Judgement{{Name: "play", Value: clitest.MM("0.250")}},
	}}
	var out strings.Builder
	renderJob(&out, j)
	for _, want := range []string{"gaugectl job round 3", "round 1", "R-190, measured 1.900 mm thick; play 0.250 mm; Undecided", "round 2"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
	var told strings.Builder
	s := &session{out: &told, told: map[uint64]string{}, job: j}
	if text := s.askVerdict(); !strings.Contains(text, "n = next round") {
		t.Error(text)
	}
	j.NoNextRound = clitest.Tell("round 2 was the last of job 3")
	if text := s.askVerdict() + nextStep(j); strings.Contains(text, "n = next round") || strings.Count(text, "round 2 was the last of job 3") != 2 {
		t.Error(text)
	}
	s.tellMeasurement(&pb.Measurement{Name: "fitted_1", Readings: []*pb.TakenReading{{Value: clitest.MM("1.900")}}})
	if strings.Contains(told.String(), "#0") {
		t.Error(told.String())
	}
}
