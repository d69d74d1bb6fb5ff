package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// published are studies of published data, by the name of their golden file.
var published = map[string]string{
	"study_crossed":    "crossed --file grr_10x3x3.csv --tolerance 8 --unit mm",
	"study_nested":     "nested --file grr_10x3x3.csv",
	"study_levels":     "nested --file gauge_study_mpc61.csv --part wafer --gauge probe --value mean --deviation sd_6 --repeats 6 --only probe=2362",
	"study_gauges":     "nested --file gauge_study_mpc61.csv --part wafer --gauge probe --value mean --deviation sd_6 --repeats 6 --use-repeats 2 --use-days 3",
	"study_one_way":    "one-way --file gear_diameter.csv --group batch --value diameter --stated 0.1",
	"study_bias":       "bias --file bias_15.csv --reference 6.0 --tolerance 3 --unit mm",
	"study_paired":     "bias --file config_ab_mpc633k.csv --value a_run1 --reference b_run1",
	"study_linearity":  "linearity --file linewidth_calibration.csv --value y_reading --reference x_reference --tolerance 1",
	"study_stability":  "stability --file individuals_flowrate.csv --value x --reference 50",
	"study_capability": "capability --file bias_15.csv --reference 6.0 --tolerance 3 --unit mm",
}

// onData runs a study of a file of the published data.
func onData(t *testing.T, line string, more ...string) (code int, stdout, stderr string) {
	t.Helper()
	words := strings.Fields(line)
	words[2] = filepath.Join("../../testdata/statistics", words[2])
	return call(t, "", "", append(append([]string{"study"}, words...), more...)...)
}

// TestStudiesRender holds what a quality lead reads, and that every study is
// JSON without a hole, too.
func TestStudiesRender(t *testing.T) {
	for name, line := range published {
		t.Run(name, func(t *testing.T) {
			code, stdout, stderr := onData(t, line)
			if code != app.ExitFine || stderr != "" {
				t.Fatalf("exit %d: %s", code, stderr)
			}
			if strings.Contains(stdout, "%!") || strings.Contains(stdout, "NaN") || strings.Contains(stdout, "Inf") {
				t.Errorf("%s", stdout)
			}
			golden(t, name, stdout)
			code, stdout, stderr = onData(t, line, "--output", "json")
			var any map[string]any
			if err := json.Unmarshal([]byte(stdout), &any); code != app.ExitFine || stderr != "" || err != nil || len(any) < 2 {
				t.Errorf("as JSON: exit %d, %s, %v", code, stderr, err)
			}
		})
	}
}

func TestStudyJSON(t *testing.T) {
	_, stdout, _ := onData(t, published["study_bias"], "--output", "json")
	golden(t, "study_bias_json", stdout)
}

// TestStudyUnequal: a study with a hole in it, as a table.
func TestStudyUnequal(t *testing.T) {
	content, err := os.ReadFile("../../testdata/statistics/grr_10x3x3.csv")
	if err != nil {
		t.Fatal(err)
	}
	var kept strings.Builder
	for i, line := range strings.Split(strings.TrimSpace(string(content)), "\n") {
		if i < 40 || i >= 45 { // one cell and half of another
			kept.WriteString(line + "\n")
		}
	}
	file := filepath.Join(t.TempDir(), "hole.csv")
	if err := os.WriteFile(file, []byte(kept.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr := call(t, "", "", "study", "crossed", "--file", file)
	if code != app.ExitFine || stderr != "" {
		t.Fatalf("exit %d: %s", code, stderr)
	}
	golden(t, "study_unequal", stdout)
}

func TestStudyHelp(t *testing.T) {
	for name, line := range map[string]string{"study_help": "study --help", "study_nested_help": "study nested --help"} {
		code, stdout, stderr := call(t, "", "", strings.Fields(line)...)
		if code != app.ExitFine || stderr != "" {
			t.Fatalf("exit %d: %s", code, stderr)
		}
		golden(t, name, stdout)
	}
}

func TestStudyProblems(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "r.csv")
	if err := os.WriteFile(file, []byte("part,appraiser,value,unit\n1,A,1.0,mm\n1,B,x,mm\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for line, want := range map[string]string{
		"study":                                                    "gaugectl: say what to do: bias, capability, crossed, linearity, nested, one-way, record, show, stability (see gaugectl study --help)\n",
		"study crossed --file FILE":                                "gaugectl: FILE:3:5: column value: \"x\" is not a number: write digits with a point as the decimal sign, without a unit\n",
		"study crossed --file FILE --part size":                    "gaugectl: FILE:1:1: there is no column \"size\": the columns are part, appraiser, value, unit\n",
		"study crossed --file FILE --only appraiser":               "gaugectl: --only appraiser: write COLUMN=VALUE (see gaugectl study crossed --help)\n",
		"study crossed --file FILE --only appraiser=C":             "gaugectl: FILE: no row has \"C\" in the column appraiser: look at the file, or leave the condition out\n",
		"study crossed --file FILE --only appraiser=A --unit in":   "gaugectl: --unit in: the unit in the file is mm; nothing is converted (see gaugectl study crossed --help)\n",
		"study crossed --file FILE --only appraiser=A":             "gaugectl: FILE: there is one part only, \"1\": the variation of the gauge cannot be compared with that of parts; measure 2 parts at least, better 10\n",
		"study crossed --file FILE --confidence 95 --only part=1":  "gaugectl: FILE:3:5: column value: \"x\" is not a number: write digits with a point as the decimal sign, without a unit\n",
		"study nested --file FILE --use-days=-1":                   "gaugectl: --use-repeats 0 and --use-days -1: a result is the mean of 1 at least (see gaugectl study nested --help)\n",
		"study capability --file FILE --reference 1 --only part=1": "gaugectl: FILE:3:5: column value: \"x\" is not a number: write digits with a point as the decimal sign, without a unit\n",
	} {
		_, stdout, stderr := call(t, "", "", strings.Fields(strings.ReplaceAll(line, "FILE", file))...)
		if stderr != strings.ReplaceAll(want, "FILE", file) || stdout != "" {
			t.Errorf("%s: %s\nwant %s", line, stderr, want)
		}
	}
}

// TestToleranceHasItsUnit: a width is read in its own unit, which says nothing of values
// that have none.
func TestToleranceHasItsUnit(t *testing.T) {
	const capability = "capability --file bias_15.csv --reference 6.0 --tolerance "
	_, want, _ := onData(t, capability+"3 --unit mm")
	for _, width := range []string{"3000um --unit mm", "3mm --unit mm"} {
		if _, got, stderr := onData(t, capability+width); got != want || want == "" {
			t.Errorf("--tolerance %s: %s%s\nwant\n%s", width, got, stderr, want)
		}
	}
	for _, text := range []string{"abc", "NaN", "0,1", "-1", "0mm"} {
		want := "gaugectl: --tolerance \"" + text + "\" is not a length above 0: write it as 8um or 0.008mm; without a unit it is in that of the values (see gaugectl study capability --help)\n"
		if _, _, stderr := onData(t, capability+text); stderr != want {
			t.Errorf("%s: %s", text, stderr)
		}
	}
	if _, _, stderr := onData(t, capability+"3mm"); stderr != "gaugectl: --tolerance 3mm: say with --unit in which unit the values are (see gaugectl study capability --help)\n" {
		t.Error(stderr)
	}
	if _, _, stderr := onData(t, capability+"3mm --unit N"); stderr != "gaugectl: --tolerance 3mm: the values are in N (see gaugectl study capability --help)\n" {
		t.Error(stderr)
	}
}
