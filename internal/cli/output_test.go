package cli

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// named is how fields are called in JSON and CSV. Names that a shop gives, of gauges and
// steps, may have a hyphen.
var named = regexp.MustCompile(`^[a-z0-9_.\-]+$`)

// TestOutputIsNeverIgnored: every command gives what --output asks for, with names of
// one kind, or says before it does anything that it has only a table.
func TestOutputIsNeverIgnored(t *testing.T) {
	for command, u := range uses {
		for _, output := range []string{app.OutputJSON, app.OutputCSV} {
			t.Run(strings.ReplaceAll(command, " ", "_")+"_"+output, func(t *testing.T) {
				code, stdout, stderr := u.call(t, command, served(t), "--output", output)
				if u.talks {
					if code != app.ExitUsage || stdout != "" || !strings.Contains(stderr, "has no "+strings.ToUpper(output)+": ") {
						t.Errorf("exit %d, %q, %q", code, stdout, stderr)
					}
					return
				}
				if code != u.code {
					t.Fatalf("exit %d, want %d: %s", code, u.code, stderr)
				}
				if u.code == app.ExitFailure {
					return
				}
				if output == app.OutputJSON {
					checkJSON(t, stdout)
				} else {
					checkCSV(t, stdout)
				}
			})
		}
	}
}

func checkJSON(t *testing.T, text string) {
	t.Helper()
	decoder := json.NewDecoder(strings.NewReader(text))
	values := 0
	for ; ; values++ {
		var value any
		err := decoder.Decode(&value)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%v in\n%s", err, text)
		}
		checkNames(t, value)
	}
	if values == 0 {
		t.Error("there is no JSON")
	}
}

func checkNames(t *testing.T, value any) {
	t.Helper()
	switch v := value.(type) {
	case []any:
		for _, one := range v {
			checkNames(t, one)
		}
	case map[string]any:
		for name, one := range v {
			if !named.MatchString(name) && name != "CUSUM" && name != "EWMA" { // keys of a map: the charts
				t.Errorf("a field is called %q", name)
			}
			checkNames(t, one)
		}
	}
}

func checkCSV(t *testing.T, text string) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) == 0 {
		t.Fatalf("%d rows, %v in\n%s", len(rows), err, text)
	}
	seen := map[string]bool{}
	for _, name := range rows[0] {
		if !named.MatchString(name) || seen[name] {
			t.Errorf("a column is called %q, or two are", name)
		}
		seen[name] = true
	}
}

// TestCSV holds what a list and a single thing look like.
func TestCSV(t *testing.T) {
	for name, args := range map[string]string{"gauges_csv": "gauges", "history_readings_csv": "history readings", "jobs_csv": "jobs", "history_replay_csv": "history replay"} {
		_, stdout, _ := uses[args].call(t, args, served(t), "--output", "csv")
		golden(t, name, stdout)
	}
	_, stdout, _ := uses["job show"].call(t, "job show", served(t), "--output", "csv")
	for _, want := range []string{"name,value\njob.id,3\njob.unit_serial,TC-0412\n", "\njob.evaluation.measurements.1.name,depth\n"} {
		if !strings.Contains(stdout, want) {
			t.Errorf("no %q in\n%s", want, stdout)
		}
	}
}

// TestHelpHasNoJSON: help is refused as other texts for a person are.
func TestHelpHasNoJSON(t *testing.T) {
	if code, stdout, stderr := call(t, "/nowhere", "", "help", "job", "--output", "json"); code != app.ExitUsage || stdout != "" {
		t.Errorf("exit %d, %q, %q", code, stdout, stderr)
	}
	if code, stdout, _ := call(t, "/nowhere", "", "help", "job"); code != app.ExitFine || !strings.Contains(stdout, "Available Commands") {
		t.Errorf("exit %d, %q", code, stdout)
	}
}
