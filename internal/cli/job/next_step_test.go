package job

import (
	"testing"

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
