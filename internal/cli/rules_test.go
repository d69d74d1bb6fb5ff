package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// TestEveryProcedureEvaluates: each procedure of the rules and of the published
// examples gives an answer on the command line, as a table and as JSON.
func TestEveryProcedureEvaluates(t *testing.T) {
	dirs, err := filepath.Glob("../../testdata/trade/*/procedure.yaml")
	if err != nil || len(dirs) < 40 {
		t.Fatalf("%d procedures, %v", len(dirs), err)
	}
	for _, procedure := range dirs {
		dir := filepath.Dir(procedure)
		for _, output := range []string{"table", "json"} {
			code, stdout, stderr := call(t, "", "", "evaluate", procedure, filepath.Join(dir, "readings.csv"), "--budget", "--output", output)
			if code != app.ExitFine && code != app.ExitAnswerIsNo || stderr != "" || stdout == "" {
				t.Errorf("%s as %s: exit %d, %s", filepath.Base(dir), output, code, stderr)
			}
			if strings.Contains(stdout, "not evaluated") || strings.Contains(stdout, "%!") {
				t.Errorf("%s:\n%s", filepath.Base(dir), stdout)
			}
		}
	}
}

// TestEvaluateRenders holds what a technician reads: places, judged results,
// intervals, marks and a budget.
func TestEvaluateRenders(t *testing.T) {
	for _, name := range []string{"carrier-both-sides", "backlash-positions", "pump-feeler-interval", "CD-02", "PD-08", "PL-11"} {
		dir := filepath.Join("../../testdata/trade", name)
		_, stdout, _ := call(t, "", "", "evaluate", filepath.Join(dir, "procedure.yaml"), filepath.Join(dir, "readings.csv"))
		golden(t, "evaluate_"+name, stdout)
	}
	_, stdout, stderr := call(t, "", "", "evaluate", "testdata/guarded/procedure.yaml", "testdata/guarded/readings.csv", "--fitted", "1.55", "--budget")
	if stderr != "" {
		t.Error(stderr)
	}
	golden(t, "evaluate_budget", stdout)
}

func TestMotion(t *testing.T) {
	for name, args := range map[string]string{
		"motion_missed": "missed-stroke.csv", "motion_turn": "turned-10-per-second.csv --kind turn", "motion_stable": "rocked-10-per-second.csv --kind stable",
	} {
		words := strings.Fields(args)
		words[0] = filepath.Join("../../testdata/motion", words[0])
		code, stdout, stderr := call(t, "", "", append([]string{"motion"}, words...)...)
		if code != app.ExitFine {
			t.Errorf("%s: exit %d, %s", name, code, stderr)
		}
		golden(t, name, stdout)
	}
}

func TestMotionProblems(t *testing.T) {
	dir := t.TempDir()
	for content, want := range map[string]string{
		"time_ms,value,unit\n":                       ":1:1: there are no rows under the line of column names: write one for each line of the table",
		"time_ms,value,unit\n0,1.0,mm\nx,1.0,mm\n":   `:3:1: column time_ms: "x" is not a time in whole milliseconds`,
		"time_ms,value,unit\n0,1.0,mm\n50,1.0,in\n":  ":3:8: column unit: the unit is in here and mm before: one stream has one unit",
		"time_ms,value,unit\n0,1e3,mm\n":             `:2:3: column value: "1e3" is not a length: it is not a plain decimal number`,
		"time_ms,value,unit\n0,1.0,mm\n50,1.0,lbf\n": `:3:8: column unit: "lbf" is a unit of force: use mm, in or um`,
	} {
		file := filepath.Join(dir, "s.csv")
		if err := os.WriteFile(file, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
		code, _, stderr := call(t, "", "", "motion", file)
		if code != app.ExitFailure || stderr != "gaugectl: "+file+want+"\n" {
			t.Errorf("exit %d, %s; want %s", code, stderr, want)
		}
	}
}
