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
	source, err := os.ReadFile("../evaluate/evaluation.go")
	if err != nil {
		t.Fatal(err)
	}
	catalogue, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	codes := regexp.MustCompile(`FindingCode += "([a-z_]+)"`).FindAllStringSubmatch(string(source), -1)
	if len(codes) < 30 {
		t.Fatalf("only %d findings were found", len(codes))
	}
	for _, code := range codes {
		if !catalogue.In(words.English).Has("finding." + code[1]) {
			t.Errorf("the finding %s has no heading in the catalogue", code[1])
		}
	}
}
