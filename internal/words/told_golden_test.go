package words

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v4"

	"gauged/internal/gauge"
)

// TestEveryFindingInBothLanguages holds what findings, and what they are made of, say in each
// language, with an example for each argument: all of them, and none that may be missing.
func TestEveryFindingInBothLanguages(t *testing.T) {
	c := load(t)
	golden(t, "testdata/findings.golden", inBothLanguages(t, c, keysOf(t, "findings", "formulas", "parts", "parts_found", "rules", "warnings"), example))
}

// TestEveryEntryInBothLanguages holds what is told of an entry of a shop's file.
func TestEveryEntryInBothLanguages(t *testing.T) {
	c := load(t)
	named := func(c *Catalogue, key, name string) gauge.Arg {
		if c.patterns[key][English].form(name) != "" {
			return example(c, key, name)
		}
		return gauge.Text(name, "<"+name+">")
	}
	golden(t, "testdata/entries.golden", inBothLanguages(t, c, keysOf(t, "entries", "entries_formula", "entries_procedure", "entries_station", "notes", "rejections", "doors"), named))
}

// inBothLanguages is what the texts of keys say in each language, with all arguments, and
// without those that may be missing.
func inBothLanguages(t *testing.T, c *Catalogue, keys []string, example func(c *Catalogue, key, name string) gauge.Arg) string {
	t.Helper()
	var text strings.Builder
	for _, key := range keys {
		names, _ := c.Placeholders(key)
		var all, needed []gauge.Arg
		for _, name := range names {
			name, optional := strings.CutSuffix(name, "?")
			all = append(all, example(c, key, name))
			if !optional {
				needed = append(needed, example(c, key, name))
			}
		}
		text.WriteString(key + "\n")
		for _, l := range Languages {
			for i, args := range [][]gauge.Arg{all, needed} {
				said, err := c.In(l.Tag).Text(gauge.Say(key, args...))
				if err != nil {
					t.Errorf("%s: %v", key, err)
				}
				if i == 0 || len(needed) < len(all) {
					text.WriteString("  " + string(l.Tag) + " " + said + "\n")
				}
			}
		}
	}
	return text.String()
}

// keysOf are the keys of the texts in files, sorted.
func keysOf(t *testing.T, names ...string) []string {
	t.Helper()
	all := map[string]yaml.Node{}
	for _, file := range names {
		content, err := files.ReadFile("messages/" + file + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		if err := yaml.Unmarshal(content, &all); err != nil {
			t.Fatal(err)
		}
	}
	return slices.Sorted(maps.Keys(all))
}

// example is an argument of the kind that the form of its placeholder asks for.
func example(c *Catalogue, key, name string) gauge.Arg {
	switch form := c.patterns[key][English].form(name); {
	case form == "and", form == "or", form == "named":
		return gauge.Texts(name, []string{"depth", "height"})
	case form == "day":
		return gauge.Moment(name, time.Date(2026, 3, 31, 14, 5, 0, 0, time.Local))
	case strings.Contains(form, "|"):
		return gauge.Count(name, 2)
	case form == "sentences":
		return gauge.List(name, gauge.Nested("", gauge.Plain("One.")), gauge.Nested("", gauge.Plain("Two.")))
	}
	return gauge.Shown(name, "0.120", gauge.Millimetre)
}

// form is the first form in which a placeholder is written.
func (p pattern) form(name string) string {
	for _, piece := range p {
		if piece.name == name && piece.form != "" {
			return piece.form
		}
		if piece.inside != nil {
			if form := piece.inside.form(name); form != "" {
				return form
			}
		}
	}
	return ""
}
