package station

import "slices"

// Over reports whether nothing is left to be measured in the job.
func (j *Job) Over() bool { return j.over() }

// Measured lists the gauges of which readings count in the job, sorted.
func (j *Job) Measured() (ids []string) {
	for _, r := range j.taken {
		if r.Gauge != "" && r.Discarded == "" {
			ids = append(ids, r.Gauge)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// CheckDue reports whether the check that the plan of a gauge wants after the job
// is still due.
func (j *Job) CheckDue(id string, h *Health) bool {
	seqs := j.readingsOf(id)
	if len(seqs) == 0 || h.Plan == nil || !h.Plan.AfterEach || !j.over() {
		return false
	}
	return h.Last == nil || h.Last.Seq < seqs[len(seqs)-1]
}

// ZeroWanted reports whether a zero return of a gauge can be recorded after the job.
func (j *Job) ZeroWanted(id string, h *Health) bool {
	return j.over() && h.zeroWithin() != nil && len(j.readingsOf(id)) > 0
}
