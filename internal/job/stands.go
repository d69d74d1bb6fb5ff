package job

import (
	"slices"

	"gauged/internal/evaluate/procedure"
)

// Over reports whether nothing is left to be measured.
func (j *Job) Over() bool {
	return !j.Closed.IsZero() || j.Stage == StageDecided || j.Stage == StageVerify && len(j.Procedure.Verify) == 0
}

// Unproven reports that all is done in a job whose procedure has no proof.
func (j *Job) Unproven() bool { return j.Stage == StageVerify && len(j.Procedure.Verify) == 0 }

// Missing says in words what a job waits for.
func (j *Job) Missing() string {
	switch {
	case j.Measuring != "":
		return "measure " + j.Measuring
	case j.Unproven():
		return "its procedure measures nothing after fitting, so that there is nothing to sign; close the job"
	case j.Stage == StageMeasure || j.Stage == StageVerify:
		return "discard a reading and measure again"
	case j.Stage == StageChoose:
		return "settle the part"
	default:
		return "fit the part and record it"
	}
}

// MayDiscard reports whether a reading may still be discarded: of one from before
// fitting, once a part is in, no other could be taken instead.
func (j *Job) MayDiscard(r procedure.Reading) bool {
	_, verify, _ := j.Procedure.Step(r.Measurement)
	return r.Discarded == "" && (verify || len(j.Fitted) == 0)
}

// ReadingsOf are the numbers of the readings of a gauge that count in the job.
func (j *Job) ReadingsOf(id string) (seqs []uint64) {
	for _, r := range j.Taken {
		if r.Gauge == id && r.Discarded == "" {
			seqs = append(seqs, r.Seq)
		}
	}
	return seqs
}

// Measured lists the gauges of which readings count in the job, sorted.
func (j *Job) Measured() (ids []string) {
	for _, r := range j.Taken {
		if r.Gauge != "" && r.Discarded == "" {
			ids = append(ids, r.Gauge)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}
