package station

import "gauged/internal/job"

// CheckDue reports whether the check that the plan of a gauge wants after the job
// is still due.
func (h *Health) CheckDue(id string, j *job.Job) bool {
	seqs := j.ReadingsOf(id)
	if len(seqs) == 0 || h.Plan == nil || !h.Plan.AfterEach || !j.Over() {
		return false
	}
	return h.Last == nil || h.Last.Seq < seqs[len(seqs)-1]
}

// ZeroWanted reports whether a zero return of a gauge can be recorded after the job.
func (h *Health) ZeroWanted(id string, j *job.Job) bool {
	return j.Over() && h.zeroWithin() != nil && len(j.ReadingsOf(id)) > 0
}
