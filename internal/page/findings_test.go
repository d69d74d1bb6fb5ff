package page

import (
	"os"
	"regexp"
	"testing"

	"gauged/internal/words"
)

// TestEveryFindingHasWords: each finding of the evaluation has its heading on the
// page.
func TestEveryFindingHasWords(t *testing.T) {
	catalogue, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for _, file := range []string{"../evaluate/evaluation.go", "../evaluate/doubt/doubts.go"} {
		source, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		found := regexp.MustCompile(`\b(?:Finding)?Code += "([a-z_]+)"`).FindAllStringSubmatch(string(source), -1)
		if len(found) < 5 {
			t.Fatalf("only %d findings were found in %s", len(found), file)
		}
		for _, f := range found {
			codes = append(codes, f[1])
		}
	}
	if len(codes) < 35 {
		t.Fatalf("only %d findings were found", len(codes))
	}
	for _, code := range codes {
		if !catalogue.In(words.English).Has("finding." + code) {
			t.Errorf("the finding %s has no heading in the catalogue", code)
		}
	}
}
