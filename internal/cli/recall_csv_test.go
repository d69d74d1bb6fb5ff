package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// TestARecallThatLeavesAVerdictUndecidedIsABadAnswer: a verdict that no longer stands is
// one, though it does not turn into its opposite.
func TestARecallThatLeavesAVerdictUndecidedIsABadAnswer(t *testing.T) {
	jobs := filepath.Join(t.TempDir(), "jobs.csv")
	const content = "job,unit_serial,started,measured,lower,upper,unit,standard_uncertainty\n1,U,2026-03-02,0.105,0.100,0.200,mm,0.003\n"
	if err := os.WriteFile(jobs, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
	for off, want := range map[string]int{"0um": app.ExitFine, "3um": app.ExitAnswerIsNo} {
		code, stdout, stderr := call(t, "", "", "recall", "--file", jobs, "--error", off)
		if code != want || !strings.Contains(stdout, "0 verdicts change") {
			t.Errorf("%s: exit %d\n%s%s", off, code, stdout, stderr)
		}
	}
}

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
