package words

import (
	"flag"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares a text with a file.
func golden(t *testing.T, file, text string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) == text {
		return
	}
	had := strings.Split(string(want), "\n")
	for i, line := range strings.Split(text, "\n") {
		if i >= len(had) || had[i] != line {
			t.Fatalf("%s:%d: got %q; read the difference that -update writes", file, i+1, line)
		}
	}
	t.Fatalf("%s has more than is told", file)
}
