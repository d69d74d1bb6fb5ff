package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

const (
	trade = "../../testdata/trade/"
	demo  = "../../deploy/demo/"
)

// TestEvaluate runs files without a daemon. The published answers themselves
// are tested in package evaluate.
func TestEvaluate(t *testing.T) {
	dir := t.TempDir()
	readings := filepath.Join(dir, "r.csv")
	content := "measurement,value,unit,discarded\ncase_depth,46.415,mm,\ncase_depth,46.702,mm,slipped\ncase_depth,46.412,mm,\ncase_depth,46.418,mm,\n" +
		"boss_height,45.030,mm,\nboss_height,45.036,mm,\npushed,0.012,mm,\npulled,0.190,mm,\n"
	if err := os.WriteFile(readings, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
	ring := demo + "procedures/output-shaft-ring.yaml"
	cases := []struct {
		name string
		args []string
		code int
		text string // in the output, or the whole of the error
	}{
		{"common practice", []string{trade + "common-practice/procedure.yaml", trade + "common-practice/readings.csv"}, app.ExitFine, "Fit ring 71, 0.0710 in thick. It gives play +0.0070 in.\n"},
		{"run-out conforms", []string{trade + "RO-01/procedure.yaml", trade + "RO-01/readings.csv"}, app.ExitFine, "Conforms: 0.0050 in measured.\n"},
		{"does not conform", []string{trade + "BL-03/procedure.yaml", trade + "BL-03/readings.csv"}, app.ExitAnswerIsNo, "Does not conform: spread 0.0040 in.\n"},
		{"pack", []string{trade + "PK-04/procedure.yaml", trade + "PK-04/readings.csv"}, app.ExitFine, "Fit a pack of 3 pieces: 0.18 + 0.40 + 0.18, total thickness 0.760 mm.\n"},
		{"pack not reachable", []string{trade + "PK-05/procedure.yaml", trade + "PK-05/readings.csv"}, app.ExitAnswerIsNo, "The next thinner is 0.40 of 0.400 mm. The next thicker is 0.12 + 0.30 of 0.420 mm."},
		{"family in ../parts, fitted", []string{ring, readings, "--fitted", "LR2-150=1.498"}, app.ExitFine, "Conforms: play +0.178 mm measured.\n"},
		{"thickness with a unit", []string{ring, readings, "--fitted", "LR2-150=0.059in"}, app.ExitFine, "measured 1.4986 mm thick"},
		{"no part recorded", []string{ring, readings}, app.ExitFine, "It is not recorded which part was fitted"},
		{"no family", []string{trade + "GK-05/procedure.yaml", trade + "GK-05/readings.csv", "--parts", trade + "CL-03/parts.yaml"}, app.ExitFailure, "gaugectl: ../../testdata/trade/CL-03/parts.yaml is the part family \"gasket-pack\"; procedure GK-05 chooses from \"rear-cover-shim\"\n"},
		{"needless family", []string{trade + "EP-08/procedure.yaml", trade + "EP-08/readings.csv", "--parts", "x"}, app.ExitUsage, "gaugectl: --parts x: procedure EP-08 chooses from no part family (see gaugectl evaluate --help)\n"},
		{"bad thickness", []string{ring, readings, "--fitted", "LR2-150=1,5"}, app.ExitUsage, "gaugectl: --fitted LR2-150=1,5: \"1,5\" is not a length: the decimal sign must be a point, not a comma (see gaugectl evaluate --help)\n"},
		{"problem in the procedure", []string{trade + "EP-08/readings.csv", readings}, app.ExitFailure, "../../testdata/trade/EP-08/readings.csv:"},
		{"missing argument", []string{ring}, app.ExitUsage, "gaugectl: 1 argument given: write gaugectl evaluate PROCEDURE.yaml READINGS.csv [flags] (see gaugectl evaluate --help)\n"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			code, stdout, stderr := call(t, "/nowhere", "", append([]string{"evaluate"}, c.args...)...)
			text := stdout
			if code == app.ExitFailure || code == app.ExitUsage {
				text = stderr
			}
			if code != c.code || !strings.Contains(text, c.text) {
				t.Errorf("exit %d, want %d; stdout\n%s\nstderr\n%s\nwant\n%s", code, c.code, stdout, stderr, c.text)
			}
		})
	}
}

func TestEvaluateAsJSON(t *testing.T) {
	code, stdout, stderr := call(t, "/nowhere", "", "evaluate", trade+"common-practice/procedure.yaml", trade+"common-practice/readings.csv", "-o", "json")
	var e struct {
		Outcome string
		Fits    []struct {
			Gap    struct{ Picometres, Text, Unit string }
			Window struct{ Min, Max struct{ Text string } }
			Choice struct{ Grade struct{ Part string } }
		}
	}
	if err := json.Unmarshal([]byte(stdout), &e); code != app.ExitFine || err != nil || len(e.Fits) != 1 {
		t.Fatalf("exit %d, %v\n%s%s", code, err, stdout, stderr)
	}
	f := e.Fits[0]
	// common practice, no source
	if e.Outcome != "OUTCOME_FIT_PART" || f.Gap.Picometres != "1981200000" || f.Gap.Text != "0.0780" || f.Gap.Unit != "UNIT_INCH" ||
		f.Window.Min.Text != "0.0680" || f.Window.Max.Text != "0.0740" || f.Choice.Grade.Part != "ring 71" {
		t.Errorf("got %+v", e)
	}
}

// TestEvaluateTellsOfExamples: a procedure whose example does not come out is
// still tried, and it is said.
func TestEvaluateTellsOfExamples(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"procedure.yaml", "parts.yaml"} {
		content, err := os.ReadFile(trade + "common-practice/" + name)
		if err != nil {
			t.Fatal(err)
		}
		content = []byte(strings.Replace(string(content), "part: ring 71, play", "part: ring 74, play", 1))
		if err := os.WriteFile(filepath.Join(dir, name), content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	code, stdout, stderr := call(t, "/nowhere", "", "evaluate", filepath.Join(dir, "procedure.yaml"), trade+"common-practice/readings.csv")
	if code != app.ExitFine || !strings.HasPrefix(stdout, "Fit ring 71") || !strings.Contains(stderr, "the example: part: got ring 71, wanted ring 74") {
		t.Errorf("exit %d\n%s%s", code, stdout, stderr)
	}
	if code, _, stderr = call(t, "/nowhere", "", "check", dir); code != app.ExitAnswerIsNo || !strings.Contains(stderr, "got ring 71, wanted ring 74") {
		t.Errorf("check: exit %d, %s", code, stderr)
	}
}

func TestCheck(t *testing.T) {
	code, stdout, stderr := call(t, "/nowhere", "", "check", demo+"station.yaml", demo+"scenario.yaml", demo+"procedures", demo+"parts")
	if code != app.ExitFine || strings.Count(stdout, "fine") != 6 || strings.Count(stdout, "fine, its example comes out\n") != 2 {
		t.Errorf("exit %d\n%s%s", code, stdout, stderr)
	}
	bad := filepath.Join(t.TempDir(), "bad.yaml")
	if err := os.WriteFile(bad, []byte("family: f\ntitle: t\nunit: mm\ngrades: []\nstok: 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr = call(t, "/nowhere", "", "check", "-o", "json", demo+"scenario.yaml", bad)
	want := "gaugectl: BAD:4:9: the family has no grades\ngaugectl: BAD:5:1: \"stok\" is not a key here; the keys are border, by_marks, chart, family, grades, holes, row_step, second_column, series, source, steps, title, unit\n"
	if code != app.ExitAnswerIsNo || stdout != "[\n  {\n    \"path\": \"../../deploy/demo/scenario.yaml\",\n    \"kind\": \"scenario\",\n    \"id\": \"\"\n  }\n]\n" || strings.ReplaceAll(stderr, bad, "BAD") != want {
		t.Errorf("exit %d\n%s%s", code, stdout, stderr)
	}
}
