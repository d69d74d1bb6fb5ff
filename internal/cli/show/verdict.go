package show

import (
	"slices"

	pb "gauged/api/gauged/v1"
)

// JobVerdictText is how a job of a list stands: its outcome, that it ends without a proof,
// or why it was closed before it had a verdict.
func JobVerdictText(j *pb.Job) string {
	e := j.GetEvaluation()
	switch o := e.GetOutcome(); {
	case j.GetCloseReason() != "" && slices.Contains(undecided, o):
		return "unfinished: " + j.GetCloseReason()
	case o == pb.Outcome_OUTCOME_VERIFY && !slices.ContainsFunc(e.GetMeasurements(), (*pb.Measurement).GetAfterFitting):
		return "fitted, no proof"
	default:
		return OutcomeText(o)
	}
}

// undecided are the outcomes after which a job has no verdict yet.
var undecided = []pb.Outcome{
	pb.Outcome_OUTCOME_MEASURING, pb.Outcome_OUTCOME_MEASURE_AGAIN, pb.Outcome_OUTCOME_FIT_PART, pb.Outcome_OUTCOME_VERIFY, pb.Outcome_OUTCOME_NOTHING_FITS,
}
