package config

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/shopfile"
	"gauged/internal/words"
)

// TestReadFilesWithinBounds: of a directory no more is read than is said.
func TestReadFilesWithinBounds(t *testing.T) {
	many := t.TempDir()
	for i := range mostFiles + 1 {
		if err := os.WriteFile(filepath.Join(many, fmt.Sprintf("%d.yaml", i)), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	long, file := t.TempDir(), bytes.Repeat([]byte("# comment\n"), shopfile.MaxSize/10)
	for i := range mostBytes/len(file) + 1 {
		if err := os.WriteFile(filepath.Join(long, fmt.Sprintf("%d.yaml", i)), file, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for dir, want := range map[string]string{many: "1001 *.yaml files; at most 1000", long: "more than 32 MiB"} {
		if _, err := readFiles(dir); err == nil || !strings.Contains(words.In(words.English).Error(err), want) {
			t.Errorf("%v; want %s", err, want)
		}
	}
}
