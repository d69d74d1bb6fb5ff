package vet

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
)

// The published procedures, and those of the demonstration.
const (
	tradeDir = "../../testdata/trade"
	demoDir  = "../../deploy/demo"
)

func read(t testing.TB, path string) []byte {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

// all are the files that a pattern names.
func all(t testing.TB, pattern string) []string {
	t.Helper()
	paths, err := filepath.Glob(pattern)
	if err != nil || len(paths) == 0 {
		t.Fatalf("%s: %d files, %v", pattern, len(paths), err)
	}
	return paths
}

// readFamilies reads part families from files.
func readFamilies(t testing.TB, pattern string) procedure.Families {
	t.Helper()
	families := procedure.Families{}
	paths, _ := filepath.Glob(pattern)
	for _, path := range paths {
		f, err := procedure.ReadFamily(path, read(t, path))
		if err != nil {
			t.Fatal(err)
		}
		families[f.ID] = f
	}
	return families
}

func indented(text string) string {
	return "  " + strings.ReplaceAll(strings.TrimSpace(text), "\n", "\n  ") + "\n"
}

// kitOf is a family file with the given lines under its unit.
func kitOf(lines ...string) string {
	return "family: kit\ntitle: t\nunit: mm\n" + strings.Join(lines, "\n") + "\n"
}
