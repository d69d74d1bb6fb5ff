package page

import (
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/job"
	"gauged/internal/page/place"
)

// TestTakenUpAtASpotOfItsOwn: the key that takes a job up never stands where the next one
// comes that the same finger would touch again.
func TestTakenUpAtASpotOfItsOwn(t *testing.T) {
	open := place.View{Fit: &evaluate.Fit{}}
	open.Chosen = "R160"
	for name, j := range map[string]jobPage{
		"cautions": {Job: &job.Job{}},
		"fitting":  {Job: &job.Job{Acknowledged: "M"}, Places: []place.View{open}},
		"a second": {Job: &job.Job{Acknowledged: "M"}, Places: []place.View{open, open}},
	} {
		waits := j
		waits.Job = &job.Job{Procedure: &procedure.Procedure{}, Acknowledged: j.Acknowledged, Aside: &job.Aside{Reason: "r"}, Stage: job.StageAside}
		j.Job = waits.Working()
		resume, next := waits.Act(), j.Act()
		if resume.Name != "resume" || next.Name == "" || resume.Left == next.Left {
			t.Errorf("%s: %+v, and after it %+v", name, resume, next)
		}
	}
}
