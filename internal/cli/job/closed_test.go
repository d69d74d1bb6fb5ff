package job

import (
	"strings"
	"testing"
	"unicode/utf8"

	pb "gauged/api/gauged/v1"
)

// TestLongTextsInAList: a long serial number or label makes no list as wide as itself.
func TestLongTextsInAList(t *testing.T) {
	long := strings.Repeat("ü", 500)
	var out strings.Builder
	renderJobs(&out, []*pb.Job{{Id: 1, UnitSerial: long, By: long, Labels: map[string]string{"note": long}}, {Id: 2, UnitSerial: "U-2"}})
	for line := range strings.Lines(out.String()) {
		if n := utf8.RuneCountInString(line); n > 250 {
			t.Errorf("%d characters: %s", n, line)
		}
	}
	if !strings.Contains(out.String(), strings.Repeat("ü", 39)+"…") {
		t.Errorf("not cut with …: %s", out.String())
	}
}

// TestClosedHow: only what was closed without a verdict was closed unfinished.
func TestClosedHow(t *testing.T) {
	for outcome, want := range map[pb.Outcome]string{
		pb.Outcome_OUTCOME_CONFORMS: "reason", pb.Outcome_OUTCOME_CALCULATED: "reason", pb.Outcome_OUTCOME_DOES_NOT_CONFORM: "reason",
		pb.Outcome_OUTCOME_MEASURING: "closed unfinished", pb.Outcome_OUTCOME_NOTHING_FITS: "closed unfinished", pb.Outcome_OUTCOME_FIT_PART: "closed unfinished",
	} {
		if got := closedHow(&pb.Job{CloseReason: "order cancelled", Verified: true, Evaluation: &pb.Evaluation{Outcome: outcome}}); got != want {
			t.Errorf("%v: %q, want %q", outcome, got, want)
		}
	}
}
