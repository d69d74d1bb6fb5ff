package wire

import gaugedv1 "gauged/api/gauged/v1"

// Unfinished reports whether a job was closed before it had a verdict, as job.Job does.
func Unfinished(j *gaugedv1.Job) bool {
	if j.GetCloseReason() == "" {
		return false
	}
	switch j.GetEvaluation().GetOutcome() {
	case gaugedv1.Outcome_OUTCOME_UNSPECIFIED, gaugedv1.Outcome_OUTCOME_MEASURING, gaugedv1.Outcome_OUTCOME_MEASURE_AGAIN,
		gaugedv1.Outcome_OUTCOME_FIT_PART, gaugedv1.Outcome_OUTCOME_VERIFY, gaugedv1.Outcome_OUTCOME_NOTHING_FITS:
		return true
	}
	return false
}
