package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/cli/app"
)

func importBench(t *testing.T) *studyBench {
	t.Helper()
	return newStudyBenchAt(t, func() time.Time { return time.Date(2025, 7, 1, 8, 0, 0, 0, time.UTC) })
}

// TestMasterImport: results of a laboratory come in with their own time, place,
// certificate and uncertainty; a dry run stores nothing, and twice is refused.
func TestMasterImport(t *testing.T) {
	b := importBench(t)
	args := strings.Fields("master import micrometer testdata/checks/laboratory.csv --unit mm --by quality")
	code, stdout, stderr := call(t, b.socket, "", append(args, "--dry-run")...)
	if code != app.ExitFine || stderr != "" {
		t.Fatalf("exit %d, %s", code, stderr)
	}
	golden(t, "master_import", stdout)
	if all, err := b.Checks(t.Context(), "micrometer"); err != nil || len(all) != 0 {
		t.Fatalf("a dry run stored %d checks, %v", len(all), err)
	}
	if code, stdout, stderr = call(t, b.socket, "", args...); code != app.ExitFine || !strings.HasSuffix(stdout, "\nmicrometer has 3 checks now and is in service.\n") {
		t.Fatalf("exit %d, %s\n%s", code, stderr, stdout)
	}
	all, err := b.Checks(t.Context(), "micrometer")
	if err != nil || len(all) != 3 || all[1].Past.Certificate != "K-42" || all[1].Past.Place != "Laboratory A" || all[2].By != "quality" ||
		!all[2].Time.Equal(time.Date(2025, 6, 2, 7, 30, 0, 0, time.UTC)) {
		t.Errorf("%+v, %v", all, err)
	}
	const again = `gaugectl: nothing was stored:
gaugectl: testdata/checks/laboratory.csv:3:1: column time: gauge micrometer has a check of 31 Mar 2024 `
	if code, stdout, stderr = call(t, b.socket, "", args...); code != app.ExitFailure || stdout != "" || !strings.HasPrefix(stderr, again) || strings.Count(stderr, "\n") != 4 {
		t.Errorf("twice: exit %d, %s\n%s", code, stdout, stderr)
	}
}

// TestMasterImportProblems: everything that is wrong is said in one pass, with its line,
// and nothing is stored.
func TestMasterImportProblems(t *testing.T) {
	b := importBench(t)
	file := filepath.Join(t.TempDir(), "wrong.csv")
	content := `time,master,value,error,uncertainty,k,certificate,way
2025-01-01,block-5,5,0.001,0.002,2,K-1,
2025-01-01,block-5,5,0.002,0.002,2,K-1,
2025-01-01,zero,0,0.001,0.002,2,K-2,
2025-01-02,block-5,5,O.001,0.002,,K-1,
today,block-5,5,0.001,0.002,2,K-1,
2025-01-04,block-5,5,0.001,0,2,K-1,
2026-01-05,,5,0.001,0.002,2,K-1,up
2026-01-06,zero,0,0.001,0.002,2,K-1,
2025-01-07,zero,0,0.001,0.002,2,K-1,
2025-01-07,block-5,5,0.001,-0.002,2,K-1,
2025-01-07,lab-25,25,2475,0.002,2,K-1,
`
	if err := os.WriteFile(file, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr := call(t, b.socket, "", "master", "import", "micrometer", file, "--unit", "mm", "--by", "q")
	if code != app.ExitFailure || stdout != "" {
		t.Fatalf("exit %d, %s", code, stdout)
	}
	golden(t, "master_import_problems", strings.ReplaceAll(stderr, file, "wrong.csv"))
	if all, err := b.Checks(t.Context(), "micrometer"); err != nil || len(all) != 0 {
		t.Errorf("%d checks were stored, %v", len(all), err)
	}
}
