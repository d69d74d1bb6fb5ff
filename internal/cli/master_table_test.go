package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

const flags = " --unit mm --mpe 4um --resolution 0.001"

// TestMasterCheckFile: the checks of a table, without a daemon.
func TestMasterCheckFile(t *testing.T) {
	for _, c := range []struct {
		name, args string
		code       int
		stderr     string
	}{
		{"master_check_file", "testdata/checks/dial.csv" + flags, app.ExitAnswerIsNo, "gaugectl: the check 2026-02 of testdata/checks/dial.csv: failed\n"},
		{"master_check_inch", "testdata/checks/inch.csv --unit mm --mpe 0.004 --temperature 22 --temperature-tolerance 0.5 --expansion 11.5 --deviation 0.0005 --readings 21", app.ExitFine, ""},
	} {
		code, stdout, stderr := call(t, "", "", append([]string{"master", "check", "--file"}, strings.Fields(c.args)...)...)
		if code != c.code || stderr != c.stderr {
			t.Errorf("%s: exit %d, want %d\nstderr %q\n  want %q", c.args, code, c.code, stderr, c.stderr)
		}
		golden(t, c.name, stdout)
	}
}

// TestMasterCheckFileJSON: as the daemon answers.
func TestMasterCheckFileJSON(t *testing.T) {
	_, stdout, _ := call(t, "", "", strings.Fields("master check --output json --file testdata/checks/dial.csv"+flags)...)
	var got struct {
		Checks []struct {
			Occasion    string
			Found, Left *struct {
				Verdict string
				Worst   struct {
					MasterID string `json:"master_id"`
					Error    struct{ Picometres string }
				}
			}
		}
	}
	if err := json.Unmarshal([]byte(stdout), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Checks) != 2 || got.Checks[0].Occasion != "2026-01" || got.Checks[0].Found.Verdict != "CHECK_VERDICT_PASS" || got.Checks[0].Left != nil {
		t.Errorf("%+v", got)
	}
	second := got.Checks[1]
	if second.Found.Verdict != "CHECK_VERDICT_FAIL" || second.Found.Worst.MasterID != "block-25" || second.Found.Worst.Error.Picometres != "6000000" || second.Left.Verdict != "CHECK_VERDICT_FAIL" {
		t.Errorf("%+v", second)
	}
}

func TestMasterCheckFileRefusals(t *testing.T) {
	const header = "master,value,reading,way,state,uncertainty,k,unit\n"
	for _, c := range []struct{ content, args, want string }{
		{"", flags, ": the file is empty: it begins with a line of column names, here master, value, reading at least"},
		{"master,value\n", flags, `:1:1: there is no column reading among master, value: add it`},
		{"master,value,reading,colour\n", flags, `:1:22: the column colour is not known: leave it out, or use master, value, reading, check, way, state, uncertainty, k, expansion, unit`},
		{"master,value,reading,value\n", flags, `:1:22: the column value is there twice: give each column a name of its own`},
		{header, flags, ":1:1: there are no rows under the line of column names: write one for each line of the table"},
		{header + "a,1.0,1.0\n", flags, ":2:10: the line has 3 of 8 cells; missing: way, state, uncertainty, .... Write a comma for each cell, also for an empty one"},
		{header + "a,1.0,1.0,,,,,\n", "", ":2:15: column unit: the unit is missing: write mm, in or um"},
		{header + ",1.0,1.0,,,,,\n", flags, ":2:1: column master: the name of a master is missing"},
		{header + "a,1.0,1.0,up,,,,\n", flags, `:2:11: column way: "up" is not known here: write rising or falling`},
		{header + "a,1.0,1.0,,gone,,,\n", flags, `:2:12: column state: "gone" is not known here: write found or left`},
		{header + "a,1.0,1.0,,,0.001,,\n", flags, `:2:13: column uncertainty: the uncertainty needs its coverage factor in the column k, above zero, not ""`},
		{header + "a,1.0,1.0,,,0,2,\n", flags, `:2:13: column uncertainty: "0" is not an uncertainty above zero`},
		{header + "a,1.0,1.0,,,,,N\n", flags, `:2:15: column unit: "N" is a unit of force: use mm, in or um`},
		{header + "a,1.0,1.0,,,,,\na,2.0,1.0,,,,,\n", flags, ":3:1: column master: master a has another value, uncertainty or expansion than in the lines before: give it another name"},
		{header + "a,1.0,1.0,,left,,,\n", flags, "the check has no readings as found: leave the column state empty for them, or write found"},
		{header + "a,1.0,1.0,,,,,\n", " --unit mm --mpe 0.004", "nothing is known of how well the gauge repeats: write several readings for each master, or give --resolution or --deviation"},
		{header + "a,1.0,1.0,,,,,\n", " --mpe 0.004", "--mpe 0.004 has no unit: write it as 0.004mm, 0.004in or 0.004um"},
		{header + "a,1.0,1.0,,,,,\n", " --unit mm --mpe 0", `--mpe "0" is not a length above zero`},
		{header + "a,1.0,1.0,,,,,\n", " --unit mm --deviation 0.001", "--deviation and --readings go together: of how many repeats, 2 or more, is the deviation?"},
	} {
		file := filepath.Join(t.TempDir(), "c.csv")
		if err := os.WriteFile(file, []byte(c.content), 0o644); err != nil {
			t.Fatal(err)
		}
		code, _, stderr := call(t, "", "", strings.Fields("master check --file "+file+c.args)...)
		if code == app.ExitFine || !strings.Contains(strings.TrimSuffix(stderr, " (see gaugectl master check --help)\n")+"\n", c.want+"\n") {
			t.Errorf("%q: exit %d\n got %s\nwant %s", c.content, code, stderr, c.want)
		}
	}
}
