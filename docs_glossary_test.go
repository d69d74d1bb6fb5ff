package gauged_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestGlossary: its words stand in order, each has a source and a place where it
// matters, and each is used: on a page of docs, or in the catalogue of texts.
func TestGlossary(t *testing.T) {
	const glossary = "docs/glossary.md"
	used := ""
	catalogue := append(glob(t, "internal/words/*.yaml"), glob(t, "internal/words/messages/*.yaml")...)
	if len(catalogue) == 0 {
		t.Error("the catalogue of texts is no longer in internal/words")
	}
	for _, page := range append(pages(t), catalogue...) {
		if page != glossary {
			used += strings.ToLower(readFile(t, page))
		}
	}
	used = strings.Join(strings.Fields(used), " ")
	entries := strings.Split(readFile(t, glossary), "\n### ")[1:]
	source := regexp.MustCompile(`\((?:JCGM \d+, |ISO \d+|OASIS MQTT |common practice, no source|our word)[^()]*; see \[`)
	var words []string
	for _, entry := range entries {
		word, meaning, _ := strings.Cut(entry, "\n")
		words = append(words, word)
		if !source.MatchString(meaning) {
			t.Errorf("%s names no source and no place where it matters:%s", word, meaning)
		}
		for one := range strings.SplitSeq(word, ", ") {
			if !regexp.MustCompile(`\b` + regexp.QuoteMeta(one) + `(?:s|es)?\b`).MatchString(used) {
				t.Errorf("%s is used nowhere", one)
			}
		}
	}
	if !slices.IsSorted(words) || len(slices.Compact(slices.Clone(words))) != len(words) {
		t.Errorf("the words are not in order, or one stands twice: %v", words)
	}
	if len(words) < 50 {
		t.Errorf("only %d words", len(words))
	}
}
