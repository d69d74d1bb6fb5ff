package recall

import (
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
	if cells := recallRecords(i)[0]; cells[12] != "" {
		t.Errorf("the unit of nothing is %q", cells[12])
	}
}
