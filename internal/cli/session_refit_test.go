package cli

import (
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
	"gauged/internal/cli/clitest"
)

// TestRunOffersNoFailedPart: after a bad proof f does not offer the part that has just
// failed, neither as what to fit nor at Enter, and says why none is recommended.
func TestRunOffersNoFailedPart(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.VerdictJob("0.310"))
	serve(t, f, socket)
	_, stdout, _ := call(t, socket, "\nf\n\nf\nq\n", "job", "run", "--job", "3")
	for _, want := range []string{"its proof failed, and the calculation gives the same part again.", "Which part was fitted instead? The number on the part; R-194 if it was removed and fitted again; Enter = none."} {
		if !strings.Contains(stdout, want) {
			t.Errorf("no %q in %s", want, stdout)
		}
	}
	if strings.Contains(stdout, "Fit R-194") || strings.Contains(strings.Join(f.calls, " "), "fit") {
		t.Errorf("the part that failed is offered: %v\n%s", f.calls, stdout)
	}
}

// TestRunOffersWhatIsRecommendedNow: after a bad proof of another part f offers the
// recommended one.
func TestRunOffersWhatIsRecommendedNow(t *testing.T) {
	socket := socketPath(t)
	job := clitest.VerdictJob("0.310")
	job.GetChosenParts()[0].Part, job.GetEvaluation().GetFits()[0].GetFitted().Part = "R-180", "R-180"
	f := newStation(job)
	f.shown = []string{"0.140"}
	serve(t, f, socket)
	_, stdout, _ := call(t, socket, "\nf\n\n1.940 mm\nq\n", "job", "run", "--job", "3")
	if !strings.Contains(stdout, "R-180 is fitted. Now recommended: R-194, marked D, 1.940 mm thick.\nWhich part was fitted instead? Enter = R-194") {
		t.Error(stdout)
	}
}

// TestRunCallsNoUndecidedProofFailed: a proof within its uncertainty of a limit is undecided.
func TestRunCallsNoUndecidedProofFailed(t *testing.T) {
	socket := socketPath(t)
	job := clitest.VerdictJob("0.310")
	job.GetEvaluation().Outcome = pb.Outcome_OUTCOME_UNDECIDED
	serve(t, newStation(job), socket)
	_, stdout, _ := call(t, socket, "\nf\n\nf\nq\n", "job", "run", "--job", "3")
	if !strings.Contains(stdout, "its proof is undecided, and the calculation gives the same part again.") || strings.Contains(stdout, "proof failed") {
		t.Error(stdout)
	}
}
