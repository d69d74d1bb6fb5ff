package page

import (
	"io/fs"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// TestIslandsOfEnglish: no place of the page is English in every language.
func TestIslandsOfEnglish(t *testing.T) {
	island := regexp.MustCompile(`<[a-z]+[^<>]*lang="en"[^<>]*>([^<]*)`)
	files, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		content, err := fs.ReadFile(templateFiles, file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range island.FindAllStringSubmatch(string(content), -1) {
			t.Errorf("an island of English: %s: %s", file, m[1])
		}
	}
}

// point is a decimal number written with a point. A version, or what stands in a
// file, has no German form.
var point = regexp.MustCompile(`(^|[^0-9A-Za-z._-])[-+±]?[0-9]+\.[0-9]+([^0-9A-Za-z._-]|$)`)

// asTyped are the elements whose text is a file's, and English by its mark.
func asTyped(n *html.Node) bool {
	return slices.Contains([]string{"code", "textarea", "script", "style"}, n.Data) ||
		slices.ContainsFunc(n.Attr, func(a html.Attribute) bool { return a.Key == "lang" && a.Val == "en" })
}

// pointed is the first text on a German page that has a number with a point.
func pointed(content string) string {
	tree, err := html.Parse(strings.NewReader(content))
	if err != nil {
		return err.Error()
	}
	for n := range tree.Descendants() {
		text := n.Data
		if n.Type != html.TextNode || !point.MatchString(text) {
			continue
		}
		typed := false
		for up := n.Parent; up != nil; up = up.Parent {
			typed = typed || asTyped(up)
		}
		if !typed {
			return strings.TrimSpace(text)
		}
	}
	return ""
}

func TestPointed(t *testing.T) {
	for content, want := range map[string]string{
		"<p>Spiel 0.15 mm</p>":                         "Spiel 0.15 mm",
		"<p>Spiel 0,15 mm am 2026-01-02</p>":           "",
		`<p>Spiel <span lang="en">0.15 mm</span></p>`:  "",
		"<p>Ausgabe <code>min: 0.15</code> v1.2.3</p>": "",
		"<svg><text>-0.15</text></svg>":                "-0.15",
	} {
		if got := pointed(content); got != want {
			t.Errorf("%s: %q", content, got)
		}
	}
}

// speaksGerman demands that a page, got in German, has no number with a point.
func (r *rig) speaksGerman(path string) {
	r.Helper()
	status, body := r.get(path, "Accept-Language", "de")
	if status == http.StatusOK && strings.Contains(body, `<html lang="de"`) {
		if text := pointed(body); text != "" {
			r.Errorf("%s in German: %q", path, text)
		}
	}
}
