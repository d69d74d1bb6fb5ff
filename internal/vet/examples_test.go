package vet

import (
	"math/big"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
)

// ringWith is the ring of common practice with examples.
func ringWith(examples string) string {
	return `procedure: ring
title: Ring
unit: in
measure:
  gap_read: {title: gap, repeats: 3}
  after: {title: end play, repeats: 2}
gap: gap_read
allow: {play: {min: 0.004, max: 0.010}}
parts: rings
choose: {method: middle}
examples:
` + indented(examples)
}

const exampleRings = `family: rings
title: Rings
unit: in
grades:
  - {part: ring 68, thickness: 0.068, stock: 0}
  - {part: ring 71, thickness: 0.071, stock: 0}
  - {part: ring 74, thickness: 0.074}
`

// TestExamples: a printed example that does not come out is told with its
// place, what came out, what is printed and the difference.
func TestExamples(t *testing.T) {
	const fine = "- title: page 90\n  readings: {gap_read: 0.078, after: [0.007, 0.0072]}\n  wants: {WANTS}"
	cases := []struct{ name, examples, want string }{
		{"comes out, whatever is in stock", strings.Replace(fine, "WANTS", "part: ring 71, window_min: 0.068, window_max: 0.074, gap: 0.078, play: 0.007, outcome: fit part", 1), ""},
		{"to the printed digits", strings.Replace(fine, "WANTS", "after: 0.007", 1), ""},
		{"two columns", strings.Replace(strings.Replace(fine, "gap_read: 0.078", "gap_read: {in: 0.078, mm: 1.98}", 1), "WANTS", "window_min: {in: 0.068, mm: 1.73}", 1), ""},
		{"a unit of its own", strings.Replace(strings.Replace(fine, "gap_read: 0.078", "gap_read: 0.078 in", 1), "WANTS", "part: ring 71", 1), ""},
		{"another part", strings.Replace(fine, "WANTS", "part: ring 74", 1), `ring.yaml:14:19: the example "page 90": part: got ring 71, wanted ring 74 (outcome fit part): find out whether the print or the file has the slip`},
		{"another number", strings.Replace(fine, "WANTS", "window_max: 0.075", 1), `ring.yaml:14:25: the example "page 90": window_max: got 0.0740 in, wanted 0.075 in, difference -0.0010 in: find out whether the print or the file has the slip`},
		{"another outcome", strings.Replace(fine, "WANTS", "outcome: nothing fits", 1), `ring.yaml:14:22: the example "page 90": outcome: got fit part, wanted nothing fits (outcome fit part): find out whether the print or the file has the slip`},
		{"a reading is missing", "- {readings: {gap_read: [0.078, 0.078], after: 0.007}, wants: {part: ring 71, gap: 0.078}}", "ring.yaml:12:72: the example: part: got nothing, wanted ring 71 (outcome measuring): find out whether the print or the file has the slip\nring.yaml:12:86: the example: gap: got nothing, wanted 0.078 in (outcome measuring): find out whether the print or the file has the slip"},
		{"cut off", "- {readings: {gap_read: [0.0780, 0.0781, 0.0785], after: 0.0}, digits: cut off, wants: {gap: 0.0782}}", ""},
		{"cut off, but not said", "- {readings: {gap_read: 0.07869, after: 0.0}, wants: {gap: 0.0786}}", "ring.yaml:12:62: the example: gap: got 0.07869 in, wanted 0.0786 in, difference 0.00009 in; the print seems to cut digits off instead of rounding: if so, say digits: cut off in the example: find out whether the print or the file has the slip"},
	}
	family, err := procedure.ReadFamily("rings.yaml", []byte(exampleRings))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p, err := ReadProcedure("ring.yaml", []byte(ringWith(c.examples)))
			if err != nil {
				t.Fatal(err)
			}
			got := ""
			if err := CheckExamples(p, family); err != nil {
				got = err.Error()
			}
			if got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
			if err := CheckExamples(p, nil); err != nil {
				t.Errorf("without the family nothing can be run: %v", err)
			}
		})
	}
}

// TestExamplesOfPlacesAndProof: answers of several places, of judged results,
// and after fitting.
func TestExamplesOfPlacesAndProof(t *testing.T) {
	p, err := ReadProcedure("both.yaml", []byte(`procedure: both
title: Both sides
unit: in
measure:
  left: {title: left}
  right: {title: right}
  pair: {title: pair, one_of: [same, not the same]}
judge:
  uneven: {value: abs(left - right), max: 0.020, then: advise}
  pair: {is: same, then: advise}
fit:
  ring_gear_side: {thickness: left + 0.004, part: made to size}
  opposite_side: {gap: right, allow: {play: {min: 0.001, max: 0.003}}, part: made to size, choose: {method: middle}}
verify:
  measure:
    lash: {title: lash}
  judge:
    lash: {min: 0.005, max: 0.008}
examples:
  - title: p. 6-5
    readings: {left: 0.240, right: 0.275, pair: not the same, lash: 0.004}
    fitted: {ring_gear_side: {part: made, thickness: 0.244}, opposite_side: {part: made, thickness: 0.273}}
    wants:
      ring_gear_side: {thickness: 0.244}
      opposite_side: {thickness: 0.273, play: 0.002, gap: 0.275, window_min: 0.272}
      uneven: 0.035
      pair: advised
      lash: does not conform
      outcome: does not conform
`))
	if err != nil {
		t.Fatal(err)
	}
	if err := CheckExamples(p, nil); err != nil {
		t.Error(err)
	}
	for i := range p.Examples[0].Wants {
		w := &p.Examples[0].Wants[i]
		if w.Number == nil {
			w.Text = "calculated"
		} else {
			w.Number = new(big.Rat)
		}
	}
	if err := CheckExamples(p, nil); err == nil || strings.Count(err.Error(), "got ") != len(p.Examples[0].Wants) {
		t.Errorf("each wrong answer is told: %v", err)
	}
}

// TestShippedExamples: every procedure of the trade and of the demonstration
// carries an example, and it comes out.
func TestShippedExamples(t *testing.T) {
	check := func(path string, parts procedure.Parts) {
		t.Helper()
		p, err := ReadProcedure(path, read(t, path))
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Examples) == 0 {
			t.Errorf("%s has no example", p.ID)
		}
		if p.Lacks(parts) != "" {
			t.Errorf("%s lacks the part family %s", p.ID, p.Lacks(parts))
		}
		if err := CheckExamples(p, parts); err != nil {
			t.Errorf("%s: %v", p.ID, err)
		}
	}
	for _, path := range all(t, demoDir+"/procedures/*.yaml") {
		check(path, readFamilies(t, demoDir+"/parts/*.yaml"))
	}
	published := all(t, tradeDir+"/*/procedure.yaml")
	if len(published) < 60 {
		t.Errorf("%d procedures", len(published))
	}
	for _, path := range published {
		check(path, readFamilies(t, filepath.Join(filepath.Dir(path), "parts.yaml")))
	}
}

// TestExampleProblems: what cannot be an example is told when the file is read.
func TestExampleProblems(t *testing.T) {
	cases := []struct{ examples, want string }{
		{"- {readings: {gap: 0.078}, wants: {part: ring 71}}", `ring.yaml:12:17: there is no measurement "gap"`},
		{"- {readings: {gap_read: 1.2.3}, wants: {part: ring 71}}", `ring.yaml:12:27: `},
		{"- {readings: {gap_read: 2 mm}, wants: {part: ring 71}}", `procedure ring measures in inches only`},
		{"- {readings: {gap_read: 0.078}, wants: {ring: ring 71}}", `ring.yaml:12:43: "ring" is not known here: name a measurement, a value, a judged result or a place, or one of outcome, part, gap, thickness, play, preload, window_min, window_max`},
		{"- {readings: {gap_read: 0.078}, wants: {}}", `ring.yaml:12:42: the example wants nothing: give the printed answer, such as part or outcome, or the name of a value`},
		{"- {readings: {gap_read: 0.078}, wants: {outcome: good}}", `ring.yaml:12:52: "good" is no outcome`},
		{"- {readings: {gap_read: {in: 0.078, mm: 19.8}}, wants: {part: ring 71}}", "ring.yaml:12:43: 19.8 mm is ten times too large for the in column: 0.078 in is 1.98 mm"},
		{"- {readings: {gap_read: 0.078}, fitted: {left: ring 71}, wants: {part: ring 71}}", `ring.yaml:12:44: there is no place "left": give part, and thickness where it was measured`},
		{"- {wants: {part: ring 71}}", `ring.yaml:12:5: "readings" is missing`},
	}
	for _, c := range cases {
		_, err := ReadProcedure("ring.yaml", []byte(ringWith(c.examples)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s\n got %v\nwant %s", c.examples, err, c.want)
		}
	}
}
