package words

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

func load(t *testing.T) *Catalogue {
	t.Helper()
	c, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCatalogueIsWhole(t *testing.T) {
	c := load(t)
	if len(c.Keys()) < 10 {
		t.Fatalf("only %d texts", len(c.Keys()))
	}
	for _, key := range c.Keys() {
		for _, l := range Languages {
			if strings.TrimSpace(c.texts[key][l.Tag]) == "" {
				t.Errorf("%s is empty in %s", key, l.Tag)
			}
		}
	}
}

func TestCatalogueIsRefused(t *testing.T) {
	for _, c := range []struct{ content, want string }{
		{"a.b: {en: x}", `catalogue of texts: a.b has no text in "de"`},
		{"a.b: {en: x %s, de: y}", `catalogue of texts: a.b in "de" has other placeholders than in "en"`},
		{"a.b: {en: x, de: y, xx: z}", "catalogue of texts: a.b has a language that is not in the list"},
		{"a.mean of: {en: x, de: y}", `catalogue of texts: "a.mean of" is no name of small letters with dots between its words`},
		{"Mean: {en: x, de: y}", `catalogue of texts: "Mean" is no name of small letters with dots between its words`},
		{"a.b: {en: x, de: y}\na.c: {en: x, de: z}\na.d: {en: x, de: y}", "catalogue of texts: a.b and a.d have the same text: one of them refers to the other"},
		{"a.b: a.c", "catalogue of texts: a.b says the same as a.c, which has no text of its own"},
		{"a.b: a.c\na.c: a.b", "catalogue of texts: a.b says the same as a.c, which has no text of its own; a.c says the same as a.b, which has no text of its own"},
	} {
		if _, err := parse([]byte(c.content)); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v", c.content, err)
		}
	}
}

// TestOneWordingForTwoKeys: a key that refers to another one says the same.
func TestOneWordingForTwoKeys(t *testing.T) {
	c, err := parse([]byte("a.b: {en: x, de: y}\na.c: a.b"))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := c.In(German).Say("a.c"); err != nil || got != "y" {
		t.Errorf("%q, %v", got, err)
	}
}

// mostWords is how long a sentence is at most.
const mostWords = 25

// TestSentencesAreShort: a sentence, or a part of one before a colon or a semicolon,
// is read at the bench, with a gauge in the hand.
func TestSentencesAreShort(t *testing.T) {
	end := regexp.MustCompile(`[.?!;:]\]?(\[ ?| )`)
	c := load(t)
	for key, texts := range c.texts {
		for l, text := range texts {
			for _, sentence := range end.Split(text, -1) {
				if n := len(strings.Fields(sentence)); n >= mostWords {
					t.Errorf("%s in %s has a sentence of %d words: %s", key, l, n, sentence)
				}
			}
		}
	}
}

func TestSay(t *testing.T) {
	w := load(t).In(German)
	if got, err := w.Say("age.seconds", 5); err != nil || got != "vor 5 s" {
		t.Errorf("%q, %v", got, err)
	}
	for _, c := range []struct {
		key  string
		args []any
		want string
	}{
		{"no such text", nil, `there is no text "no such text" in the catalogue`},
		{"age.seconds", nil, `the text "age.seconds" has 1 placeholders, not 0`},
	} {
		if _, err := w.Say(c.key, c.args...); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v", c.key, err)
		}
	}
}

func TestNumbers(t *testing.T) {
	en, de := load(t).In(English), load(t).In(German)
	if got := en.Number("-1.250"); got != "-1.250" {
		t.Error(got)
	}
	for text, want := range map[string]string{"-1.250": "-1,250", "0.10..0.15": "0,10..0,15", "max(0.5, 1.25) - 1": "max(0,5; 1,25) - 1"} {
		if got := de.Number(text); got != want {
			t.Errorf("%q: %q", text, got)
		}
	}
	for typed, want := range map[string]string{" 1,25 ": "1.25", "1.25": "1.25", "0,20..0,25": "0.20..0.25", "1.000,5": "1.000,5"} {
		if got := de.Typed(typed); got != want {
			t.Errorf("%q: %q", typed, got)
		}
	}
	if got := en.Typed("1,25"); got != "1,25" {
		t.Errorf("a comma is no decimal sign in English: %q", got)
	}
}

// TestTypedIsToldAsTyped: what was typed with a comma is refused with a comma.
func TestTypedIsToldAsTyped(t *testing.T) {
	de := load(t).In(German)
	for typed, want := range map[string]string{
		"46,412 mm": "„46,412 mm“ ist als Länge nicht lesbar",
		"46,41,2":   "„46,41,2“ ist als Länge nicht lesbar",
		"1.234,5":   "„1.234,5“ ist als Länge nicht lesbar: nur ein Dezimalzeichen schreiben, und zwischen den Tausendern nichts",
	} {
		_, err := gauge.ParseLength(de.Typed(typed), gauge.Millimetre)
		if got := de.Error(err); !strings.HasPrefix(got, want) {
			t.Errorf("%q: %s", typed, got)
		}
	}
	if got := de.Error(gauge.MissingUnit(de.Typed("46,415"), gauge.Millimetre)); got != "„46,415“ hat keine Einheit: 46,415 mm; 46,415 in oder 46,415 um schreiben" {
		t.Error(got)
	}
}

func TestChance(t *testing.T) {
	en, de := load(t).In(English), load(t).In(German)
	for p, want := range map[int][2]string{9996: {"over 99.9 %", "über 99,9 %"}, 3: {"under 0.1 %", "unter 0,1 %"}, 9750: {"97.5 %", "97,5 %"}} {
		if got := en.Chance(p); got != want[0] {
			t.Errorf("%d: %q, want %q", p, got, want[0])
		}
		if got := de.Chance(p); got != want[1] {
			t.Errorf("%d: %q, want %q", p, got, want[1])
		}
	}
}

func TestAge(t *testing.T) {
	w := load(t).In(English)
	for d, want := range map[time.Duration]string{
		-time.Second: "now", time.Second: "1 s ago", 119 * time.Second: "119 s ago", 2 * time.Minute: "2 min ago",
		3 * time.Hour: "3 h ago", 49 * time.Hour: "2 days ago",
	} {
		if got, err := w.Age(d); err != nil || got != want {
			t.Errorf("%s: %q, %v", d, got, err)
		}
	}
}
