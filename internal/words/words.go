// Package words has the texts of the bench page in each language, out of one
// catalogue, and writes numbers and times the way a language does. What a shop
// wrote itself, such as the title of a procedure, is shown as it is.
package words

import (
	"embed"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"time"

	"go.yaml.in/yaml/v4"

	"gauged/internal/gauge"
)

// Language is a language of the catalogue, by its BCP 47 tag.
type Language string

// The languages. The first one stands in for a language that is not there.
const (
	English Language = "en"
	German  Language = "de"
)

// Languages lists them with the name that each gives itself. Comma says that its decimal
// sign is a comma; values of a list then have semicolons between them.
var Languages = []struct {
	Tag   Language
	Name  string
	Comma bool
}{{English, "English", false}, {German, "Deutsch", true}}

// The texts of the page and the sheet are in catalogue.yaml, those of messages, see
// Words.Tell, below messages, one file for each kind.
//
//go:embed catalogue.yaml messages/*.yaml
var files embed.FS

// Catalogue is every text in every language.
type Catalogue struct {
	texts    map[string]map[Language]string
	patterns map[string]map[Language]pattern // of the texts that have no %s
}

// Load returns the catalogue, which is read once. The error names every key that is no
// name, every text that lacks a language or stands in two places, and every text whose
// placeholders differ between languages.
func Load() (*Catalogue, error) { return embedded() }

// readEmbedded reads the catalogue that the program has in it.
func readEmbedded() (*Catalogue, error) {
	content, err := files.ReadFile("catalogue.yaml")
	if err != nil {
		return nil, err
	}
	messages, err := files.ReadDir("messages")
	if err != nil {
		return nil, err
	}
	for _, file := range messages {
		more, err := files.ReadFile("messages/" + file.Name())
		if err != nil {
			return nil, err
		}
		content = append(append(content, '\n'), more...)
	}
	return parse(content)
}

// name is what a key looks like: words of small letters, joined by dots.
var name = regexp.MustCompile(`^[a-z0-9_-]+(\.[a-z0-9_-]+)+$`)

func parse(content []byte) (*Catalogue, error) {
	var entries map[string]yaml.Node
	if err := yaml.Unmarshal(content, &entries); err != nil {
		return nil, fmt.Errorf("catalogue of texts: %w", err)
	}
	c := &Catalogue{texts: map[string]map[Language]string{}, patterns: map[string]map[Language]pattern{}}
	var problems []string
	problem := func(format string, args ...any) { problems = append(problems, fmt.Sprintf(format, args...)) }
	for _, key := range slices.Sorted(maps.Keys(entries)) {
		if !name.MatchString(key) {
			problem("%q is no name of small letters with dots between its words", key)
		}
		if entry := entries[key]; entry.Kind != yaml.ScalarNode {
			var texts map[Language]string
			if err := entry.Decode(&texts); err != nil {
				problem("%s: %s", key, err)
			}
			c.texts[key] = texts
		}
	}
	problems = append(append(problems, c.gaps()...), c.twice()...)
	for key, entry := range entries {
		if entry.Kind != yaml.ScalarNode {
			continue
		}
		if like := entries[entry.Value]; like.Kind == 0 || like.Kind == yaml.ScalarNode {
			problem("%s says the same as %s, which has no text of its own", key, entry.Value)
		}
		c.texts[key] = c.texts[entry.Value]
	}
	problems = append(problems, c.takeApart()...)
	if len(problems) > 0 {
		slices.Sort(problems)
		return nil, fmt.Errorf("catalogue of texts: %s", strings.Join(problems, "; "))
	}
	return c, nil
}

// gaps are the texts that are missing in a language or differ in what is filled in.
func (c *Catalogue) gaps() (problems []string) {
	for key, texts := range c.texts {
		for _, l := range Languages {
			text, ok := texts[l.Tag]
			switch {
			case !ok:
				problems = append(problems, fmt.Sprintf("%s has no text in %q", key, l.Tag))
			case strings.Count(text, "%s") != strings.Count(texts[English], "%s"):
				problems = append(problems, fmt.Sprintf("%s in %q has other placeholders than in %q", key, l.Tag, English))
			}
		}
		if len(texts) > len(Languages) {
			problems = append(problems, key+" has a language that is not in the list")
		}
	}
	return problems
}

// takeApart finds the named placeholders of the texts that have any. They must be the
// same in each language.
func (c *Catalogue) takeApart() (problems []string) {
	for key, texts := range c.texts {
		c.patterns[key] = map[Language]pattern{}
		for _, l := range Languages {
			if strings.Contains(texts[l.Tag], "%s") {
				continue
			}
			p, err := parsePattern(texts[l.Tag])
			if err != nil {
				problems = append(problems, fmt.Sprintf("%s in %q: %s", key, l.Tag, err))
			}
			if want := c.patterns[key][English]; l.Tag != English && !slices.Equal(p.names(), want.names()) {
				problems = append(problems, fmt.Sprintf("%s in %q fills in %s, in %q %s", key, l.Tag, list(p), English, list(want)))
			}
			c.patterns[key][l.Tag] = p
		}
	}
	return problems
}

// list names the placeholders of a text.
func list(p pattern) string {
	if names := p.names(); len(names) > 0 {
		return strings.Join(names, ", ")
	}
	return "nothing"
}

// twice are the texts that are worded in two places: the same in every language. One
// English word may stand for two German ones, and the other way round.
func (c *Catalogue) twice() (problems []string) {
	first := map[string]string{}
	for _, key := range c.Keys() {
		var all []string
		for _, l := range Languages {
			all = append(all, c.texts[key][l.Tag])
		}
		text := strings.Join(all, "\n")
		if before, ok := first[text]; ok {
			problems = append(problems, fmt.Sprintf("%s and %s have the same text: one of them refers to the other", before, key))
		}
		first[text] = key
	}
	return problems
}

// Keys returns the names of all texts, sorted.
func (c *Catalogue) Keys() []string {
	return slices.Sorted(maps.Keys(c.texts))
}

// Placeholders returns the names that are filled in to a message of a code, sorted, one
// that may be missing with a question mark behind it; and whether the code has a text.
func (c *Catalogue) Placeholders(code string) (names []string, ok bool) {
	p, ok := c.patterns[code][English]
	return p.names(), ok
}

// Outline returns the text of a code with its placeholders as {name}, for who looks codes
// up, and whether the code has one.
func (w Words) Outline(code string) (string, bool) {
	p, ok := w.c.patterns[code][w.l]
	return p.outline(), ok
}

// In returns the texts of one language.
func (c *Catalogue) In(l Language) Words { return Words{c: c, l: l} }

// Words is the texts of one language.
type Words struct {
	c *Catalogue
	l Language

	signs bool // units in messages as Unit writes them, for pages and print
}

// WithSigns are the words of what is shown on a page or printed: messages write a unit as people read it (µm),
// not as it is typed (um).
func (w Words) WithSigns() Words {
	w.signs = true
	return w
}

// comma reports whether the decimal sign of the language is a comma.
func (w Words) comma() bool {
	for _, l := range Languages {
		if l.Tag == w.l {
			return l.Comma
		}
	}
	return false
}

// Language returns the language's tag.
func (w Words) Language() Language { return w.l }

// Say returns a text with its placeholders filled in, in their order. A text
// that is not in the catalogue is an error: tests render every page.
func (w Words) Say(key string, args ...any) (string, error) {
	texts, ok := w.c.texts[key]
	if !ok {
		return "", fmt.Errorf("there is no text %q in the catalogue", key)
	}
	if n := strings.Count(texts[w.l], "%s"); n != len(args) {
		return "", fmt.Errorf("the text %q has %d placeholders, not %d", key, n, len(args))
	}
	if len(args) == 0 {
		return texts[w.l], nil
	}
	filled := make([]any, len(args))
	for i, a := range args {
		filled[i] = fmt.Sprint(a)
	}
	return fmt.Sprintf(texts[w.l], filled...), nil
}

// Key makes the last part of a key out of a value of a closed list, such as an
// outcome: its words with hyphens between them, without commas.
func Key(value any) string { return gauge.Key(fmt.Sprint(value)) }

// Has reports whether the catalogue has a text.
func (w Words) Has(key string) bool { _, ok := w.c.texts[key]; return ok }

// commas turns decimal points into commas. The two points of an interval stay, and
// where a comma stood between the values of a function a semicolon does.
var commas = strings.NewReplacer("..", "..", ".", ",", ", ", "; ")

// Number writes a decimal number, an interval or a sum the way the language does. It
// is for what people look at: files and fields have a point.
func (w Words) Number(text string) string {
	if w.comma() {
		return commas.Replace(text)
	}
	return text
}

// Typed turns what a person typed into decimal text with a point. A comma is a
// decimal sign where the language has it as one, and is left to be refused elsewhere.
func (w Words) Typed(text string) string {
	text = strings.TrimSpace(text)
	if w.comma() && !strings.Contains(strings.ReplaceAll(text, "..", ""), ".") {
		return strings.ReplaceAll(text, ",", ".")
	}
	return text
}

// Age writes how long something is ago, in its largest unit.
func (w Words) Age(d time.Duration) (string, error) {
	switch d = max(d, 0); {
	case d < time.Second:
		return w.Say("age.now")
	case d < 2*time.Minute:
		return w.Say("age.seconds", int(d/time.Second))
	case d < 2*time.Hour:
		return w.Say("age.minutes", int(d/time.Minute))
	case d < 48*time.Hour:
		return w.Say("age.hours", int(d/time.Hour))
	}
	return w.Say("age.days", int(d/(24*time.Hour)))
}
