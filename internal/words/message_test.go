package words

import (
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

const examples = `
word.play: {en: play, de: Spiel}
list.and: {en: "{rest} and {last}", de: "{rest} und {last}"}
chance.is: {en: "{percent} %", de: "{percent} %"}
chance.over: {en: "over {percent} %", de: "über {percent} %"}
chance.under: {en: "under {percent} %", de: "unter {percent} %"}
a.part: {en: "{part} is {gap} too thick[; it gives {play}].", de: "[Es ergibt {play}. ]Um {gap} zu dick ist {part}."}
a.count: {en: "{n} {n:piece|pieces} at {places:and}", de: "{n} {n:Stück|Stücke} an {places:and}"}
a.values: {en: "{values}", de: "{values}!"}
a.nested: {en: "{what}: {because}", de: "{what} - {because}"}
a.chance: {en: "({p})", de: "({p})."}
a.named: {en: "{results:named} by {rule}", de: "{results:named} nach {rule}"}
a.time: {en: "since {since:day}, {took}", de: "seit {since:day}, {took}."}
`

func TestTell(t *testing.T) {
	c, err := parse([]byte(examples))
	if err != nil {
		t.Fatal(err)
	}
	part, gap := gauge.Text("part", "S-1.2"), gauge.Shown("gap", "0.120", gauge.Millimetre)
	for _, x := range []struct {
		m      gauge.Message
		en, de string
	}{
		{gauge.Say("a.part", part, gap), "S-1.2 is 0.120 mm too thick.", "Um 0,120 mm zu dick ist S-1.2."},
		{
			gauge.Say("a.part", gap, part, gauge.Shown("play", "-0.05", gauge.UnitUnknown)),
			"S-1.2 is 0.120 mm too thick; it gives -0.05.", "Es ergibt -0,05. Um 0,120 mm zu dick ist S-1.2.",
		},
		{gauge.Say("a.count", gauge.Count("n", 1), gauge.Texts("places", []string{"left"})), "1 piece at left", "1 Stück an left"},
		{gauge.Say("a.count", gauge.Count("n", 0), gauge.Texts("places", []string{"a", "b", "c"})), "0 pieces at a, b and c", "0 Stücke an a, b und c"},
		{
			gauge.Say("a.values", gauge.List("values", gauge.Shown("", "0.1", gauge.Inch), gauge.Shown("", "0.2", gauge.Inch))),
			"0.1 in, 0.2 in", "0,1 in; 0,2 in!",
		},
		{
			gauge.Say("a.nested", gauge.Word("what", "word.play"), gauge.Nested("because", gauge.Say("a.chance", gauge.Chance("p", 9996)))),
			"play: (over 99.9 %)", "Spiel - (über 99,9 %).",
		},
		{gauge.Say("a.time", gauge.Moment("since", time.Date(2026, 3, 1, 12, 0, 0, 0, time.Local)), gauge.Span("took", 150*time.Second)), "since 2026-03-01, 2 min", "seit 2026-03-01, 2 min."},
		{
			gauge.Say("a.named", gauge.Texts("results", []string{"play", "front: play", "backlash"}), gauge.Text("rule", "x")),
			"play, front: play and backlash by x", "Spiel, front: Spiel und backlash nach x",
		},
		{gauge.Plain("as the shop 0.5 wrote it {x}"), "as the shop 0.5 wrote it {x}", "as the shop 0.5 wrote it {x}"},
		{gauge.Message{}, "", ""},
	} {
		for l, want := range map[Language]string{English: x.en, German: x.de} {
			if got, err := c.In(l).Text(x.m); err != nil || got != want {
				t.Errorf("%s in %s: %q, %v; want %q", x.m.Code, l, got, err, want)
			}
		}
	}
}

func TestProbabilitiesAreNeverRoundedToCertainty(t *testing.T) {
	w := load(t).In(English)
	for p, want := range map[int]string{
		0: "0 %", 1: "under 0.1 %", 5: "0.1 %", 9750: "97.5 %", 9500: "95 %", 9994: "99.9 %", 9995: "over 99.9 %", 9999: "over 99.9 %", 10_000: "100 %",
	} {
		if got, err := w.Text(chance(p)); err != nil || got != want {
			t.Errorf("%d: %q, %v; want %q", p, got, err, want)
		}
	}
}

// TestWhatHasNoTextIsShownBare: a message of a newer station, or one that lacks an
// argument, is not lost.
func TestWhatHasNoTextIsShownBare(t *testing.T) {
	c, err := parse([]byte(examples))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		m          gauge.Message
		want, fail string
	}{
		{
			gauge.Say("b.new", gauge.Text("part", "S 1"), gauge.Shown("gap", "0.1", gauge.Inch), gauge.Count("n", 2), gauge.Chance("p", 9875), gauge.Nested("why", gauge.Say("b.because"))),
			`b.new part="S 1" gap=0.1 in n=2 p=98.75 % why=(b.because)`, `there is no text "b.new" in the catalogue`,
		},
		{gauge.Say("a.chance"), "a.chance", `the text "a.chance": there is no argument "p"`},
		{gauge.Say("a.chance", gauge.Chance("p", 0), gauge.Count("n", 1)), "a.chance p=0.00 % n=1", `the text "a.chance" has no placeholder for the argument "n"`},
		{gauge.Say("a.chance", gauge.Word("p", "word.none")), "a.chance p=word.none", `the text "a.chance": there is no text "word.none" in the catalogue`},
	} {
		w := c.In(English)
		if got := w.Tell(x.m); got != x.want {
			t.Errorf("%s: %q, want %q", x.m.Code, got, x.want)
		}
		if _, err := w.Text(x.m); err == nil || err.Error() != x.fail {
			t.Errorf("%s: %v, want %s", x.m.Code, err, x.fail)
		}
	}
}

func TestPatternIsRefused(t *testing.T) {
	for _, c := range []struct{ content, want string }{
		{`a.b: {en: "{x", de: "{x}"}`, `no placeholder begins at "{x": write it as {name} or {name:form}`},
		{`a.b: {en: "{x}", de: "{y}"}`, `a.b in "de" fills in y, in "en" x`},
		{`a.b: {en: "[{x}]", de: "{x}"}`, `a.b in "de" fills in x, in "en" x?`},
		{`a.b: {en: "[a", de: "y"}`, `the bracket at "[a" is not closed`},
		{`a.b: {en: "[a]", de: "y"}`, `nothing is filled in between the brackets of "[a]"`},
		{`a.b: {en: "a] ", de: "y"}`, `nothing was opened before "] "`},
	} {
		if _, err := parse([]byte(c.content)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.content, err)
		}
	}
}

// TestOutline: braces that a text shows are shown as they are, and what is filled in has
// its name.
func TestOutline(t *testing.T) {
	c, err := parse([]byte(`a.a: {en: "write {key}: {{{unit}, max: ...}} [[{n:row|rows}]][ at {places:and}]", de: "{key} {unit} {n:Zeile|Zeilen}[ {places:and}]"}
list.and: {en: "{rest} and {last}", de: "{rest} und {last}"}
`))
	if err != nil {
		t.Fatal(err)
	}
	if got, ok := c.In(English).Outline("a.a"); !ok || got != "write {key}: {{unit}, max: ...} [rows][ at {places}]" {
		t.Errorf("%q, %v", got, ok)
	}
	if _, ok := c.In(English).Outline("a.b"); ok {
		t.Error("a code without a text has an outline")
	}
}
