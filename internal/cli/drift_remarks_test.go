package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// driftOfText reviews a file of checks. All numbers of these tests are invented.
func driftOfText(t *testing.T, content string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "checks.csv")
	if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr = call(t, "", "", append([]string{"drift", "--file", path, "--mpe", "8"}, args...)...)
	return code, stdout, strings.ReplaceAll(stderr, path, "FILE")
}

// monthlyRows are rows of checks a month apart.
func monthlyRows(header string, cells ...string) string {
	text := header + "\n"
	for i, c := range cells {
		text += []string{"2024-01-15", "2024-02-14", "2024-03-15", "2024-04-14", "2024-05-14", "2024-06-13", "2024-07-13", "2024-08-12", "2024-09-11", "2024-10-11"}[i] + "," + c + "\n"
	}
	return text
}

// TestDriftRemarks: what in a file may not be meant as it is read is said.
func TestDriftRemarks(t *testing.T) {
	for _, c := range []struct{ name, content, want, not string }{
		{"left copied from found", monthlyRows("time,error,left", "0,0", "1,1.0", "0,0", "5,2"), "! 3 checks have the error as left equal to that as found. That is not an adjustment: leave the cell empty.\n", "4 adjustments"},
		{"masters alike", monthlyRows("time,master,error", "block-25,1", "Block 25,1"), `! The masters "block-25" and "Block 25" are taken as two: write the name the same way if they are one.`, ""},
		{"one uncertainty missing", monthlyRows("time,error,uncertainty", "1,0.5", "2,", "3,0.5"), "! 1 of 3 checks have no uncertainty. So no uncertainty is used in the trend, and all checks count the same.\n", "weighted"},
		{"shared changes", monthlyRows("time,error,shared", "1,0.5", "2,0.9"), "! the shared uncertainty differs between checks: that of the last one, 0.9, is used.\n", ""},
		{"dates without hyphens", "time,error\n20250110,1\n20250210,2\n", "! The times are taken as plain numbers, and some look like a date: write 2025-01-10, not 20250110, where dates are meant.\n", ""},
		{"a check 18 years off", monthlyRows("time,error", "0.2", "0.1", "0.3", "0.2", "0.1", "0.2") + "2042-10-11,0.2\n", "! 6694 days before 2042-10-11 passed without a check, and usually 30 days: is the time right?", "by 205"},
		{"nothing", monthlyRows("time,master,error,uncertainty,shared,left", "a,1,0.5,0.1,", "a,2,0.5,0.1,0", "b,1,0.5,0.1,"), "at a", "! "},
		{"uses from 0 on", monthlyRows("time,error,uses", "0.4,0", "0.9,150", "1.3,300", "2.2,360", "2.4,510"), "Trend over uses", ""},
		{"long numbers", "time,error\n45678,0.5\n45709,0.9\n45740,1.6\n45771,2.1\n45802,2.4\n45833,3.1\n45864,3.4\n", "at 45864 ", "45860"},
		{"seconds", "time,error\n1735689600,0.5\n1735689610,0.6\n", "checks from 1735689600 to 1735689610", ""},
	} {
		code, stdout, stderr := driftOfText(t, c.content)
		if code != 0 || !strings.Contains(stdout, c.want) || c.not != "" && strings.Contains(stdout, c.not) {
			t.Errorf("%s: exit %d, no %q, or %q, in\n%s%s", c.name, code, c.want, c.not, stdout, stderr)
		}
	}
}

// TestDriftRefusesAnErrorThatIsNotTheReading: error, reading and reference of a row are one
// thing said twice; they may differ by the rounding of the error.
func TestDriftRefusesAnErrorThatIsNotTheReading(t *testing.T) {
	const header = "time,error,reading,reference\n"
	code, _, stderr := driftOfText(t, header+"2024-01-15,0.01,25.0102,25\n2024-02-14,0.2,25.009,25\n")
	if want := "gaugectl: FILE:3:12: column error: the error 0.2 is not the reading 25.009 less the reference value 25, which is 0.009: correct the row, or leave out the column error, or reading and reference; all are in one unit\n"; code == 0 || stderr != want {
		t.Errorf("exit %d\n got %s\nwant %s", code, stderr, want)
	}
}

// TestDriftOfAJumpOnACoarseDisplay: the step is said, no interval is extended, and with the
// step of the display the charts point at it.
func TestDriftOfAJumpOnACoarseDisplay(t *testing.T) {
	jump := monthlyRows("time,error", "0", "0", "0", "0", "0", "5", "5", "5", "5", "5")
	for want, args := range map[string][]string{
		"jump: +5, exact: the errors have no other scatter": nil,
		"  ! CUSUM: upper sum above its limit":              {"--resolution", "1"},
	} {
		if _, stdout, stderr := driftOfText(t, jump, args...); !strings.Contains(stdout, want) || strings.Contains(stdout, "(extend)") {
			t.Errorf("%v: no %q in\n%s%s", args, want, stdout, stderr)
		}
	}
}

// TestDriftHonoursUnitAndCoverageFactor: unit, uncertainty and k mean what they mean in
// every other table.
func TestDriftHonoursUnitAndCoverageFactor(t *testing.T) {
	rows := monthlyRows("time,master,error,unit,uncertainty,k", "b25,0.0091,mm,0.0016,2", "b25,9.5,um,1.6,2", "b25,0.0094,mm,0.0016,2", "b25,9,um,0.8,1", "b25,0.0092,mm,0.0016,2")
	code, stdout, stderr := driftOfText(t, rows, "--unit", "um")
	if code != 0 || strings.Contains(stdout, "is not used") || strings.Contains(stdout, "(extend)") {
		t.Errorf("exit %d\n%s%s", code, stdout, stderr)
	}
	for _, want := range []string{"Error at the last check: +9.2 um, standard uncertainty 0.8 um; outside the limit since", "weighted by the uncertainties"} {
		if !strings.Contains(stdout, want) {
			t.Errorf("no %q in\n%s", want, stdout)
		}
	}
	for content, want := range map[string]string{
		monthlyRows("time,error,unit", "0.0091,mm", "0.0095,kg"):             `FILE:3:19: column unit: unknown unit "kg"`,
		monthlyRows("time,error,uncertainty,k", "1,2,0.0016"):                "column k: 0.0016 is not a coverage factor: it is from 1 to 10, mostly 2",
		monthlyRows("time,error,uncertainty,k", "1,2,"):                      "column k: the uncertainty needs its coverage factor",
		monthlyRows("time,error,unit,reading,reference", "0.2,mm,25.009,25"): "the error 0.2 is not the reading 25.009 less the reference value 25, which is 0.009",
	} {
		if code, _, stderr := driftOfText(t, content, "--unit", "um"); code == 0 || !strings.Contains(stderr, want) {
			t.Errorf("exit %d, no %q in %s", code, want, stderr)
		}
	}
	if code, _, stderr := driftOfText(t, rows); code == 0 || !strings.Contains(stderr, "say with --unit in which the errors are shown") {
		t.Errorf("exit %d, %s", code, stderr)
	}
}
