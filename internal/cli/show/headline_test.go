package show

import (
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
)

// TestHeadlineIsWhole: no headline of a verdict ends with a colon and nothing after it.
func TestHeadlineIsWhole(t *testing.T) {
	for _, o := range []pb.Outcome{pb.Outcome_OUTCOME_CONFORMS, pb.Outcome_OUTCOME_DOES_NOT_CONFORM, pb.Outcome_OUTCOME_UNDECIDED} {
		if got := answerText(&pb.Evaluation{Outcome: o}); !strings.HasSuffix(got, ".") {
			t.Errorf("%s: %q", o, got)
		}
	}
}
