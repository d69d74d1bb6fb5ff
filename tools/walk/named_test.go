//go:build walk

package walk

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestCommandsThatPagesName: every command of gaugectl that a page names in code
// marks or shows in a block is there, with every flag that stands behind it.
func TestCommandsThatPagesName(t *testing.T) {
	s := &site{TB: t, name: "no station", dir: t.TempDir()}
	leaves := s.leaves()
	helps := map[string]string{}
	help := func(path string) string {
		if helps[path] == "" {
			helps[path] = s.ask("", append(strings.Fields(path), "--help")...).stdout
		}
		return helps[path]
	}
	pages, err := filepath.Glob(filepath.Join(root(t), "docs", "*.md"))
	if err != nil {
		t.Fatal(err)
	}
	commands, flags := 0, 0
	for _, page := range append(pages, filepath.Join(root(t), "README.md"), filepath.Join(root(t), "DEVELOPERS.md")) {
		content, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range namedIn(string(content)) {
			path := n.path(leaves)
			if path == "" {
				t.Errorf("%s names gaugectl %s, which is no command", filepath.Base(page), strings.Join(n.words, " "))
				continue
			}
			commands++
			under := []string{path} // a group stands for each of its commands
			for _, leaf := range leaves {
				if strings.HasPrefix(leaf, path+" ") {
					under = append(under, leaf)
				}
			}
			for _, flag := range n.flags {
				flags++
				has := regexp.MustCompile(regexp.QuoteMeta(flag) + `[\s=,]`)
				if !slices.ContainsFunc(under, func(path string) bool { return has.MatchString(help(path)) }) {
					t.Errorf("%s: gaugectl %s has no flag %s", filepath.Base(page), path, flag)
				}
			}
		}
	}
	if commands < 100 || flags < 60 {
		t.Errorf("%d commands and %d flags were found: this test no longer finds them", commands, flags)
	}
}

// mention is a use of gaugectl on a page.
type mention struct{ words, flags []string }

// namedIn finds what a page names: in code marks, also over two lines, and in blocks.
func namedIn(page string) (all []mention) {
	var pieces []string
	for line := range strings.Lines(page) {
		if strings.HasPrefix(line, "    ") {
			pieces = append(pieces, strings.Split(line, "  #")[0])
		}
	}
	prose := regexp.MustCompile(`(?m)^    .*\n?`).ReplaceAllString(page, "")
	for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(prose, -1) {
		pieces = append(pieces, m[1])
	}
	ends := regexp.MustCompile(`[|;&<>()]`)
	for _, piece := range pieces {
		for _, part := range strings.Split(" "+strings.Join(strings.Fields(piece), " "), " gaugectl ")[1:] {
			var n mention
			for _, word := range strings.Fields(ends.Split(part, 2)[0]) {
				switch {
				case strings.HasPrefix(word, "--"):
					n.flags = append(n.flags, strings.Split(word, "=")[0])
				case len(n.flags) == 0 && regexp.MustCompile(`^[a-z-]+$`).MatchString(word):
					n.words = append(n.words, word)
				case len(n.flags) == 0:
					n.words = append(n.words, "") // an argument: no command behind it
				}
			}
			if len(n.words) > 0 && n.words[0] != "" {
				all = append(all, n)
			}
		}
	}
	return all
}

// path is the command that the words begin with: one that does something, or a
// group that nothing more is said of; else it is empty.
func (n mention) path(leaves []string) string {
	for length := min(len(n.words), 3); length > 0; length-- {
		path := strings.Join(n.words[:length], " ")
		group := slices.ContainsFunc(leaves, func(leaf string) bool { return strings.HasPrefix(leaf, path+" ") })
		switch {
		case slices.Contains(leaves, path), path == "procedures": // which lists them itself
			return path
		case group && length < len(n.words) && n.words[length] != "":
			return ""
		case group:
			return path
		}
	}
	return ""
}
