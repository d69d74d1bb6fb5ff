package gauged_test

import (
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestFuzzTargets: the list of fuzz targets, by which make fuzz goes, names each that is
// there and no other.
func TestFuzzTargets(t *testing.T) {
	there := map[string]bool{}
	target := regexp.MustCompile(`(?m)^func (Fuzz\w+)\(`)
	eachFile(t, ".", func(path string) {
		if strings.HasSuffix(path, "_test.go") {
			for _, m := range target.FindAllStringSubmatch(readFile(t, path), -1) {
				there["./"+filepath.ToSlash(filepath.Dir(path))+" "+m[1]] = true
			}
		}
	})
	var listed []string
	for line := range strings.Lines(readFile(t, "tools/fuzz.txt")) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			listed = append(listed, line)
		}
	}
	if want := slices.Sorted(maps.Keys(there)); !slices.Equal(listed, want) {
		t.Errorf("tools/fuzz.txt lists\n%s\nand there are\n%s", strings.Join(listed, "\n"), strings.Join(want, "\n"))
	}
}
