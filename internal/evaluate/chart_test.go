package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// The numbers are invented; the form is that of charts in engine and gearbox
// manuals, which give a shell or a washer by bore and journal.
const (
	chartProcedure = `procedure: shells
title: Shell by bore and journal
unit: mm
instruments: {bore gauge: {error: ERROR}}
measure:
  bore: {title: bore, instrument: bore gauge}
  journal: {title: journal, instrument: bore gauge}
  side: {title: side, one_of: [left, right]}
values:
  wear: bore - journal
parts: shells
choose: {method: chart}
`
	chartFamily = `family: shells
title: Shells
unit: mm
grades: [{part: red}, {part: blue}, {part: black}]
chart:
  by: {bore: {unit: mm, step: 0.001}, journal: {unit: mm, step: 0.001}}
  columns: [64.980..64.984, 64.985..64.990]
  rows:
    70.000..70.005: [red, blue]
    70.006..70.010: [blue, black]
    70.011..70.015: [none, forbidden]
`
)

// TestChart: two measurements give the part directly, without a sum.
func TestChart(t *testing.T) {
	cases := []struct{ bore, journal, errorOf, part, outcome, said string }{
		{"70.003", "64.982", "0", "red", "fit part", ""},
		{"70.003", "64.987", "0", "blue", "fit part", ""},
		{"70.0064", "64.9871", "0", "black", "fit part", ""},
		{"70.005", "64.982", "0.001", "red", "fit part", "near_step: bore 70.005 mm, journal 64.982 mm: within the measurement uncertainty the chart gives blue too. Take more readings, or measure with a better gauge."},
		{"70.004..70.007", "64.982", "0", "", "undecided", "interval: bore 70.0055 mm, journal 64.982 mm: between the ends of what was measured the chart gives blue and red. Try the blades in between, or measure with an indicator."},
		{"70.001..70.004", "64.982", "0", "red", "fit part", ""},
		{"70.012", "64.987", "0", "", "nothing fits", "forbidden_pair: The chart forbids bore 70.012 mm, journal 64.987 mm together. Measure again, then exchange one of the parts."},
		{"70.012", "64.982", "0", "", "measure again", "not_in_table: the table shells prints nothing at bore 70.011..70.015, journal 64.980..64.984: check the readings, then measure again."},
		{"70.016", "64.982", "0", "", "measure again", "not_in_table: bore of 70.016 mm is outside the table shells, which goes from 70.000..70.005 to 70.011..70.015 and is never extended: check the reading, its unit and that the right faces were measured, then measure again."},
	}
	family, err := procedure.ReadFamily("shells.yaml", []byte(chartFamily))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		text := strings.Replace(chartProcedure, "ERROR", c.errorOf, 1)
		if c.errorOf == "0" {
			text = strings.Replace(text, "instruments: {bore gauge: {error: 0}}\n", "", 1)
		}
		p, err := readProcedure("p.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if err := p.Suits(family, "p.yaml"); err != nil {
			t.Fatal(err)
		}
		var in compute.Input
		for name, shown := range map[string]string{"bore": c.bore, "journal": c.journal, "side": "left"} {
			unit := p.Unit
			if name == "side" {
				unit = gauge.UnitUnknown
			}
			r, err := p.Typed(name, shown, unit)
			if err != nil {
				t.Fatal(err)
			}
			in.Readings = append(in.Readings, r)
		}
		e, err := Evaluate(p, family, in)
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, f := range e.Findings {
			said += string(f.Code) + ": " + inEnglish(f.Says)
		}
		if e.Recommended() != c.part || string(e.Outcome) != c.outcome || said != c.said {
			t.Errorf("%s, %s: %q, %s, %q\nwant %q, %s, %q", c.bore, c.journal, e.Recommended(), e.Outcome, said, c.part, c.outcome, c.said)
		}
	}
}

// TestChartProblems: a chart that cannot be looked up is refused on load.
func TestChartProblems(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"[red, blue]", "[red, green]", `shells.yaml:9:27: there is no part "green" among the grades; write forbidden for what must not come together, and none where nothing is printed`},
		{"[red, blue]", "[red]", "shells.yaml:9:21: the row has 1 of the 2 values that the columns want: where the manual prints none, write none"},
		{"[none, forbidden]", "[, forbidden]", ""},
		{"70.006..70.010", "70.005..70.010", "shells.yaml:10:5: 70.005 mm is served by two rows, 70.000..70.005 and 70.005..70.010: say border: lower row or border: upper row"},
	} {
		_, err := procedure.ReadFamily("shells.yaml", []byte(strings.Replace(chartFamily, c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.new, err, c.want)
		}
	}
	p, err := readProcedure("p.yaml", []byte(strings.Replace(chartProcedure, "ERROR", "0.001", 1)))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ old, new, want string }{
		{"bore: {unit: mm, step: 0.001}", "depth: {unit: mm, step: 0.001}", `p.yaml:1:1: procedure shells chooses by chart, but has no measurement or value "depth", by which family shells looks up`},
		{"bore: {unit: mm, step: 0.001}", "wear: {unit: N, step: 0.001}", "p.yaml:1:1: procedure shells chooses by chart, but wear is a length, and family shells looks it up as a force"},
		{"chart:", "by_marks: {by: [side], rows: {left: red, right: blue}}\nchrat:", ""},
	} {
		f, err := procedure.ReadFamily("shells.yaml", []byte(strings.Replace(chartFamily, c.old, c.new, 1)))
		if c.want == "" {
			if err == nil {
				t.Errorf("%s is taken", c.new)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if err := p.Suits(f, "p.yaml"); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v, want %s", c.new, err, c.want)
		}
	}
	if _, err := readProcedure("p.yaml", []byte(strings.Replace(strings.Replace(chartProcedure, "ERROR", "0.001", 1), "parts:", "gap: wear\nparts:", 1))); err == nil || !strings.Contains(err.Error(), "p.yaml:11:6: a choice by chart needs no gap") {
		t.Error(err)
	}
}
