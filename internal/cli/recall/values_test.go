package recall

import (
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
)

// TestAJobWithoutAClosingDimension: nothing stands where there is no value, no limit and
// no unit.
func TestAJobWithoutAClosingDimension(t *testing.T) {
	i := &pb.RecallItem{JobId: 7, OutcomeBefore: pb.Outcome_OUTCOME_CONFORMS, OutcomeAfter: pb.Outcome_OUTCOME_UNDECIDED}
	if row := newRecallRow(i); row.Limits != "-" || row.Measured != "-" {
		t.Errorf("%+v", row)
	}
	if cells := recallRecords(i)[0]; cells[13] != "" {
		t.Errorf("the unit of nothing is %q", cells[13])
	}
}

// TestPreloadInATable: a preload is written without the sign of its play, its correction adds
// up with it, and its limits stand in their order.
func TestPreloadInATable(t *testing.T) {
	mm := func(text string) *pb.Quantity { return &pb.Quantity{Text: text, Unit: pb.Unit_UNIT_MILLIMETRE} }
	preload := pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD
	item := &pb.RecallItem{JobId: 1, ClosingDimension: preload, Measured: mm("-0.055"), Correction: mm("-0.010"), Corrected: mm("-0.065"), Allowed: &pb.Range{Min: mm("-0.080"), Max: mm("-0.020")}}
	row := recallRecords(item)[0]
	if got := strings.Join(row[8:13], " "); row[3] != "preload" || got != "0.055 0.010 0.065 0.020 0.080" {
		t.Errorf("%v", row)
	}
	for text, want := range map[string]string{"-0.010": "0.010", "0.010": "-0.010", "0.000": "0.000", "0": "0"} {
		if got := turned(text); got != want {
			t.Errorf("%s is %s", text, got)
		}
	}
}
