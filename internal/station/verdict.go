package station

import (
	"bytes"

	"gauged/internal/evaluate"
)

// speaks reports whether the job's evaluation is a verdict that before, which
// may be nil, did not give: something other than that readings are missing.
func (j *Job) speaks(before *Job) bool {
	if j.Evaluation.Outcome == evaluate.Measuring {
		return false
	}
	return before == nil || !bytes.Equal(j.evaluated, before.evaluated)
}
