package message

import (
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
)

// TestJobCountsWhatWasTold: the warnings that a stored step told are the first of them.
func TestJobCountsWhatWasTold(t *testing.T) {
	told := []gauge.Message{gauge.Plain("due")}
	got := Job(&job.Job{Procedure: &procedure.Procedure{Unit: gauge.Millimetre}, Evaluation: evaluate.Evaluation{}, Told: told, Warnings: append(told, gauge.Plain("suspect"))})
	if got.GetToldWarningCount() != 1 || len(got.GetWarnings()) != 2 {
		t.Errorf("%d of %d warnings are told, want 1 of 2", got.GetToldWarningCount(), len(got.GetWarnings()))
	}
}
