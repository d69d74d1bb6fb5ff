package evaluate

import (
	"strings"
	"testing"
)

// TestMarksHaveNoUnit: a mark that is typed with a unit is a slip.
func TestMarksHaveNoUnit(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {stamp: {title: stamp, one_of: {A: 0.010, B: 0.015}}}\nvalues: {v: stamp}\n"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = p.Typed("stamp", "A", p.Unit)
	if want := "stamp is read as a mark, and a mark has no unit: leave mm out, and read one of A, B"; err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
	if r, err := p.Typed("stamp", "A", 0); err != nil || r.Value != mm("0.010") {
		t.Errorf("%+v, %v", r, err)
	}
}

// TestConsequences: what is only advised, and what is a wrong part, are outcomes
// of their own.
func TestConsequences(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
measure:
  stamp: {title: stamp of the case, one_of: [A, B]}
  ring: {title: pair number of the ring gear, unit: number}
  pinion: {title: pair number of the pinion, unit: number}
  play: {title: play}
judge:
  stamp: {is: A, then: THEN}
  pair: {value: ring - pinion, min: 0, max: 0, then: THEN, OTHERWISE}
  play: {max: 0.200}
`
	run := func(then, otherwise, readings string) Evaluation {
		return evaluateText(t, strings.NewReplacer("THEN", then, "OTHERWISE", otherwise).Replace(text), readings)
	}
	e := run("advise", "title: pair", "stamp B, ring 17, pinion 18, play 0.1")
	if e.Outcome != Conforms || e.Judgements[0].Outcome != Advised || e.Judgements[1].Outcome != Advised || e.Judgements[2].Outcome != Conforms {
		t.Errorf("%s %+v", e.Outcome, e.Judgements)
	}
	e = run("wrong part", `otherwise: "get the pinion with the number of the ring gear"`, "stamp B, ring 17, pinion 18, play 0.3")
	if e.Outcome != WrongPart || e.Judgements[0].Outcome != WrongPart || e.Judgements[1].Outcome != WrongPart || e.Judgements[2].Outcome != DoesNotConform {
		t.Errorf("%s %+v", e.Outcome, e.Judgements)
	}
	var texts []string
	for _, f := range e.Findings {
		if f.Code == FindingWrongPart {
			texts = append(texts, inEnglish(f.Says))
		}
	}
	want := "stamp is “B”, wanted is “A”. Get the part that is marked “A”.; pair is -1, it must be 0 to 0: get the pinion with the number of the ring gear."
	if got := strings.Join(texts, "; "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if e := run("wrong part", "title: pair", "stamp A, ring 17, pinion 17, play 0.1"); e.Outcome != Conforms {
		t.Errorf("%s", e.Outcome)
	}
}

// TestTurnNeedsNoRepeats: one turn gives all its readings.
func TestTurnNeedsNoRepeats(t *testing.T) {
	for capture, want := range map[string]int{"capture: turn": 2, "capture: {turn: {band: 0.004}}, closes: 0.01": 4, "capture: turn, repeats: 6": 6} {
		p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {out: {title: run-out, take: range, "+capture+"}}\ngap: out\nallow: {result: {max: 0.05}}\n"))
		if err != nil {
			t.Fatal(err)
		}
		if got := p.Measure[0].Repeats; got != want {
			t.Errorf("%s: %d readings, want %d", capture, got, want)
		}
	}
}
