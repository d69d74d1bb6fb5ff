package show

import (
	"testing"

	pb "gauged/api/gauged/v1"
)

// TestWhatIsFittedIsNamed: the part of each place, and whether anything is left to measure.
func TestWhatIsFittedIsNamed(t *testing.T) {
	e := &pb.Evaluation{Fits: []*pb.Fit{
		{Place: "left", Fitted: &pb.FittedPart{Place: "left", Part: "CS-265"}},
		{Place: "right", Fitted: &pb.FittedPart{Place: "right", Part: "CS-260"}},
	}}
	if got, want := verifyText(e), "Fitted: left: CS-265, thickness not known; right: CS-260, thickness not known. Nothing is measured after fitting."; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	e.Measurements = []*pb.Measurement{{Name: "lash", AfterFitting: true}}
	if got, want := verifyText(e), "Measure the result. Fitted: left: CS-265, thickness not known; right: CS-260, thickness not known."; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
