package library_test

import (
	"context"
	"testing"

	"gauged/internal/library"
	"gauged/internal/words"
)

const (
	procedureOf = "title: t\nunit: mm\nmeasure: {a: {title: a}}\ngap: a\nallow: {result: {max: 1}}\n"
	familyOf    = "title: t\nunit: mm\ngrades: [{part: one, thickness: 1}]\n"
)

// TestNamesOfSeveralFiles: a name that another file has, whatever its capitals, is told with
// both places, in the language of who reads it. A procedure and a family may share one.
func TestNamesOfSeveralFiles(t *testing.T) {
	file := func(path, content string) library.Source { return library.Source{Path: path, Content: []byte(content)} }
	_, err := library.New(context.Background().Err,
		[]library.Source{file("a.yaml", "procedure: shaft\n"+procedureOf), file("b.yaml", "# ours\nprocedure: Shaft\n"+procedureOf), file("c.yaml", "procedure: shaft\n"+procedureOf), file("d.yaml", "procedure: rings\n"+procedureOf)},
		[]library.Source{file("f.yaml", "family: rings\n"+familyOf), file("g.yaml", "family: RINGS\n"+familyOf)})
	for l, want := range map[words.Language]string{
		words.English: "g.yaml:1:9: rings and RINGS differ in capitals only, at f.yaml:1:9: give them different names\n" +
			"b.yaml:2:12: shaft and Shaft differ in capitals only, at a.yaml:1:12: give them different names\n" +
			"c.yaml:1:12: the procedure id \"shaft\" is taken, see a.yaml:1:12",
		words.German: "g.yaml:1:9: rings und RINGS unterscheiden sich nur in der Großschreibung, in f.yaml:1:9: ihnen verschiedene Namen geben\n" +
			"b.yaml:2:12: shaft und Shaft unterscheiden sich nur in der Großschreibung, in a.yaml:1:12: ihnen verschiedene Namen geben\n" +
			"c.yaml:1:12: der Name „shaft“ (Verfahren) ist vergeben, siehe a.yaml:1:12",
	} {
		if err == nil || words.In(l).Error(err) != want {
			t.Errorf("got\n%s\nwant\n%s", words.In(l).Error(err), want)
		}
	}
}
