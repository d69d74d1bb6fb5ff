package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"gauged/internal/wire"
	"gauged/internal/words"
)

// begin stands in the page where the tables begin.
const begin = "<!-- make generate writes what follows -->\n"

// elsewhere are the files of texts that are not codes of their own in the tables: refusals
// stand in a table of theirs, of tables and parts of sentences only people read.
var elsewhere = []string{"refusals.yaml", "refusals_studies.yaml", "files.yaml", "parts.yaml"}

// written is the page with its tables anew.
func written(root, before string) (string, error) {
	byHand, _, ok := strings.Cut(before, begin)
	if !ok {
		return "", fmt.Errorf("%s: there is no line %q", page, strings.TrimSpace(begin))
	}
	s, err := scan(root)
	if err != nil {
		return "", err
	}
	c, err := words.Load()
	if err != nil {
		return "", err
	}
	t := tables{c: c, english: c.In(words.English)}
	t.WriteString(byHand + begin)
	if err := t.refusals(s); err != nil {
		return "", err
	}
	t.findings(s)
	if err := t.messages(root); err != nil {
		return "", err
	}
	return t.String(), nil
}

type tables struct {
	strings.Builder
	c       *words.Catalogue
	english words.Words
}

// refusals has a row for each reason that a call can answer with.
func (t *tables) refusals(s *source) error {
	fmt.Fprint(t, "\n## Reasons\n\n| reason | status | what it says | arguments |\n| --- | --- | --- | --- |\n")
	for _, key := range t.c.Keys() {
		if !strings.HasPrefix(key, "refusal.") || s.statuses[key] == nil {
			continue
		}
		row, err := t.row(wire.Reason(key), key, s.status(key))
		if err != nil {
			return err
		}
		t.WriteString(row)
	}
	return nil
}

// findings has a row for each code of a finding.
func (t *tables) findings(s *source) {
	fmt.Fprint(t, "\n## Findings\n\n`Finding.code` is one of these. The sentence is in `Finding.message`.\n\n| code | what it is |\n| --- | --- |\n")
	slices.SortFunc(s.findings, func(a, b finding) int { return strings.Compare(a.code, b.code) })
	for _, f := range s.findings {
		fmt.Fprintf(t, "| `%s` | %s |\n", f.code, f.meaning)
	}
}

// messages has a table for each file of texts, with its first line as what they are about.
func (t *tables) messages(root string) error {
	files, err := filepath.Glob(filepath.Join(root, "internal/words/messages/*.yaml"))
	if err != nil {
		return err
	}
	fmt.Fprint(t, "\n## Messages\n\n`Message.code` is one of these, wherever a message has one.\n")
	key := regexp.MustCompile(`(?m)^[a-z_-]+\.[a-z0-9_.-]+`)
	for _, file := range files {
		if slices.Contains(elsewhere, filepath.Base(file)) {
			continue
		}
		content, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		about, _, _ := strings.Cut(strings.TrimPrefix(string(content), "# "), "\n")
		fmt.Fprintf(t, "\n%s\n\n| code | what it says | arguments |\n| --- | --- | --- |\n", about)
		for _, code := range key.FindAllString(string(content), -1) {
			row, err := t.row(code, code)
			if err != nil {
				return err
			}
			t.WriteString(row)
		}
	}
	return nil
}

// row is the row of a code: its name, more columns, its sentence, and its arguments.
func (t *tables) row(name, key string, more ...string) (string, error) {
	text, ok := t.english.Outline(key)
	if !ok {
		return "", fmt.Errorf("there is no text %q in the catalogue", key)
	}
	names, _ := t.c.Placeholders(key)
	cells := append(append([]string{"`" + name + "`"}, more...), strings.NewReplacer("|", `\|`, "\n", " ").Replace(text), strings.Join(names, ", "))
	return "| " + strings.Join(cells, " | ") + " |\n", nil
}
