package job

import "gauged/internal/health"

// CheckDue reports whether the check that the plan of a gauge wants after the job
// is still due.
func (j *Job) CheckDue(id string, h *health.Gauge) bool {
	seqs := j.ReadingsOf(id)
	if len(seqs) == 0 || h.Plan == nil || !h.Plan.AfterEach || !j.Over() {
		return false
	}
	return h.Last == nil || h.Last.Seq < seqs[len(seqs)-1]
}

// ZeroWanted reports whether a zero return of a gauge can be recorded after the job.
func (j *Job) ZeroWanted(id string, h *health.Gauge) bool {
	return j.Over() && h.ZeroWithin() != nil && len(j.ReadingsOf(id)) > 0
}
