package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestPagesRender: every command, the daemon and each kind of file has its page, and
// mandoc has nothing to warn of in any.
func TestPagesRender(t *testing.T) {
	all, err := pages("../..")
	if err != nil {
		t.Fatal(err)
	}
	dir, paths := t.TempDir(), []string{}
	for name, page := range all {
		path := filepath.Join(dir, filepath.Base(name))
		if err := os.WriteFile(path, page, 0o600); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	for _, name := range []string{"man1/gaugectl.1", "man1/gaugectl-job.1", "man8/gauged.8", "man5/gauged-station.5"} {
		if len(all[name]) == 0 {
			t.Errorf("%s is missing", name)
		}
	}
	out, err := exec.Command("mandoc", append([]string{"-T", "lint", "-W", "warning"}, paths...)...).CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("mandoc: %v\n%s", err, out)
	}
}

// TestPageReads: what a person reads of a page has its parts, its lists and what is
// typed, and none of the marks of Markdown or roff.
func TestPageReads(t *testing.T) {
	page := fileFormat("thing", "a thing", "# Thing\n\nFirst `a-b` and [there](x.md#y), *so*.\n\n- one\n  more\n- .two\n\n## Part\n\n    key: \\d+  # said\n\n| key | meaning |\n|---|---|\n| `x` | a \\| b |\n")
	cmd := exec.Command("mandoc", "-T", "utf8", "-O", "width=72")
	cmd.Stdin = strings.NewReader(string(page))
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	plain := strings.Join(strings.Fields(overstruck(string(out))), " ")
	want := "THING(5) Gauged THING(5) NAME thing - a thing DESCRIPTION First a-b and there, so. • one more • .two PART key: \\d+ # said x a | b SEE ALSO gauged(8), gaugectl-check(1) gauged " + edited + " THING(5)"
	if plain != want {
		t.Errorf("%s\nwant\n%s", plain, want)
	}
}

// overstruck takes out the letters that a backspace goes over.
func overstruck(text string) string {
	var out []rune
	for _, r := range text {
		if r == '\b' && len(out) > 0 {
			out = out[:len(out)-1]
			continue
		}
		out = append(out, r)
	}
	return string(out)
}
