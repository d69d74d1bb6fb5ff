package job

import (
	"testing"

	pb "gauged/api/gauged/v1"
	"gauged/internal/gauge"
	"gauged/internal/wire"
)

// TestForetold: a part that was settled on says what it would leave before it is
// fitted, also when it is not the recommended one.
func TestForetold(t *testing.T) {
	part := func(name string, play int64, text string, fits bool, p float64) *pb.Candidate {
		return &pb.Candidate{Grade: &pb.Grade{Part: name}, Play: wire.Quantity(gauge.Length(play), text, gauge.Millimetre), Fits: fits, Probability: &p}
	}
	e := &pb.Evaluation{Fits: []*pb.Fit{{ClosingDimension: pb.ClosingDimension_CLOSING_DIMENSION_PLAY, Candidates: []*pb.Candidate{part("W190", 540_000_000, "0.54", true, 0.7), part("W180", 640_000_000, "0.64", false, 0)}}}}
	for chosen, want := range map[string]string{
		"W190": " It gives play +0.54 mm. Probability inside: 70 %.",
		"W180": " It gives play +0.64 mm. Probability inside: 0 %. That is outside the limits.",
		"else": "",
	} {
		if got := foretoldText(&pb.Job{ChosenParts: []*pb.ChosenPart{{Part: chosen}}, Evaluation: e}); got != want {
			t.Errorf("%s: got %q, want %q", chosen, got, want)
		}
	}
}
