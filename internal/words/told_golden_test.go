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
	var text strings.Builder
	for _, key := range findingKeys(t) {
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
	golden(t, "testdata/findings.golden", text.String())
}

// findingKeys are the keys of findings, of what a job says of its gauges, and their parts, sorted.
func findingKeys(t *testing.T) []string {
	t.Helper()
	all := map[string]yaml.Node{}
	for _, file := range []string{"findings", "formulas", "parts", "parts_found", "rules", "warnings"} {
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
	case form == "and", form == "or":
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
