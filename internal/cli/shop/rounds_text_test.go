package shop

import (
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
)

// TestRoundsText: what a procedure says of the rounds of a job is shown with it.
func TestRoundsText(t *testing.T) {
	for want, r := range map[string]*pb.Rounds{
		"": nil,
		"\nIf the proof does not conform, the job can continue with another round, at most 3 in all.\n  Its gap is the part that is in and the play that was measured.\n": {Most: 3},
		"\nIf the proof does not conform, the job can continue with another round, at most 4 in all.\n  lash = lash_after\n":                                              {Most: 4, Next: []*pb.Follows{{Measurement: "lash", Formula: "lash_after"}}},
	} {
		var out strings.Builder
		if renderRounds(&out, r); out.String() != want {
			t.Errorf("got %q, want %q", out.String(), want)
		}
	}
}
