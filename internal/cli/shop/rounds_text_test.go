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
		"\nIf the proof does not conform\nThe job can continue with another round, at most 3 in all. The fitted parts and the measured result go back into the calculation:\n  thickness of the fitted part + measured play\n": {Most: 3},
		"\nIf the proof does not conform\nThe job can continue with another round, at most 4 in all. The fitted parts and the measured result go back into the calculation:\n  lash = lash_after\n":                            {Most: 4, Next: []*pb.Follows{{Measurement: "lash", Formula: "lash_after"}}},
	} {
		var out strings.Builder
		if renderRounds(&out, r); out.String() != want {
			t.Errorf("got %q, want %q", out.String(), want)
		}
	}
}
