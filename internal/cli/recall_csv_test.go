package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// TestRecallListHasNoFormulas: a scanned serial number computes nothing in a spreadsheet,
// and the corrections, which are negative numbers, stay numbers.
func TestRecallListHasNoFormulas(t *testing.T) {
	dir := t.TempDir()
	jobs, list := filepath.Join(dir, "jobs.csv"), filepath.Join(dir, "list.csv")
	content, err := os.ReadFile(jobsFile)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(jobs, []byte(strings.ReplaceAll(string(content), "L2-0418", "=1+1")), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := call(t, "", "", "recall", "dial", "--file", jobs, "--error", "20um", "--csv", list); code != app.ExitAnswerIsNo || stderr != "" {
		t.Fatalf("exit %d, %s", code, stderr)
	}
	written, err := os.ReadFile(list)
	if err != nil || !strings.Contains(string(written), ",'=1+1,") || strings.Contains(string(written), ",=1+1,") || !strings.Contains(string(written), ",-0.02") {
		t.Errorf("%v\n%s", err, written)
	}
}
