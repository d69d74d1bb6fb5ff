package gauged_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// pages are what a reader opens: the first pages, and every page of docs.
func pages(t *testing.T) []string {
	t.Helper()
	return append([]string{"README.md", "DEVELOPERS.md"}, glob(t, "docs/*.md")...)
}

// link is a link or picture of a page: [text](target).
var link = regexp.MustCompile(`\[[^\]\n]*(?:\n[^\]\n]*)?\]\(([^()\s]+)\)`)

// TestLinks: every link between the pages leads to a file that is there, and to a
// heading that it has.
func TestLinks(t *testing.T) {
	found := 0
	for _, page := range pages(t) {
		for _, m := range link.FindAllStringSubmatch(prose(readFile(t, page)), -1) {
			if strings.Contains(m[1], "://") {
				continue
			}
			found++
			file, anchor, _ := strings.Cut(m[1], "#")
			target := page
			if file != "" {
				target = filepath.Join(filepath.Dir(page), file)
			}
			if _, err := os.Stat(target); err != nil {
				t.Errorf("%s links to %s, which is not there", page, m[1])
				continue
			}
			if anchor != "" && !slices.Contains(anchors(readFile(t, target)), anchor) {
				t.Errorf("%s links to %s: %s has no such heading", page, m[1], target)
			}
		}
	}
	if found < 40 {
		t.Errorf("%d links were found: this test no longer finds them", found)
	}
}

// anchors are the names by which the headings of a page are reached, and the
// places that have a name of their own.
func anchors(page string) (all []string) {
	for line := range strings.Lines(prose(page)) {
		if heading := strings.TrimLeft(line, "#"); heading != line {
			all = append(all, slug(heading))
		}
		for _, m := range regexp.MustCompile(`<a id="([^"]+)">`).FindAllStringSubmatch(line, -1) {
			all = append(all, m[1])
		}
	}
	return all
}

// slug is a heading in small letters with hyphens, without marks.
func slug(heading string) string {
	heading = strings.ToLower(strings.TrimSpace(heading))
	return strings.ReplaceAll(regexp.MustCompile(`[^\p{L}\p{N} _-]`).ReplaceAllString(heading, ""), " ", "-")
}

// prose is a page without its indented blocks.
func prose(page string) string {
	return regexp.MustCompile(`(?m)^    .*\n?`).ReplaceAllString(page, "")
}

// TestContents: the table of contents names each page of docs once.
func TestContents(t *testing.T) {
	named := map[string]int{}
	for _, m := range link.FindAllStringSubmatch(readFile(t, "docs/README.md"), -1) {
		named[filepath.Join("docs", m[1])]++
	}
	all := glob(t, "docs/*.md")
	for _, page := range all {
		if want := 1; page != "docs/README.md" && named[page] != want {
			t.Errorf("docs/README.md names %s %d times, want %d", page, named[page], want)
		}
	}
	if len(all) < 12 {
		t.Errorf("only %d pages", len(all))
	}
}

// TestPictureOfTheHouse: the picture of the packages is drawn from the table of
// DEVELOPERS.md, which TestImports holds against the imports.
func TestPictureOfTheHouse(t *testing.T) {
	drawn, err := exec.Command("go", "run", "./tools/pictures", "-o", "-").CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, drawn)
	}
	if string(drawn) != readFile(t, "docs/house.svg") {
		t.Error("docs/house.svg is not the table of DEVELOPERS.md: go run ./tools/pictures draws it again")
	}
}

// TestPicturesOfThePage: each is small and shown once. make screens makes them.
func TestPicturesOfThePage(t *testing.T) {
	pictures := glob(t, "docs/screens/*.png")
	if len(pictures) == 0 || len(pictures) > 8 {
		t.Errorf("%d pictures, want 8 at most", len(pictures))
	}
	page := readFile(t, "docs/screens.md")
	for _, picture := range pictures {
		content := readFile(t, picture)
		if len(content) > 60<<10 || !strings.HasPrefix(content, "\x89PNG") {
			t.Errorf("%s has %d bytes, want a PNG of 60 KiB at most", picture, len(content))
		}
		if n := strings.Count(page, "](screens/"+filepath.Base(picture)+")"); n != 1 {
			t.Errorf("docs/screens.md shows %s %d times", picture, n)
		}
	}
}

// mostWords is how long a sentence of the pages may be that people begin with.
const mostWords = 25

// longerSentences are the most words that a sentence has on the other pages. Make
// it fewer, never more.
var longerSentences = map[string]int{
	"docs/refusals.md": 40, // its texts are those of the catalogue
}

// packageList is a cell that lists packages, which is no sentence.
var packageList = regexp.MustCompile(`^[a-z/]+(?:, [a-z/]+)+$`)

// readingList is the readings of an example, which is no sentence.
var readingList = regexp.MustCompile(`^and the readings (?:[a-z ]+, )?[a-z_]+ [0-9.]+ [a-z]+(?:, [a-z_]+ [0-9.]+ [a-z]+)*$`)

// TestPlainSentences: no page has a long sentence.
func TestPlainSentences(t *testing.T) {
	found := 0
	for _, page := range pages(t) {
		most := mostWords
		if longer := longerSentences[page]; longer != 0 {
			most = longer
		}
		for _, sentence := range sentences(readFile(t, page)) {
			found++
			if n := len(strings.Fields(sentence)); n > most && !packageList.MatchString(sentence) && !readingList.MatchString(sentence) {
				t.Errorf("%s: a sentence of %d words, want %d at most: %s", page, n, most, sentence)
			}
		}
	}
	if found < 1500 {
		t.Errorf("%d sentences were found: this test no longer finds them", found)
	}
}

// sentences are those of a page: they end with a full stop, a question mark or an
// exclamation mark, and with a paragraph, a list's entry, a cell or a heading.
func sentences(page string) (all []string) {
	text := regexp.MustCompile(`<!--(?s:.*?)-->`).ReplaceAllString(prose(page), "")
	text = regexp.MustCompile("`[^`]*`").ReplaceAllString(text, "code") // a command counts as one word
	text = link.ReplaceAllStringFunc(text, func(l string) string { return l[strings.Index(l, "[")+1 : strings.Index(l, "]")] })
	ends := regexp.MustCompile(`\n\s*\n|\n\s*(?:-|\d+\.|\|)|\||(?m:^#+ .*$)|[.?!]["')*]*(?:\s|$)`)
	for _, sentence := range ends.Split(text, -1) {
		if words := strings.Fields(sentence); len(words) > 0 {
			all = append(all, strings.Join(words, " "))
		}
	}
	return all
}

// guides are the pages for each user: by doing, and short.
var guides = []string{"docs/technician.md", "docs/quality-lead.md", "docs/integrator.md", "docs/setting-up.md", "docs/clients-go.md", "docs/clients-python.md", "docs/clients-node.md"}

// TestGuidesAreShort: each is read in one go.
func TestGuidesAreShort(t *testing.T) {
	for _, page := range guides {
		if n := strings.Count(readFile(t, page), "\n"); n >= 120 {
			t.Errorf("%s has %d lines, want under 120", page, n)
		}
	}
}
