package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// twoRings chooses a ring for two places; the values are invented.
const twoRings = `procedure: p
title: t
unit: mm
measure: {left: {title: left}, right: {title: right}}
fit:
  front: {gap: left, allow: {play: {min: 0.00, max: FRONT}}, parts: kit, choose: {method: thickest}}
  rear: {gap: right, allow: {play: {min: 0.00, max: REAR}}, parts: kit, choose: {method: thickest}}
`

// TestTheLastOne: the last one of a grade goes to one place alone, whichever is filled
// first, and to the one that has no other grade; where both have none, that is said.
func TestTheLastOne(t *testing.T) {
	kit, err := procedure.ReadFamily("kit.yaml", []byte(kitText("1.00 1.05*1 1.10*1")))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, front, rear string // the most play
		fitted            []procedure.Fitted
		want, says        string
	}{
		{"both have another: the first keeps what is best", "0.11", "0.11", nil, "s1.10 s1.05", "of 1.100 mm is nearer to the target, but the last one goes to front"},
		{"the rear has no other", "0.11", "0.04", nil, "s1.05 s1.10", "of 1.100 mm is nearer to the target, but the last one goes to rear"},
		{"the front has no other", "0.04", "0.11", nil, "s1.10 s1.05", "the last one goes to front"},
		{"neither has another", "0.04", "0.04", nil, "s1.10 ", "rear: s1.10 of 1.100 mm would fit, but the last one goes to front"},
		{"it is in at the rear", "0.11", "0.11", []procedure.Fitted{{Place: "rear", Part: "s1.10"}}, "s1.05 s1.10", "the last one goes to rear"},
		{"another one is in at the front", "0.11", "0.11", []procedure.Fitted{{Place: "front", Part: "s1.05"}}, "s1.10 s1.10", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := readProcedure("p.yaml", []byte(strings.NewReplacer("FRONT", c.front, "REAR", c.rear).Replace(twoRings)))
			if err != nil {
				t.Fatal(err)
			}
			in := compute.Input{Fitted: c.fitted}
			for _, name := range []string{"left", "right"} {
				r, err := p.Typed(name, "1.10", p.Unit)
				if err != nil {
					t.Fatal(err)
				}
				in.Readings = append(in.Readings, r)
			}
			e, err := Evaluate(p, kit, in)
			if err != nil {
				t.Fatal(err)
			}
			if got := e.Fits[0].Recommended() + " " + e.Fits[1].Recommended(); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
			var said strings.Builder
			for _, f := range e.Findings {
				said.WriteString(inEnglish(f.Says) + "\n")
			}
			if !strings.Contains(said.String(), c.says) {
				t.Errorf("said %q, want %q", said.String(), c.says)
			}
		})
	}
}
