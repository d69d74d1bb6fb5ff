package recall

import (
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/uncertainty"
)

// TestChangesOfOutcomes: outcomes change as verdicts do.
func TestChangesOfOutcomes(t *testing.T) {
	verdicts := map[evaluate.Outcome]uncertainty.Verdict{
		evaluate.Conforms: uncertainty.Conforms, evaluate.DoesNotConform: uncertainty.DoesNotConform, evaluate.Undecided: uncertainty.Undecided,
	}
	for before, b := range verdicts {
		for after, a := range verdicts {
			want := Result{Before: b, After: a}.Change()
			if got := changed(&evaluate.Evaluation{Outcome: before}, &evaluate.Evaluation{Outcome: after}); got != want {
				t.Errorf("%s -> %s: %d, want %d", before, after, got, want)
			}
		}
	}
	for _, c := range []struct {
		before, after evaluate.Outcome
		want          Change
	}{
		{evaluate.Conforms, evaluate.FitPart, Flipped}, // it was left as it was found
		{evaluate.Conforms, evaluate.MeasureAgain, Doubtful},
		{evaluate.FitPart, evaluate.NothingFits, Doubtful},
		{evaluate.VerifyFit, evaluate.DoesNotConform, Flipped},
		{evaluate.Measuring, evaluate.Measuring, Kept},
	} {
		if got := changed(&evaluate.Evaluation{Outcome: c.before}, &evaluate.Evaluation{Outcome: c.after}); got != c.want {
			t.Errorf("%s -> %s: %d, want %d", c.before, c.after, got, c.want)
		}
	}
}
