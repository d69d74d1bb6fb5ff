package page

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// TestEveryFindingHasWords: each finding of the evaluation has its heading on the
// page.
func TestEveryFindingHasWords(t *testing.T) {
	source, err := os.ReadFile("../evaluate/evaluation.go")
	if err != nil {
		t.Fatal(err)
	}
	words, err := os.ReadFile("words/catalogue.yaml")
	if err != nil {
		t.Fatal(err)
	}
	codes := regexp.MustCompile(`FindingCode += "([a-z_]+)"`).FindAllStringSubmatch(string(source), -1)
	if len(codes) < 30 {
		t.Fatalf("only %d findings were found", len(codes))
	}
	for _, code := range codes {
		if !strings.Contains(string(words), "\nfinding."+code[1]+": {") {
			t.Errorf("the finding %s has no heading in words/catalogue.yaml", code[1])
		}
	}
}
