package cli

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// The histories of these tests are invented.

const (
	drifting = "testdata/drift/drifting.csv"
	dropped  = "testdata/drift/dropped.csv"
)

func TestDriftGolden(t *testing.T) {
	for name, args := range map[string]string{
		"drift_rate": "--file " + drifting + " --mpe 8um --unit um",
		"drift_step": "--file " + dropped + " --column time=day --column error=deviation --unit mm --mpe 0.01",
		"drift_few":  "--file testdata/drift/few.csv",
		"drift_json": "--file " + drifting + " --mpe 8 --unit um --output json",
		"drift_ewma": "--file " + drifting + " --mpe 0.008mm --unit um --chart ewma --ewma 0.2,2.962",
		"drift_help": "--help",
	} {
		t.Run(name, func(t *testing.T) {
			code, stdout, stderr := call(t, "/nowhere", "", append([]string{"drift"}, strings.Fields(args)...)...)
			if code != app.ExitFine || stderr != "" {
				t.Fatalf("exit %d: %s", code, stderr)
			}
			if strings.HasSuffix(name, "json") {
				if stdout = rounded(t, stdout); !strings.Contains(stdout, `"significant": true`) {
					t.Errorf("no significant rate in\n%s", stdout)
				}
			}
			golden(t, name, stdout)
		})
	}
}

// rounded writes the numbers of a JSON text to six digits: the last ones differ
// between processors.
func rounded(t *testing.T, text string) string {
	t.Helper()
	var value any
	if err := json.Unmarshal([]byte(text), &value); err != nil {
		t.Fatal(err)
	}
	var round func(any) any
	round = func(v any) any {
		switch v := v.(type) {
		case map[string]any:
			for k := range v {
				v[k] = round(v[k])
			}
		case []any:
			for i := range v {
				v[i] = round(v[i])
			}
		case float64:
			return json.Number(strconv.FormatFloat(v, 'g', 6, 64))
		}
		return v
	}
	out, err := json.MarshalIndent(round(value), "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return string(out) + "\n"
}

func TestDriftWritesSVG(t *testing.T) {
	path := filepath.Join(t.TempDir(), "chart.svg")
	if code, _, stderr := call(t, "/nowhere", "", "drift", "--file", drifting, "--mpe", "8", "--svg", path); code != app.ExitFine {
		t.Fatal(stderr)
	}
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"<title>Error of the gauge at its checks</title>", "<desc>18 checks from", "after adjustment", "limit -8"} {
		if !strings.Contains(string(content), part) {
			t.Errorf("the drawing lacks %q", part)
		}
	}
	for name, want := range map[string]string{
		"individuals": "upper limit 5.988 um", "ewma": "Each check is compared with those before it", "cusum": "sum below the centre",
	} {
		if code, _, stderr := call(t, "/nowhere", "", "drift", "--file", drifting, "--unit", "um", "--ewma", "0.2,2.962", "--chart", name, "--svg", path); code != app.ExitFine {
			t.Fatal(stderr)
		}
		if content, err := os.ReadFile(path); err != nil || !strings.Contains(string(content), want) {
			t.Errorf("the %s chart lacks %q, %v", name, want, err)
		}
	}
	if code, _, stderr := call(t, "/nowhere", "", "drift", "--file", "testdata/drift/few.csv", "--chart", "cusum"); code != app.ExitFailure || !strings.HasPrefix(stderr, "gaugectl: there is no chart cusum: the charts judge from the third check") {
		t.Errorf("exit %d, %q", code, stderr)
	}
	if code, _, stderr := call(t, "/nowhere", "", "drift", "--file", drifting, "--svg", "/nowhere/chart.svg"); code != app.ExitFailure || !strings.HasPrefix(stderr, "gaugectl: writing the chart: there is no directory /nowhere") {
		t.Errorf("exit %d, %q", code, stderr)
	}
}

func TestDriftUsage(t *testing.T) {
	for args, want := range map[string]string{
		"":                                      "gaugectl: name a gauge of the daemon, or with --file a file of checks (see gaugectl drift --help)\n",
		"x.csv":                                 "gaugectl: x.csv is not a gauge: write --file x.csv for a file of checks (see gaugectl drift --help)\n",
		"--file x.csv --mpe 0":                  "gaugectl: --mpe \"0\" is not a length above 0: write it as 8um or 0.008mm; without a unit it is in that of the values (see gaugectl drift --help)\n",
		"--file x.csv --mpe 8N":                 "gaugectl: --mpe: \"N\" is a unit of force: use mm, in or um (see gaugectl drift --help)\n",
		"--file x.csv --mpe 8um":                "gaugectl: --mpe 8um: say with --unit in which unit the errors of the file are (see gaugectl drift --help)\n",
		"--file x.csv --unit N":                 "gaugectl: --unit: \"N\" is a unit of force: use mm, in or um (see gaugectl drift --help)\n",
		"--file x.csv --chart pie":              "gaugectl: --chart \"pie\" is not known: use error, individuals, cusum or ewma (see gaugectl drift --help)\n",
		"--file x.csv --chart ewma":             "gaugectl: --chart ewma is drawn where --ewma WEIGHT,WIDTH is given, such as 0.2,2.962 (see gaugectl drift --help)\n",
		"--file x.csv --centre 3":               "gaugectl: --centre says nothing without --sigma (see gaugectl drift --help)\n",
		"--file x.csv --sigma 0":                "gaugectl: --sigma 0 is not above 0 (see gaugectl drift --help)\n",
		"--file x.csv --individuals 9":          "gaugectl: the width 9 of the individuals chart is not between 1 and 8: the usual one is 3.4 (see gaugectl drift --help)\n",
		"--file x.csv --deviation x":            "gaugectl: --deviation \"x\" is not a length above 0: write it as 8um or 0.008mm; without a unit it is in that of the values (see gaugectl drift --help)\n",
		"--file x.csv --ewma 0.3":               "gaugectl: --ewma \"0.3\" is not two numbers above 0 with a comma between them (see gaugectl drift --help)\n",
		"--file x.csv --ewma 2,3":               "gaugectl: the weight 2 of the EWMA chart is not between 0.05 and 1: the usual one is 0.2 (see gaugectl drift --help)\n",
		"--file x.csv --cusum 0.5,99":           "gaugectl: the height 99 of the CUSUM chart is not between 1 and 12: the usual one is 5.7 (see gaugectl drift --help)\n",
		"--file x.csv --rows 3":                 "gaugectl: --rows \"3\" is not a range of rows: write it as 1-99 (see gaugectl drift --help)\n",
		"--file x.csv --rows 3-2":               "gaugectl: --rows \"3-2\" is not a range of rows: write it as 1-99 (see gaugectl drift --help)\n",
		"--file x.csv --calibration 1":          "gaugectl: --calibration \"1\" is not an offset and a slope above 0 with a comma between them: write it as 0.2357,0.9870 (see gaugectl drift --help)\n",
		"--file x.csv --column deviation":       "gaugectl: --column \"deviation\": write COLUMN=NAME, where COLUMN is time, error, uncertainty, shared, left, spread, repeats, uses, master, verdict, reading, reference, unit, k (see gaugectl drift --help)\n",
		"--file x.csv --column deviation=error": "gaugectl: --column \"deviation=error\": write COLUMN=NAME, where COLUMN is time, error, uncertainty, shared, left, spread, repeats, uses, master, verdict, reading, reference, unit, k (see gaugectl drift --help)\n",
	} {
		code, stdout, stderr := call(t, "/nowhere", "", append([]string{"drift"}, strings.Fields(args)...)...)
		if code != app.ExitUsage || stderr != want || stdout != "" {
			t.Errorf("%s: exit %d, %q, want %q", args, code, stderr, want)
		}
	}
}

// checksFile writes a table of checks.
func checksFile(t *testing.T, table string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "checks.csv")
	if err := os.WriteFile(path, []byte(table), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestDriftOfHours: a check again on the same day is no interval, unless occasions are
// said to be shorter; then an interval of less than a day is not shown as none.
func TestDriftOfHours(t *testing.T) {
	path := checksFile(t, "time,error\n2025-01-10T08:00:00Z,1\n2025-01-10T14:00:00Z,2\n")
	for args, want := range map[string]string{
		"":              "2 checks on 1 occasion from",
		" ":             "none in days: an interval is advised from two checks on",
		"--occasion 1h": "automatic adjustment (staircase): 0.3125 days (extend), by 2025-01-10\n",
	} {
		_, stdout, _ := call(t, "/nowhere", "", append([]string{"drift", "--file", path, "--mpe", "8"}, strings.Fields(args)...)...)
		if !strings.Contains(stdout, want) {
			t.Errorf("%s: no %q in\n%s", args, want, stdout)
		}
	}
}

// TestDriftOfSeveralMasters: the worst decides, and each can be looked at.
func TestDriftOfSeveralMasters(t *testing.T) {
	table := "time,master,error,verdict\n"
	for i := range 8 {
		table += fmt.Sprintf("2025-%02d-01,low,%.1f,pass\n2025-%02d-01,high,%.1f,pass\n", i+1, 6+0.1*float64(i%3), i+1, -6-0.1*float64(i%2))
	}
	path := checksFile(t, table)
	for args, want := range map[string]string{
		"--mpe 4":             "; low decides",
		"--mpe 20 --rows 1-8": "8 checks|4 checks",
		"--point low":         "low: 8 checks from 2025-01-01 to 2025-08-01",
		"--chart cusum":       "sum above the centre",
		"--point middle":      "--point \"middle\": there are low; high",
	} {
		_, stdout, stderr := call(t, "/nowhere", "", append([]string{"drift", "--file", path}, strings.Fields(args)...)...)
		text := stdout + stderr
		if parts := strings.Split(want, "|"); !strings.Contains(text, parts[len(parts)-1]) {
			t.Errorf("%s: no %q in\n%s", args, want, text)
		}
		if args == "--mpe 4" && !strings.Contains(text, "(reduce)") {
			t.Errorf("errors of 6 at a limit of 4 extend the interval:\n%s", text)
		}
	}
}

// TestDriftKeepsAllDigits: an offset of a million takes no digit of the rate, the
// scatter and the charts; times may be numbers.
func TestDriftKeepsAllDigits(t *testing.T) {
	table := func(offset string) string {
		text := "time,error\n"
		for i, last := range []string{"1", "3", "2", "5", "4", "7", "5", "8", "9", "7", "9", "8"} {
			text += fmt.Sprintf("%d.05,%s.000%s\n", 1985+i, offset, last)
		}
		return checksFile(t, text)
	}
	read := func(offset string) map[string]any {
		code, stdout, stderr := call(t, "/nowhere", "", "drift", "--file", table(offset), "--output", "json")
		if code != app.ExitFine {
			t.Fatal(stderr)
		}
		var view struct {
			FirstTime float64 `json:"first_time"`
			Points    []map[string]any
		}
		if err := json.Unmarshal([]byte(stdout), &view); err != nil {
			t.Fatal(err)
		}
		if view.FirstTime != 1985.05 {
			t.Errorf("the first time is %v", view.FirstTime)
		}
		return view.Points[0]
	}
	near0, far := read("0"), read("1000000")
	line := func(p map[string]any) map[string]any { return p["by_time"].(map[string]any)["line"].(map[string]any) }
	for _, name := range []string{"rate", "rate_error", "sd", "centre", "level_error"} {
		if a, b := line(near0)[name], line(far)[name]; a != b {
			t.Errorf("%s: %v near zero, %v a million away", name, a, b)
		}
	}
	if level := line(far)["level"].(float64); level < 1000000.0005 || level > 1000000.0007 {
		t.Errorf("the level is %v", level)
	}
	sigma := func(p map[string]any) any { return p["charts"].(map[string]any)["baseline"].(map[string]any)["sigma"] }
	if sigma(near0) != sigma(far) {
		t.Errorf("sigma of the charts: %v and %v", sigma(near0), sigma(far))
	}
	_, stdout, _ := call(t, "/nowhere", "", "drift", "--file", table("0"))
	if !strings.Contains(stdout, "12 checks from 1985.05 to 1996.05") || !strings.Contains(stdout, "per unit of time") {
		t.Error(stdout)
	}
}

// TestDriftOfCheckStandards: the linewidth check standards of the NIST/SEMATECH
// e-Handbook, 2.3.7.1, corrected by its calibration line (2.3.6.7.3), against limits of
// t* s/b: of 18 values three are outside, all of day 4. s = 0.06203, b = 0.9870, t* = 2.497575.
func TestDriftOfCheckStandards(t *testing.T) {
	code, stdout, stderr := call(t, "/nowhere", "", "drift", "--file", "../../testdata/statistics/drift/linewidth_check.csv",
		"--column", "time=day", "--column", "master=position", "--column", "reference=x_reference", "--column", "reading=y_reading",
		"--calibration", "0.2357,0.9870", "--sigma", "0.062847011", "--individuals", "2.497575", "--output", "json")
	if code != app.ExitFine {
		t.Fatal(stderr)
	}
	var view struct {
		Points []struct {
			Point  string
			Checks int
			Charts struct {
				Charts []struct {
					Name      string
					High, Low float64
				}
				Signals []struct {
					Chart string
					Check int
				}
			}
		}
	}
	if err := json.Unmarshal([]byte(stdout), &view); err != nil || len(view.Points) != 3 {
		t.Fatalf("%+v, %v", view, err)
	}
	for _, p := range view.Points {
		var outside []int
		for _, s := range p.Charts.Signals {
			if s.Chart == "individuals" {
				outside = append(outside, s.Check)
			}
		}
		limit := p.Charts.Charts[0].High
		if p.Checks != 6 || fmt.Sprint(outside) != "[4]" || fmt.Sprintf("%.4f", limit) != "0.1570" || fmt.Sprintf("%.4f", p.Charts.Charts[0].Low) != "-0.1570" {
			t.Errorf("%s: %d checks, outside %v, limits %v", p.Point, p.Checks, outside, p.Charts.Charts[0])
		}
	}
}

// TestDriftOfPublishedCharts: the command's charts on the data of the NIST/SEMATECH
// e-Handbook, 6.3.2.3 and 6.3.2.4, with invented dates, have the printed figures; the
// run lengths are those of 6.3.2.3.1 and of Lucas and Saccucci 1990 (from memory).
func TestDriftOfPublishedCharts(t *testing.T) {
	for _, c := range []struct {
		data   string
		checks int
		args   string
		want   []string
	}{
		{"cusum", 13, "--centre 325 --sigma 0.635 --cusum 0.5,6.60772", []string{"CUSUM 3.007 0 to 4.196 0 "}},
		{"cusum", 14, "--centre 325 --sigma 0.635 --cusum 0.5,6.60772", []string{"CUSUM 4.94 0 to 4.196 1 ", "! CUSUM: upper sum above its limit, 2025-01-14, check 14"}},
		{"cusum", 20, "--centre 325 --sigma 0.635 --cusum 0.5,4", []string{"CUSUM 19.04 ", " 168 8.4"}},
		{"ewma", 20, "--centre 50 --sigma 2.0539 --ewma 0.3,3", []string{"EWMA 51.99 47.41 to 52.59 0 "}},
		{"ewma", 20, "--centre 50 --sigma 2.0539 --ewma 0.1,2.814", []string{" 500 10.3"}},
	} {
		content, err := os.ReadFile("../../testdata/statistics/drift/" + c.data + ".csv")
		if err != nil {
			t.Fatal(err)
		}
		table := "time,error\n"
		for line := range strings.Lines(string(content)) {
			cells := strings.Split(line, ",")
			if n, err := strconv.Atoi(cells[0]); err == nil && n <= c.checks {
				table += fmt.Sprintf("2025-01-%02d,%s\n", n, cells[1])
			}
		}
		path := filepath.Join(t.TempDir(), "checks.csv")
		if err := os.WriteFile(path, []byte(table), 0o600); err != nil {
			t.Fatal(err)
		}
		code, stdout, stderr := call(t, "/nowhere", "", append([]string{"drift", "--file", path}, strings.Fields(c.args)...)...)
		text := strings.Join(strings.Fields(stdout), " ")
		for _, want := range c.want {
			if code != app.ExitFine || !strings.Contains(text, want) {
				t.Errorf("%s to check %d, %s: exit %d, %s, no %q in\n%s", c.data, c.checks, c.args, code, stderr, want, stdout)
			}
		}
	}
}

func TestDriftOfBadFiles(t *testing.T) {
	for content, want := range map[string]string{
		"":                                                  ":1:1: the file is empty: it begins with a line of column names, here time at least",
		"time,error\n":                                      ":1:1: there are no rows under the line of column names: write one for each line of the table",
		"# x\ntime,deviation\n":                             ":2:1: there is no column error among time, deviation: add it, or say which it is with --column error=NAME",
		"time,error,error\n":                                ":1:12: the column error is there twice: give each column a name of its own",
		"time,error\n2025-01-10\n":                          ":2:11: the line has 1 of 2 cells; missing: error. Write a comma for each cell, also for an empty one",
		"time,error\n2025-01-10,\"1\n":                      ":2:12: the quote that opens here is not closed, and nothing after it was read: write a second one at the end of the cell, or leave it out",
		"time,error\n10.1.2025,1\n":                         ":2:1: column time: \"10.1.2025\" is not a time: write 2026-03-31 or 2026-03-31T14:05:00Z, or a number for each check",
		"time,error\n2025-01-10,\"1,5\"\n":                  ":2:12: column error: \"1,5\" may be a number with a decimal comma, or thousands: write a point as the decimal sign, or write the line \"# decimal: comma\" above the column names",
		"time,error\n2025-01-10,NaN\n":                      ":2:12: column error: \"NaN\" is not a number: write it as -0.0125, or leave the cell empty where nothing is known",
		"time,error\n2025-01-10,1e200\n":                    ":2:12: column error: \"1e200\" is too large",
		"time,error\n2025-01-10,\n":                         ":2:12: column error: a check needs the error as found: write it, or leave the line out",
		"time,error\n2025-01-10,1\n# a\n2025-01-09,1\n":     ":4:1: column time: the check is earlier than the one before it: put the checks in the order of time",
		"time,error,repeats\n2025-01-10,1,2.5\n":            ":2:14: column repeats: 2.5 is not a number of repeats",
		"time;error\n2025-01-10;1,5\n2025-02-10;1.5\n":      `:3:12: column error: "1.5" has a point, and in line 2 the decimal sign is a comma: write all numbers alike, and nothing between the thousands`,
		"time\terror\n2025-01-10\t1,5\n":                    `:2:12: column error: "1,5" may be a number with a decimal comma, or thousands: write a point as the decimal sign, or write the line "# decimal: comma" above the column names`,
		"time,error\n2025-01-10,-Inf\n":                     ":2:12: column error: \"-Inf\" is not a number: write it as -0.0125, or leave the cell empty where nothing is known",
		"time,error\n2025-01-10,1_000\n":                    ":2:12: column error: \"1_000\" is not a number: write it as -0.0125, or leave the cell empty where nothing is known",
		"time,error\n2025-01-10,1e400\n":                    ":2:12: column error: \"1e400\" is too large",
		"time,error,spread\n2025-01-10,1,0.5\n":             ":2:14: column spread: a spread needs the number of repeats that it comes from, 2 or more",
		"Time,Error,USES\n2025-01-10,1,9\n2025-01-11,1,8\n": ":3:14: column USES: the uses fall from 9 to 8: write the count of all uses so far",
		"time,error,uncertainty\n2025-01-10,1,-2\n":         ":2:14: column uncertainty: the uncertainty -2 is below 0 or not a number",
	} {
		path := filepath.Join(t.TempDir(), "checks.csv")
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		code, stdout, stderr := call(t, "/nowhere", "", "drift", "--file", path)
		if code != app.ExitFailure || stderr != "gaugectl: "+path+want+"\n" || stdout != "" {
			t.Errorf("%q: exit %d, %q, want %q", content, code, strings.ReplaceAll(stderr, path, "FILE"), want)
		}
	}
}
