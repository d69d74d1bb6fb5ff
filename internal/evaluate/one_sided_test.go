package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// oneSided are rings that may only be thinner than stamped, and a gap that an
// indicator measured; numbers ours.
const oneSided = `instruments: {ind: {resolution: 0.001, error: 0.004}}
gap: g
allow: {play: {min: 0.100, max: 0.160}}
parts: kit
choose: {method: likeliest}
verify: {measure: {e: {title: end play, instrument: ind}}, play: e}
`

func oneSidedKit(rings ...string) string {
	lines := []string{"grades:"}
	for _, r := range rings {
		lines = append(lines, "  - {part: r"+r+", thickness: "+r+", tolerance: {plus: 0, minus: 0.03}}")
	}
	return kitOf(lines...)
}

func oneSidedFor(t *testing.T, gap, proof, kit string, fitted ...procedure.Fitted) Evaluation {
	t.Helper()
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap, instrument: ind}}\n"+oneSided))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("f.yaml", []byte(kit))
	if err != nil {
		t.Fatal(err)
	}
	in := compute.Input{Fitted: fitted}
	for name, value := range map[string]string{"g": gap, "e": proof} {
		if value == "" {
			continue
		}
		r, err := p.Typed(name, value, p.Unit)
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	e, err := Evaluate(p, f, in)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// TestOneSidedIsPredictedByItsMiddle: a ring that may be up to 0.03 mm thinner
// leaves 0.015 mm more in the middle (JCGM 100, 4.3.7, from memory: the estimate is
// the midpoint). The proof is held against that, and the budget says so.
func TestOneSidedIsPredictedByItsMiddle(t *testing.T) {
	kit := oneSidedKit("1.50", "1.54", "1.58")
	e := oneSidedFor(t, "1.660", "0.150", kit, procedure.Fitted{Part: "r1.54"})
	v := e.Verification
	if v == nil || v.Predicted == nil || *v.Predicted != mm("0.135") || *v.Difference != mm("0.015") || v.Agrees == nil || !*v.Agrees {
		t.Errorf("%+v, %s", v, findingsText(e))
	}
	around := 0
	for _, b := range e.Budgets {
		if b.Of == "play with r1.54" && b.Around != nil && *b.Around == mm("0.135") {
			around++
		} else if b.Of != "play with r1.54" && b.Around != nil {
			t.Errorf("%s is around %v", b.Of, *b.Around)
		}
	}
	if around != 1 {
		t.Errorf("%+v", e.Budgets)
	}
	// What was measured has no middle: it is what it is.
	measured := mm("1.530")
	e = oneSidedFor(t, "1.660", "0.130", kit, procedure.Fitted{Part: "r1.54", Thickness: &measured})
	if v := e.Verification; v.Predicted == nil || *v.Predicted != mm("0.130") {
		t.Errorf("measured: %+v", v)
	}
}

// TestAlsoRightIsLikelyToo: the ring of 1.50 mm is just inside by its nominal
// thickness, and ends inside in 3 of 100 cases.
func TestAlsoRightIsLikelyToo(t *testing.T) {
	e := oneSidedFor(t, "1.660", "", oneSidedKit("1.50", "1.54", "1.58"))
	if choiceOf(e) != "r1.54" || len(e.Also) != 0 || strings.Contains(inEnglish(e.Why), "also right") {
		t.Errorf("%s, also %v: %s", choiceOf(e), e.Also, e.Why)
	}
	if c := e.Candidates[0]; inEnglish(c.PassedOver) != "it would end inside with a probability of only 3.1 %" {
		t.Errorf("%+v", c)
	}
	e = oneSidedFor(t, "1.660", "", oneSidedKit("1.535", "1.58"))
	if choiceOf(e) != "r1.535" {
		t.Errorf("%s", choiceOf(e))
	}
}

// TestRangesNamePlayAndPreload: what goes from a preload to a play has both names.
func TestRangesNamePlayAndPreload(t *testing.T) {
	p := &procedure.Procedure{Unit: gauge.Millimetre, Decimals: 2}
	for _, c := range []struct {
		word     procedure.Word
		min, max string
		want     string
	}{
		{procedure.WordPlay, "0.10", "0.20", "play 0.10 to 0.20 mm"},
		{procedure.WordPlay, "0", "0.20", "play 0.00 to 0.20 mm"},
		{procedure.WordPlay, "-0.05", "0.20", "preload 0.05 mm to play 0.20 mm"},
		{procedure.WordPreload, "-0.05", "-0.02", "preload 0.02 to 0.05 mm"},
		{procedure.WordPreload, "-0.05", "0", "preload 0.00 to 0.05 mm"},
		{procedure.WordPlay, "", "0.20", "play at most 0.20 mm"},
		{procedure.WordPreload, "-0.05", "", "preload at most 0.05 mm"},
		{procedure.WordResult, "-0.05", "0.05", "-0.05 to 0.05 mm"},
	} {
		var l procedure.Limits
		if c.min != "" {
			l.Min = new(mm(c.min))
		}
		if c.max != "" {
			l.Max = new(mm(c.max))
		}
		if got := (&procedure.Place{Word: c.word}).PlayRange(p, l); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}
