package job

import (
	"testing"

	pb "gauged/api/gauged/v1"
	"gauged/internal/cli/clitest"
	"gauged/internal/cli/show"
)

// TestNextStepTyped: a gauge without a connection is neither pressed nor captured.
func TestNextStepTyped(t *testing.T) {
	j := clitest.MeasuringJob()
	j.TypedGaugeIds = []string{show.GaugeOf(j, j.GetMeasuring())}
	if got, want := nextStep(j), "measure depth with gauge depth-1 and type it in: gaugectl job enter 3 VALUE UNIT"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// TestNextStepNamesThePlace: with several places the command that records or chooses a
// part says which place it is for; with one place it has none to say.
func TestNextStepNamesThePlace(t *testing.T) {
	two := []*pb.Fit{{Place: "lower", Fitted: &pb.FittedPart{Part: "s1.00"}}, {Place: "upper"}}
	for _, c := range []struct {
		stage pb.JobStage
		fits  []*pb.Fit
		want  string
	}{
		{pb.JobStage_JOB_STAGE_FIT, two, "fit the part, measure its thickness, and record it: gaugectl job fit 3 [PART] --place upper --thickness VALUE"},
		{pb.JobStage_JOB_STAGE_FIT, two[1:], "fit the part, measure its thickness, and record it: gaugectl job fit 3 [PART] --thickness VALUE"},
		{pb.JobStage_JOB_STAGE_CHOOSE, two, "check the set-up and measure again, or choose a part yourself: gaugectl job choose 3 PART --place PLACE --reason WHY"},
	} {
		j := &pb.Job{Id: 3, Stage: c.stage, Evaluation: &pb.Evaluation{Fits: c.fits}}
		if got := nextStep(j); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}
