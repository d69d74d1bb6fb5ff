package job

import (
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
	"gauged/internal/cli/clitest"
)

// TestRunSaysWarnings: that a check of a gauge is due is said in the terminal too, once.
func TestRunSaysWarnings(t *testing.T) {
	var out strings.Builder
	j := clitest.MeasuringJob()
	j.Warnings = []*pb.Message{clitest.Tell("the check of depth-1 was due on 31 Jan 2026")}
	s := &session{out: &out, job: j, told: map[uint64]string{}, warned: map[string]bool{}}
	s.tell()
	s.tell()
	if n := strings.Count(out.String(), "! the check of depth-1 was due on 31 Jan 2026\n"); n != 1 {
		t.Errorf("said %d times:\n%s", n, out.String())
	}
}
