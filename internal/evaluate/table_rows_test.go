package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
)

const byRows = `procedure: p
title: t
unit: mm
measure: {g: {title: gap}}
gap: g
allow: {play: {min: 0.05, max: 0.12}}
choose: {method: table}
parts: kit
`

// TestTheOtherRowOfOneGap: of two rows for one gap the one whose part leaves an
// allowed play is taken, in whatever order they stand. Numbers ours.
func TestTheOtherRowOfOneGap(t *testing.T) {
	const bad, good, other = "  - {part: bad, thickness: 0.90, serves: {min: 1.05, max: 1.06}}", "  - {part: good, thickness: 1.00, serves: {min: 1.05, max: 1.06}}", "  - {part: other, thickness: 0.99, serves: {min: 1.05, max: 1.06}}"
	for _, c := range []struct {
		name    string
		rows    []string
		outcome Outcome
		part    string
		also    string
	}{
		{"bad first", []string{bad, good}, FitPart, "good", ""},
		{"good first", []string{good, bad}, FitPart, "good", ""},
		{"both are right", []string{good, other}, FitPart, "good", "other"},
		{"the good one is gone", []string{bad, strings.Replace(good, "}}", "}, stock: 0}", 1)}, NothingFits, "", ""},
		{"none is right", []string{bad}, NothingFits, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := familyFor(t, "gap: g\nallow: {play: {min: 0.05, max: 0.12}}\nchoose: {method: table}", "1.06", kitOf(append([]string{"row_step: 0.01", "grades:"}, c.rows...)...))
			if e.Outcome != c.outcome || choiceOf(e) != c.part || strings.Join(e.Also, " ") != c.also {
				t.Errorf("%s, %q, also %v: %s", e.Outcome, choiceOf(e), e.Also, findingsText(e))
			}
			for _, g := range e.Candidates {
				if g.Part == "bad" && (g.Fits || inEnglish(g.PassedOver) != "the table gives it, but what it would leave is not allowed") {
					t.Errorf("%+v", g)
				}
			}
		})
	}
	e := familyFor(t, "gap: g\nallow: {play: {min: 0.05, max: 0.12}}\nchoose: {method: table}", "1.06", kitOf("row_step: 0.01", "grades:", bad))
	if want := "The table gives bad of 0.900 mm for a gap of 1.060 mm. That would leave play 0.160 mm; allowed is play 0.050 to 0.120 mm. Compare the table and the limits with the manual, and measure again."; findingsText(e) != want {
		t.Error(findingsText(e))
	}
}

// TestRowsAgainstWhatIsAllowed: a row that is right for none of its gaps is refused,
// one that is wrong for some of them is named. Numbers ours.
func TestRowsAgainstWhatIsAllowed(t *testing.T) {
	for _, c := range []struct{ name, rows, refused, noted string }{
		{"right", "  - {part: a, thickness: 1.00, serves: {min: 1.05, max: 1.12}}", "", ""},
		{
			"wrong for some", "  - {part: a, thickness: 1.00, serves: {min: 1.05, max: 1.14}}", "",
			"a of 1.000 mm of family kit serves gaps of 1.050 to 1.140 mm, where it leaves play 0.050 to 0.140 mm, and allowed is play 0.050 to 0.120 mm",
		},
		{
			"open", "  - {part: a, thickness: 1.00, serves: {max: 1.12}}", "",
			"a of 1.000 mm of family kit serves gaps of at most 1.120 mm, where it leaves play at most 0.120 mm, and allowed is play 0.050 to 0.120 mm",
		},
		{
			"wrong for all", "  - {part: a, thickness: 1.10, serves: {min: 1.05, max: 1.12}}",
			"p.yaml:1:1: procedure p allows play 0.050 to 0.120 mm, but a of 1.100 mm of family kit serves gaps of 1.050 to 1.120 mm, where it leaves preload 0.050 mm to play 0.020 mm: look for a slip of the pen in the row, or in what is allowed", "",
		},
		{
			"only its last gap is right", "  - {part: a, thickness: 1.00, serves: {min: 1.12, max: 1.13}}", "",
			"a of 1.000 mm of family kit serves gaps of 1.120 to 1.130 mm, where it leaves play 0.120 to 0.130 mm, and allowed is play 0.050 to 0.120 mm",
		},
		{
			"not even what is rounded into it is right", "  - {part: a, thickness: 1.00, serves: {min: 1.13, max: 1.14}}",
			"p.yaml:1:1: procedure p allows play 0.050 to 0.120 mm, but a of 1.000 mm of family kit serves gaps of 1.130 to 1.140 mm, where it leaves play 0.130 to 0.140 mm: look for a slip of the pen in the row, or in what is allowed", "",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := readProcedure("p.yaml", []byte(byRows))
			if err != nil {
				t.Fatal(err)
			}
			f, err := procedure.ReadFamily("f.yaml", []byte(kitOf("row_step: 0.01", "grades:", c.rows)))
			if err != nil {
				t.Fatal(err)
			}
			refused := ""
			if err := p.Suits(f, "p.yaml"); err != nil {
				refused = err.Error()
			}
			if refused != c.refused {
				t.Errorf("refused: %s", refused)
			}
			var notes []string
			for _, m := range p.DoubtfulRows(f) {
				notes = append(notes, english().Tell(m))
			}
			if noted := strings.Join(notes, "; "); c.refused == "" && noted != c.noted {
				t.Errorf("noted: %s", noted)
			}
		})
	}
}

// TestLookedUpValueIsNoGap: what is said of a table that is looked up by the sum of two
// marks names a value, not a gap. Numbers ours.
func TestLookedUpValueIsNoGap(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
measure: {a: {title: a, unit: number}, b: {title: b, unit: number}}
look_up: a + b
choose: {method: table}
parts: kit
`
	kit := strings.Replace(kitOf("row_step: 1", "border: upper row", "grades:", "  - {part: red, serves: {min: 1, max: 5}}", "  - {part: blue, serves: {min: 5, max: 9}, stock: 0}"), "unit: mm", "unit: number", 1)
	for a, want := range map[string]string{
		"4":  "blue is the part for this value, but is out of stock.",
		"20": "No row of the table serves the value 21. Check what was read and that nothing is left out of the sum. Then measure again.",
	} {
		e := startRounds(t, text, kit).read("a", a).read("b", "1").come()
		if got := findingsText(e); !strings.Contains(got, want) || strings.Contains(got, "gap") {
			t.Errorf("a %s: %s %s", a, e.Outcome, got)
		}
	}
	e := startRounds(t, text, kit).read("a", "3").read("b", "1").come()
	if got := inEnglish(e.Why); got != "The table gives it for values of 1 to 5." {
		t.Errorf("%s: %s", e.Outcome, got)
	}
}
