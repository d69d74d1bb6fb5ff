//go:build walk

package walk

import (
	"encoding/json"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// leaves are the commands that do something, as the help lists them.
func (s *site) leaves(path ...string) (all []string) {
	s.Helper()
	a := s.ask("", append(path, "--help")...)
	at := "gaugectl " + strings.Join(path, " ") + " --help"
	if a.code != 0 || a.stderr != "" || !strings.Contains(a.stdout, "Usage:") {
		s.Errorf("%s: %d, %q, %q", at, a.code, a.stdout, a.stderr)
	}
	if found := wrong(a.stdout); found != "" {
		s.Errorf("%s: %s", at, found)
	}
	_, list, group := strings.Cut(a.stdout, "Available Commands:\n")
	if !group {
		return []string{strings.Join(path, " ")}
	}
	for line := range strings.Lines(list) {
		if strings.TrimSpace(line) == "" {
			break
		}
		all = append(all, s.leaves(append(slices.Clone(path), strings.Fields(line)[0])...)...)
	}
	return all
}

// guide fills the {words} of calls.
type guide struct {
	demo, past *site
	line       string // a simulated gauge that nobody has open
	news       int
}

// field is a text in what a command gives as JSON; where names fields and places in lists.
func (s *site) field(where string, args ...string) string {
	s.Helper()
	var at any
	if err := json.Unmarshal([]byte(s.gaugectl(append(args, "--output", "json")...)), &at); err != nil {
		s.Fatalf("gaugectl %v: %v", args, err)
	}
	for name := range strings.FieldsSeq(where) {
		switch now := at.(type) {
		case map[string]any:
			at = now[name]
		case []any:
			i, err := strconv.Atoi(name)
			if i < 0 {
				i += len(now) // from the end
			}
			if err != nil || i < 0 || i >= len(now) {
				s.Fatalf("gaugectl %v: there is no %s", args, where)
			}
			at = now[i]
		}
	}
	text, ok := at.(string)
	if !ok {
		s.Fatalf("gaugectl %v: %s is %v", args, where, at)
	}
	return text
}

// newest are the numbers of the newest readings of a gauge, as many as its check takes.
func (s *site) newest(gauge string) string {
	s.Helper()
	var numbers []string
	for line := range strings.Lines(s.gaugectl("history", "readings", "--gauge", gauge, "--output", "json")) {
		var reading struct{ Seq string }
		if err := json.Unmarshal([]byte(line), &reading); err != nil {
			s.Fatalf("%s: %v", line, err)
		}
		numbers = append(numbers, reading.Seq)
	}
	if len(numbers) < atZero {
		s.Fatalf("%s has %d readings", gauge, len(numbers))
	}
	return strings.Join(numbers[len(numbers)-atZero:], ",")
}

func (g *guide) site(c call) *site {
	if c.on == "past" {
		return g.past
	}
	return g.demo
}

// fill returns the arguments of a call.
func (g *guide) fill(t *testing.T, c call, form string) (args []string) {
	for _, word := range strings.Fields(c.args) {
		for name, value := range map[string]func() string{
			"{root}": func() string { return root(t) },
			"{form}": func() string { return form },
			"{line}": func() string { return g.line },
			"{new}": func() string {
				g.news++
				return filepath.Join(t.TempDir(), fmt.Sprint("new-", g.news))
			},
			"{job}":      func() string { return g.demo.field("jobs 0 id", "jobs", "--page-size", "1") },
			"{hash}":     func() string { return g.demo.field("procedure hash", "procedure", "show", "output-shaft-ring") },
			"{study}":    func() string { return g.past.field("studies 0 seq", "studies") },
			"{token}":    func() string { return g.demo.field("tokens 0 token_id", "access", "tokens") },
			"{check}":    func() string { return g.demo.field("checks -1 seq", "checks", "indicator") },
			"{readings}": func() string { return g.demo.newest("indicator") },
		} {
			if strings.Contains(word, name) {
				word = strings.ReplaceAll(word, name, value())
			}
		}
		args = append(args, word)
	}
	return args
}

// make makes a call in a form and looks at the answer.
func (g *guide) make(t *testing.T, c call, form string) {
	t.Helper()
	s := g.site(c).in(t)
	if c.before != nil {
		c.before(s)
	}
	args := append(strings.Fields(c.command), g.fill(t, c, form)...)
	if form == "json" {
		args = append(args, "--output", "json")
	}
	at := s.name + ": gaugectl " + strings.Join(args, " ")
	var a answer
	if c.with != nil && (!c.plain || form == "table") {
		done := make(chan struct{})
		go func() { defer close(done); c.with(s, args[len(args)-1]) }()
		a = s.ask(c.stdin, args...)
		<-done
	} else {
		a = s.ask(c.stdin, args...)
	}
	said := a.stdout + a.stderr
	if found := wrong(said); found != "" {
		t.Errorf("%s: %s", at, found)
	}
	if c.plain && form == "json" {
		if a.code != 2 || a.stdout != "" || !strings.Contains(a.stderr, "no JSON") {
			t.Errorf("%s must say that it has no JSON: %d, %q, %q", at, a.code, a.stdout, a.stderr)
		}
		return
	}
	if a.code != c.code {
		t.Errorf("%s: exit %d, want %d: %s", at, a.code, c.code, said)
		return
	}
	if strings.TrimSpace(a.stdout) == "" && strings.TrimSpace(a.stderr) == "" {
		t.Errorf("%s says nothing", at)
	}
	switch {
	case form == "json":
		if n, err := values(a.stdout); err != nil || n == 0 {
			t.Errorf("%s: %d values, %v: %s", at, n, err, a.stdout)
		}
		if missing := lacks(a.stdout, c.json); missing != "" {
			t.Errorf("%s: there is no %q in %s", at, missing, said)
		}
	default:
		if missing := lacks(said, c.table); missing != "" {
			t.Errorf("%s: there is no %q in %s", at, missing, said)
		}
	}
}

// testCommands makes every call in both forms. A command that has none is one that
// nobody has tried.
func testCommands(t *testing.T, demo, past *site) {
	g := &guide{demo: demo, past: past, line: demo.in(t).simulated()}
	listed := map[string]bool{}
	for _, leaf := range demo.in(t).leaves() {
		listed[leaf] = true
	}
	if len(listed) < 40 {
		t.Errorf("the help lists %d commands only: %v", len(listed), slices.Sorted(maps.Keys(listed)))
	}
	made := map[string]bool{}
	for _, c := range calls {
		made[c.command] = true
	}
	for leaf := range listed {
		if !made[leaf] {
			t.Errorf("gaugectl %s is never called: give it a call in this test", leaf)
		}
	}
	for _, form := range []string{"table", "json"} {
		for _, c := range calls {
			g.make(t, c, form)
		}
	}
}
