package evaluate

import (
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// TestJudgeSeesTheParts: limits look at the parts that are proposed, and at
// those that were fitted, not at the thickness before it was rounded.
func TestJudgeSeesTheParts(t *testing.T) {
	const limit = "judge: {total: {value: part(left) + part(right), max: 5.97}}\n"
	cases := []struct {
		name, more string
		fitted     []procedure.Fitted
		outcome    Outcome
		finding    string
	}{
		{"proposed", limit, nil, FitPart, ""},
		{"proposed, outside", "judge: {total: {value: parts, min: 5.99, otherwise: take them together}}\n", nil, DoesNotConform, "total is 5.960 mm, allowed is at least 5.990 mm: take them together."},
		{"unrounded it would be outside", "judge: {total: {value: part(left) + part(right), max: 5.97}, each: {value: \"largest(part(left), part(right))\", max: 3.41}}\n", nil, FitPart, ""},
		{"only said", "judge: {total: {value: parts, min: 5.99, then: advise}}\n", nil, FitPart, "total is 5.960 mm, allowed is at least 5.990 mm."},
		{"fitted", limit, []procedure.Fitted{{Place: "left", Part: "2.60"}}, DoesNotConform, "left: 2.60 was fitted, recommended was 2.56.\ntotal is 6.000 mm, allowed is at most 5.970 mm."},
		{"a limit by a part", "judge: {lash: {value: l, max: part(left)}}\n", nil, DoesNotConform, "lash is 2.580 mm, allowed is at most 2.560 mm."},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := sides(t, "2.58", "3.42", "", c.more, series4, c.fitted...)
			if e.Outcome != c.outcome || findingsText(e) != c.finding {
				t.Errorf("%s, %s", e.Outcome, findingsText(e))
			}
		})
	}
	e := familyFor(t, "thickness: g\njudge: {part_in: {value: part, max: 1.00}}\n", "1.02", kitText("1.00 1.05"))
	if e.Outcome != FitPart || e.Judgements[0].Value != mm("1.00") || e.Sums[1].Worked != "1.000" {
		t.Errorf("%s, %+v, %+v", e.Outcome, e.Judgements, e.Sums)
	}
}

// TestALaterPlaceUsesWhatWasFitted: the second place waits for the first, and
// takes the part that is really in.
func TestALaterPlaceUsesWhatWasFitted(t *testing.T) {
	const lines = "procedure: p\ntitle: t\nunit: mm\nmeasure: {total: {title: total}}\nfit:\n" +
		"  lower: {thickness: total/2, parts: kit}\n  upper: {thickness: total - fitted(lower), parts: kit}\n"
	p, err := readProcedure("p.yaml", []byte(lines))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("f.yaml", []byte(kitText("0.90 1.00 1.10 1.20")))
	if err != nil {
		t.Fatal(err)
	}
	r, err := p.Typed("total", "2.00", p.Unit)
	if err != nil {
		t.Fatal(err)
	}
	measured := mm("0.91")
	cases := []struct {
		name   string
		fitted []procedure.Fitted
		upper  string
		waits  string
		out    Outcome
		worked string
	}{
		{"nothing fitted", nil, "", "lower", FitPart, ""},
		{"the recommended part", []procedure.Fitted{{Place: "lower", Part: "s1.00"}}, "s1.00", "", FitPart, "2.000 - 1.000"},
		{"another part", []procedure.Fitted{{Place: "lower", Part: "s0.90"}}, "s1.10", "", FitPart, "2.000 - 0.900"},
		{"as it was measured", []procedure.Fitted{{Place: "lower", Part: "s0.90", Thickness: &measured}}, "s1.10", "", FitPart, "2.000 - 0.910"},
		{"both", []procedure.Fitted{{Place: "lower", Part: "s0.90"}, {Place: "upper", Part: "s1.10"}}, "s1.10", "", VerifyFit, "2.000 - 0.900"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e, err := Evaluate(p, f, compute.Input{Readings: []procedure.Reading{r}, Fitted: c.fitted})
			if err != nil {
				t.Fatal(err)
			}
			worked := ""
			if n := len(e.Sums); e.Sums[n-1].Name == "upper: thickness" {
				worked = e.Sums[n-1].Worked
			}
			if upper := e.Fits[1]; e.Outcome != c.out || upper.Recommended() != c.upper || upper.Waits != c.waits || worked != c.worked {
				t.Errorf("%s, %q waits %q, %q", e.Outcome, upper.Recommended(), upper.Waits, worked)
			}
		})
	}
	for name, lines := range map[string]string{
		`p.yaml:6:22: "fitted(upper)" is not known here: name a measurement, a constant or a value that stands above`: "fit:\n  lower: {thickness: fitted(upper), parts: kit}\n  upper: {thickness: total, parts: kit}\n",
		`p.yaml:6:22: "part(upper)" is not known here: name a measurement, a constant or a value that stands above`:   "fit:\n  lower: {thickness: part(upper), parts: kit}\n  upper: {thickness: total, parts: kit}\n",
	} {
		_, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {total: {title: total}}\n"+lines))
		checkError(t, err, name)
	}
}

// TestAFamilyForEachPlace: places choose from families of their own, and what
// one takes is not missing in the other.
func TestAFamilyForEachPlace(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: g}}\nfit:\n"+
		"  ring: {thickness: g, parts: rings}\n  shim: {thickness: g, parts: kit}\n  again: {thickness: g, parts: kit}\n"))
	if err != nil {
		t.Fatal(err)
	}
	read := func(text string) *procedure.Family {
		f, err := procedure.ReadFamily("f.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	r, err := p.Typed("g", "1.55", p.Unit)
	if err != nil {
		t.Fatal(err)
	}
	kit, ring := read(kitText("1.50*2 1.55*1 1.60*2")), read(rings)
	e, err := Evaluate(p, procedure.Families{"kit": kit, "rings": ring}, compute.Input{Readings: []procedure.Reading{r}})
	if err != nil {
		t.Fatal(err)
	}
	if got := recommendedOf(e); got != "R155 | s1.55 | " || e.PartsHash != ring.Hash || len(e.OtherParts) != 1 || e.OtherParts[0] != kit.Hash {
		t.Errorf("%s, %s, %v, %s", got, e.PartsHash, e.OtherParts, findingsText(e))
	}
	if _, err := Evaluate(p, kit, compute.Input{Readings: []procedure.Reading{r}}); err == nil || err.Error() != `procedure p needs the part family "rings"` {
		t.Error(err)
	}
	if err := p.Suits(procedure.Families{"kit": read(tableFamily)}, "p.yaml"); err == nil || err.Error() != "p.yaml:1:1: procedure p chooses by thickness, but a of family table has none" {
		t.Error(err)
	}
}
