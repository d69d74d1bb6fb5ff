package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// TestEveryMissIsSaid: repeats, predicted plays and grades that miss their limit by less than
// the usual digits are told with the digits that tell them apart. Numbers ours.
func TestEveryMissIsSaid(t *testing.T) {
	const head = "procedure: p\ntitle: t\nunit: mm\n"
	for _, c := range []struct{ written, readings, want string }{
		{"measure: {g: {title: g, repeats: 2, agree: 0.030}}\njudge: {g: {min: 0}}\n", "g 1.00000, g 1.03001", "g: the readings differ by 0.03001 mm, allowed is 0.030 mm."},
		{"measure: {g: {title: g, repeats: 3, closes: 0.030}}\njudge: {g: {min: 0}}\n", "g 1.00000, g 1.01, g 1.03001", "g: the last reading differs from the first by 0.03001 mm, allowed is 0.030 mm."},
		{ringFor("min: 0.00, max: 0.10"), "g 1.10004", "No available grade is 1.00004 to 1.10004 mm thick. The next thinner is s1.00 of 1.000 mm. It would give play 0.10004 mm."},
	} {
		said := ""
		for _, f := range evaluateFitted(t, head+c.written, "1.00 1.20", c.readings, nil).Findings {
			said += inEnglish(f.Says) + "\n"
		}
		if !strings.Contains(said, c.want) {
			t.Errorf("%s: said %q, want %q", c.readings, said, c.want)
		}
	}
	in := []procedure.Fitted{{Part: "s1.00"}}
	e := evaluateFitted(t, head+ringFor("min: 0.00, max: 0.10"), "1.00 1.05", "g 1.10004", in)
	if got, want := findingOf(e, FindingPrediction), "With s1.00 of 1.000 mm the sum predicts play 0.10004 mm, allowed is play 0.000 to 0.100 mm."; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
}

// ringFor chooses a ring for a play; the family is kit.
func ringFor(play string) string {
	return "measure: {g: {title: g}}\ngap: g\nallow: {play: {" + play + "}}\nparts: kit\nchoose: {method: middle}\n"
}

// evaluateFitted evaluates readings under a procedure with the family kit.
func evaluateFitted(t *testing.T, written, kit, readings string, fitted []procedure.Fitted) Evaluation {
	t.Helper()
	p, err := readProcedure("p.yaml", []byte(written))
	if err != nil {
		t.Fatal(err)
	}
	parts, err := procedure.ReadFamily("kit.yaml", []byte(kitText(kit)))
	if err != nil {
		t.Fatal(err)
	}
	in := compute.Input{Fitted: fitted}
	for pair := range strings.SplitSeq(readings, ", ") {
		name, value, _ := strings.Cut(pair, " ")
		r, err := p.Typed(name, value, p.Unit)
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	e, err := Evaluate(p, parts, in)
	if err != nil {
		t.Fatal(err)
	}
	return e
}
