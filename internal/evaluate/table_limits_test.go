package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// TestTableAgainstAllowedPlay: the part that a table gives must leave a play
// that is allowed; the row of K4 leaves more. Numbers ours.
func TestTableAgainstAllowedPlay(t *testing.T) {
	rows := kitOf("row_step: 0.01", "grades:",
		"  - {part: K1, thickness: 1.00, serves: {min: 1.05, max: 1.09}}",
		"  - {part: K2, thickness: 1.05, serves: {min: 1.10, max: 1.14}}",
		"  - {part: K4, thickness: 1.15, serves: {min: 1.15, max: 1.34}}")
	const lines = "instruments: {dg: {error: 0.01}}\nmeasure: {g: {title: gap, instrument: dg}}\ngap: g\nchoose: {method: table}\nparts: kit"
	cases := []struct {
		name, lines, reading string
		outcome              Outcome
		part, says           string
	}{
		{"inside", lines + "\nallow: {play: {min: 0.05, max: 0.12}}", "1.12", FitPart, "K2", ""},
		{"outside", lines + "\nallow: {play: {min: 0.05, max: 0.12}}", "1.32", NothingFits, "", "The table gives K4 of 1.150 mm for a gap of 1.320 mm. That would leave play 0.170 mm; allowed is play 0.050 to 0.120 mm. Compare the table"},
		{"rounded into the next row", lines + "\nallow: {play: {min: 0.05, max: 0.12}}", "1.095", NothingFits, "", "That would leave play 0.045 mm"},
		{"near a border", lines, "1.10", FitPart, "K2", "Within the measurement uncertainty, 0.0115 mm either way, the row of K1 of 1.000 mm may be the right one too"},
		{"at the end of the table", lines, "1.335", FitPart, "K4", "it may be that no row of the table serves"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\n"+c.lines+"\n"))
			if err != nil {
				t.Fatal(err)
			}
			f, err := procedure.ReadFamily("f.yaml", []byte(rows))
			if err != nil {
				t.Fatal(err)
			}
			r, err := p.Typed("g", c.reading, p.Unit)
			if err != nil {
				t.Fatal(err)
			}
			e, err := Evaluate(p, f, compute.Input{Readings: []procedure.Reading{r}})
			if err != nil {
				t.Fatal(err)
			}
			if e.Outcome != c.outcome || choiceOf(e) != c.part || !strings.Contains(findingsText(e), c.says) {
				t.Errorf("%s, %q, %s", e.Outcome, choiceOf(e), findingsText(e))
			}
			limited := strings.Contains(c.lines, "allow")
			for _, g := range e.Candidates {
				if (g.Play != nil) != limited || (g.Probability != nil) != limited {
					t.Errorf("%s: play %v, probability %v", g.Part, g.Play, g.Probability)
				}
			}
			if limited && c.part != "" && len(e.Budgets) == 0 {
				t.Error("the budget says nothing of the gauge")
			}
		})
	}
}
