package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// jobsFile is in testdata/recall at the top. The dial showed 20 um too much, known
// to 4 um; a job's own standard uncertainty is 3 um, so that both are 5 um. With
// the other limit far away a value is decided from 1.645 of it on, 8.2 um (4.9 um
// before): there the probability is 95 %.
//
//	101: 0.150 - 0.020 = 0.130: conforms as before
//	102: 0.105 was 5 um inside, conformed; 0.085 is 15 um outside: does not conform
//	103: 0.112 - 0.020 = 0.092, 8 um outside: 1.6 standard uncertainties, undecided
//	104: 0.206 was 6 um outside; 0.186 is 14 um inside: conforms after all
//	105: 0.0080 in = 203.2 um, less 20 um; 4 um with the error's uncertainty alone: conforms
//	106: it came off in the sum: 195 + 20 = 215, 15 um outside; before, 5 um inside: conformed
//	107: another gauge measured it
//
// The dial of places.csv has the errors of curve.csv: 0, 20 and 60 um at 0, 12.52 and 25.06 mm.
//
//	201: (18.790 - 0.040) - (12.520 - 0.020) = 6.250: conforms; half way between two masters the
//	     error may be off by 20 um either way, evenly, which is 11.5 um standard
//	202: 25.060 - 0.060 = 25.000
//	203: half way to 12.52 mm: 6.260 - 0.010 = 6.250, on the limit; nothing is known, and the limit decides
//	204: beyond the masters the error of the nearest comes off, 29.960
const jobsFile = "../../testdata/recall/jobs.csv"

func TestRecallOfFile(t *testing.T) {
	for _, c := range []struct {
		name, args string
		code       int
	}{
		{"recall_file", "recall dial --file " + jobsFile + " --error 20um --standard-uncertainty 4um", app.ExitAnswerIsNo},
		{"recall_file_report", "recall dial --file " + jobsFile + " --error 0.020 --unit mm --report -", app.ExitAnswerIsNo},
		{"recall_file_growing", "recall dial --file " + jobsFile + " --error 20um --growing --since 2026-03-01 --found 2026-03-11", app.ExitAnswerIsNo},
		{"recall_file_places", "recall --file ../../testdata/recall/places.csv --error ../../testdata/recall/curve.csv", app.ExitAnswerIsNo},
		{"recall_file_json", "recall dial --file " + jobsFile + " --error 20um --since 2026-03-10T00:00:00Z --output json", app.ExitAnswerIsNo},
	} {
		code, stdout, stderr := call(t, "", "", strings.Fields(c.args)...)
		if code != c.code || stderr != "" {
			t.Errorf("%s: exit %d, %s", c.args, code, stderr)
		}
		if before, after, ok := strings.Cut(stdout, "\nWritten "); ok {
			_, rest, _ := strings.Cut(after, "\n")
			stdout = before + "\n" + rest // when it was written
		}
		if c.name == "recall_file_json" && !json.Valid([]byte(stdout)) {
			t.Errorf("no JSON: %s", stdout)
		}
		golden(t, c.name, stdout)
	}
}

// TestRecallSaysWhatIsNotStated: a point without uncertainty among others, a file of one
// point, and a value that is exact beside one of which nothing is known.
func TestRecallSaysWhatIsNotStated(t *testing.T) {
	file := func(name, content string) string {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	const header = "job,unit_serial,started,measured,lower,upper,unit,standard_uncertainty,reading\n"
	jobs := file("jobs.csv", header+"1,A,2026-03-01,20.000,19.990,20.006,mm,0,20\n2,B,2026-03-01,20.000,19.990,20.006,mm,,20\n")
	gap := file("gap.csv", "reading,error,unit,standard_uncertainty\n0,0,mm,0.001\n10,0.01,mm,\n25,0.02,mm,0.001\n")
	one := file("one.csv", "reading,error,unit\n10,0.010,mm\n")
	for points, wants := range map[string][]string{
		gap: {"! The uncertainty of the error at 10 mm is not stated; it counts as zero.\n"},
		one: {"! Error found at 10 mm. The error is known at this master only. It is assumed to be the same everywhere.\n", "! Jobs without a probability: 1.", "  1.0000\n"},
	} {
		_, stdout, stderr := call(t, "", "", "recall", "--file", jobs, "--error", points)
		for _, want := range wants {
			if !strings.Contains(stdout, want) {
				t.Errorf("no %q in:\n%s%s", want, stdout, stderr)
			}
		}
	}
}

func TestRecallFileProblems(t *testing.T) {
	const header = "job,unit_serial,started,measured,lower,upper,unit,standard_uncertainty\n"
	const good = "1,U,2026-03-02,0.150,0.100,0.200,mm,0.003\n"
	for _, c := range []struct{ content, args, want string }{
		{"", "", "FILE:1:1: the file is empty: it begins with a line of column names, here job, unit_serial, started, measured, lower, upper, unit, standard_uncertainty at least"},
		{"job,unit\n1,mm\n", "", `FILE:1:1: there are no columns unit_serial, started, measured, lower, upper, standard_uncertainty among job, unit: add them`},
		{"job,play\n1,mm\n", "", "FILE:1:1: there are no columns unit_serial, started, measured, lower, upper, unit, standard_uncertainty among job, play: add them\ngaugectl: FILE:1:5: the column play is not known: leave it out, or use job, unit_serial, started, measured, lower, upper, unit, standard_uncertainty, freedom, coefficient, reading, gauge"},
		{"job,job\n1,2\n", "", "FILE:1:1: there are no columns unit_serial, started, measured, lower, upper, unit, standard_uncertainty among job, job: add them\ngaugectl: FILE:1:5: the column job is there twice: give each column a name of its own"},
		{header, "", "FILE:1:1: there are no rows under the line of column names: write one for each line of the table"},
		{header + "x,U,2026-03-02,0.150,0.100,0.200,mm,0.003\n", "", `FILE:2:1: column job: "x" is not a whole number over 0`},
		{header + "1,U,March,0.150,0.100,0.200,mm,0.003\n", "", `FILE:2:5: column started: "March" is not a time: write 2026-03-31 or 2026-03-31 14:05, these in UTC, or 2026-03-31T14:05:00+02:00`},
		{header + "1,U,2026-03-02,\"0,150\",0.100,0.200,mm,0.003\n", "", `FILE:2:16: column measured: "0,150" may be a number with a decimal comma, or thousands: write a point as the decimal sign, or write the line "# decimal: comma" above the column names`},
		{header + "1,U,2026-03-02,,0.100,0.200,mm,0.003\n", "", `FILE:2:16: column measured: "" is not a length: there are no digits`},
		{header + "1,U,2026-03-02,0.150,0.300,0.200,mm,0.003\n", "", "FILE:2:22: column lower: the lower limit 0.300 is above the upper one, 0.200"},
		{header + "1,U,2026-03-02,0.150,,,mm,0.003\n", "", "FILE:2:22: column lower: without limits there is no verdict: write the lower or the upper one, or leave the line out"},
		{strings.ReplaceAll(header, ",", ";"), "", "FILE:1:1: there are no rows under the line of column names: write one for each line of the table"},
		{header + "1,U,2026-03-02,0.150,0.100,0.200,,0.003\n", "", `FILE:2:34: column unit: the unit is missing: write mm, in or um`},
		{header + "1,U,2026-03-02,0.150,0.100,0.200,mm,-1\n", "", "FILE:2:37: column standard_uncertainty: an uncertainty is not negative"},
		{header + "1,U,2026-03-02,0.150\n", "", "FILE:2:21: the line has 4 of 8 cells; missing: lower, upper, unit, .... Write a comma for each cell, also for an empty one"},
		{header + good + good, "", "FILE:3:1: column job: job 1 stands in line 2 already: add up the coefficients of its measurements"},
		{strings.TrimSpace(header) + ",gauge\n1,U,2026-03-02,0.150,0.100,0.200,mm,0.003,dial\n", "", "FILE: the jobs name their gauges: say which one was wrong, before --file"},
		{strings.TrimSpace(header) + ",freedom\n1,U,2026-03-02,0.150,0.100,0.200,mm,0.003,2.5\n", "", `FILE:2:43: column freedom: degrees of freedom are a whole number over 0, not "2.5": leave the cell empty where they are infinite`},
		{strings.TrimSpace(header) + ",reading\n" + strings.TrimSpace(good) + ",25\n2,U,2026-03-02,0.150,0.100,0.200,mm,0.003,\n", "", `FILE:3:43: column reading: "" is not a length: there are no digits`},
		{strings.TrimSpace(header) + ",reading\n" + strings.TrimSpace(good) + ",25\n1,U,2026-03-02,0.151,0.100,0.200,mm,0.003,20\n", "", "FILE:3:1: column job: job 1 stands in line 2 with other values: each line of a job has another reading and coefficient of the gauge, all else is the same"},
		{header + good, "--error ../../testdata/recall/curve.csv", "FILE:1:1: there is no column reading among job, unit_serial, started, measured, lower, upper, unit, standard_uncertainty: the error is not the same at every reading: add what the gauge showed"},
		{strings.TrimSpace(header) + ",coefficient\n1,U,2026-03-02,0.150,0.100,0.200,mm,0.003,one\n", "", `FILE:2:43: column coefficient: "one" is not a number: write it as -0.0125, or leave the cell empty where nothing is known`},
		{header + good, "--growing", "an error that grew needs the day of the last good check: --since 2026-03-01 (see gaugectl recall --help)"},
		{header + good, "--growing --since 2026-03-09 --found 2026-03-01", "--since and --found: the check that found the error must be later than the last good check (see gaugectl recall --help)"},
		{header + good, "--found soon", `--found "soon" is not a day such as 2026-03-01 or a time in RFC 3339 (see gaugectl recall --help)`},
		{header + good, "--standard-uncertainty=-1um", "--standard-uncertainty -1 is not a length of 0 or more (see gaugectl recall --help)"},
	} {
		name := filepath.Join(t.TempDir(), "jobs.csv")
		if err := os.WriteFile(name, []byte(c.content), 0o644); err != nil {
			t.Fatal(err)
		}
		args := append([]string{"recall", "--file", name, "--error", "8um"}, strings.Fields(c.args)...)
		code, _, stderr := call(t, "", "", args...)
		if want := "gaugectl: " + strings.ReplaceAll(c.want, "FILE", name) + "\n"; code == app.ExitFine || stderr != want {
			t.Errorf("exit %d\n got %s\nwant %s", code, stderr, want)
		}
	}
}

func TestRecallPointsProblems(t *testing.T) {
	for content, want := range map[string]string{
		"reading,error,unit\n":                               "FILE:1:1: there are no rows under the line of column names: write one for each line of the table",
		"reading,error,unit\n1,x,mm\n":                       `FILE:2:3: column error: "x" is not a length: it is not a plain decimal number`,
		"reading,error,unit\n,1,mm\n":                        `FILE:2:1: column reading: "" is not a length: there are no digits`,
		"reading,error,unit\n1,1,kg\n":                       `FILE:2:5: column unit: unknown unit "kg": use mm, in or um`,
		"reading,error,unit,standard_uncertainty\n1,1,mm,-1": "--error: point 1: the uncertainty of the error must be a finite number that is not negative (see gaugectl recall --help)",
	} {
		name := filepath.Join(t.TempDir(), "points.csv")
		if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
		code, _, stderr := call(t, "", "", "recall", "dial", "--file", jobsFile, "--error", name)
		if want := "gaugectl: " + strings.ReplaceAll(want, "FILE", name) + "\n"; code == app.ExitFine || stderr != want {
			t.Errorf("exit %d\n got %s\nwant %s", code, stderr, want)
		}
	}
	if code, _, stderr := call(t, "", "", "recall", "dial", "--error", "x.csv", "--unit", "mm"); code != app.ExitUsage || !strings.Contains(stderr, "leave out --unit") {
		t.Errorf("exit %d, %s", code, stderr)
	}
}

func TestRecallUsage(t *testing.T) {
	for args, want := range map[string]string{
		"recall":                                             "name the gauge, or with --file a file of jobs",
		"recall dial --growing --from-work":                  "--growing and --from-work exclude each other: leave out one of them",
		"recall dial --from-work --error 1um":                "--from-work estimates the error: leave out --error and --standard-uncertainty, or --from-work",
		"recall dial --found 2026-03-01":                     "--found and --required are for --file: the daemon knows them",
		"recall --file x --from-work":                        "--from-work needs a daemon's history: give the error with --error",
		"recall --file x":                                    "a file of jobs does not contain the error: give it with --error, such as 8um",
		"recall dial --report recall.pdf":                    `--report "recall.pdf": a report is a file such as recall.html, or - for text`,
		"recall --file x --error 1um --required 0.2":         "--required 0.2 is not a probability over 0.5 and under 1",
		"recall --file x --error 1um --required 0.95001":     "--required 0.95001: a probability is given with four decimals at most",
		"recall dial --unit mm":                              "--unit is that of --error, which is not given",
		"recall dial --error 1um --unit mm":                  "--error is in um, --unit says mm",
		"recall dial --error 1kg":                            `--error: unknown unit "kg": use mm, in or um`,
		"recall dial --error 1,5um":                          `--error: "1,5" is not a length: the decimal sign must be a point, not a comma`,
		"recall dial --error 1um --standard-uncertainty 1mm": "give --error and --standard-uncertainty in the same unit",
	} {
		code, _, stderr := call(t, "", "", strings.Fields(args)...)
		if code != app.ExitUsage || stderr != "gaugectl: "+want+" (see gaugectl recall --help)\n" {
			t.Errorf("%s: exit %d\n got %s\nwant %s", args, code, stderr, want)
		}
	}
}

// TestRecallReport: a page of its own, that asks for nothing and in which nothing
// of a serial number is taken for markup.
func TestRecallReport(t *testing.T) {
	dir := t.TempDir()
	jobs, page := filepath.Join(dir, "jobs.csv"), filepath.Join(dir, "recall.html")
	content, err := os.ReadFile(jobsFile)
	if err != nil {
		t.Fatal(err)
	}
	wild := strings.ReplaceAll(string(content), "L2-0418", `<script>alert(1)</script>`)
	if err := os.WriteFile(jobs, []byte(wild), 0o644); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr := call(t, "", "", "recall", "dial", "--file", jobs, "--error", "20um", "--standard-uncertainty", "4um", "--report", page)
	if code != app.ExitAnswerIsNo || stderr != "" || !strings.Contains(stdout, "JOB") {
		t.Fatalf("exit %d, %s\n%s", code, stderr, stdout)
	}
	written, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	html := string(written)
	for _, forbidden := range []string{"<script", "http:", "https:", "src=", "url(", "@import", "<link"} {
		if strings.Contains(html, forbidden) {
			t.Errorf("the page has %q", forbidden)
		}
	}
	last := -1
	for _, wanted := range []string{
		"&#43;20 um (standard uncertainty 4.0 um)", "as given", "constant", "Verdicts that change (3)", "&lt;script&gt;alert(1)&lt;/script&gt;",
		"Now undecided (1)", "Unchanged (2)", "whether a unit may still be run", "Reviewed by (quality)", "</html>",
	} {
		at := strings.Index(html, wanted)
		if at <= last {
			t.Errorf("%q is not there, or not in its place", wanted)
		}
		last = at
	}
}
