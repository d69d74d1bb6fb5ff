package signin

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
)

// TestEveryFieldHasItsLabel: each field of the forms of the page is read under a name of its
// own by who signs it, or says nothing to them.
func TestEveryFieldHasItsLabel(t *testing.T) {
	pages, _ := filepath.Glob("../templates/*.html")
	if len(pages) < 10 {
		t.Fatalf("only %d pages", len(pages))
	}
	name, get := regexp.MustCompile(`name="([a-z]+)"`), regexp.MustCompile(`(?s)<form[^>]*method="get".*?</form>`)
	none := []string{"viewport", "person", "pin", "code", "title", "language", "light", "a", "more"} // of no act
	for _, page := range pages {
		content, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range name.FindAllStringSubmatch(get.ReplaceAllString(string(content), ""), -1) {
			if field := m[1]; !slices.Contains(none, field) && labels[field] == "" && !slices.Contains(bookkeeping, field) {
				t.Errorf("%s: the field %s has no label for who signs it", page, field)
			}
		}
	}
}
