package history

import (
	"testing"

	pb "gauged/api/gauged/v1"
)

// TestWhatWasPutRight: labels and gauges that are others are told with what was before, and why.
func TestWhatWasPutRight(t *testing.T) {
	for want, f := range map[string]*pb.JobFact{
		"customer Miller; no seal, before 7; order A-2, before A-1: misread": {Step: &pb.JobFact_Labelled{Labelled: &pb.JobLabelled{
			Labels: map[string]string{"order": "A-2", "customer": "Miller", "bay": "3"}, Before: map[string]string{"order": "A-1", "bay": "3", "seal": "7"}, Reason: "misread",
		}}},
		"order A-1": {Step: &pb.JobFact_Labelled{Labelled: &pb.JobLabelled{Labels: map[string]string{"order": "A-1"}}}},
		"depth typed in, before dial; play clock, before typed in: dropped": {Step: &pb.JobFact_GaugesChanged{GaugesChanged: &pb.GaugesChanged{
			GaugeIds: map[string]string{"depth": "", "play": "clock"}, GaugeIdsBefore: map[string]string{"depth": "dial"}, Reason: "dropped",
		}}},
		"unit U-1, order A-1, procedure file ab12": {Step: &pb.JobFact_Started{Started: &pb.JobStarted{UnitSerial: "U-1", ProcedureHash: "ab12", Labels: map[string]string{"order": "A-1"}}}},
	} {
		if _, got := stepText(f); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
