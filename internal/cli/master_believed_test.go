package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestCheckOfATableIsBelieved: a wrong unit, exchanged columns and a lost decimal are refused
// in a table too (numbers ours).
func TestCheckOfATableIsBelieved(t *testing.T) {
	const good = "b100,100,100.003,0.0002,2,11.5"
	for line, want := range map[string]string{
		good:                                  "",
		"b100,100,100.003,2,0.0002,11.5":      "are k and the uncertainty exchanged?",
		"b100,100,100.003,2,2,11.5":           "an uncertainty of 2 mm of a master of 100 mm is not believed",
		"b100,100,10.0004,0.0002,2,11.5":      "a reading of 10.0004 mm at a master of 100 mm is not believed",
		"b100,100,100.003,0.0002,2,0.0000115": "it is written in 1e-6/K",
		"b100,100,100.003,0.0002,2,11500":     "it is from 0 to 30",
	} {
		path := filepath.Join(t.TempDir(), "checks.csv")
		table := "master,value,reading,uncertainty,k,expansion\n" + line + "\n"
		if err := os.WriteFile(path, []byte(table), 0o600); err != nil {
			t.Fatal(err)
		}
		code, _, stderr := call(t, "", "", "master", "check", "--file", path, "--unit", "mm", "--mpe", "0.004", "--resolution", "0.001")
		if want != "" && code == 0 || !strings.Contains(stderr, want) {
			t.Errorf("%s: exit %d, no %q in %s", line, code, want, stderr)
		}
		if line != good {
			continue
		}
		if code, _, stderr := call(t, "", "", "master", "check", "--file", path, "--unit", "mm", "--mpe", "0.004", "--resolution", "0.001", "--temperature", "68"); code == 0 || !strings.Contains(stderr, "is it in degrees Fahrenheit?") {
			t.Errorf("68 degC: exit %d, %s", code, stderr)
		}
	}
}
