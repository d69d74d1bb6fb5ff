package evaluate

import (
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// TestTheSecondPlaceIsAskedByWhatIsIn: 2.80 and 2.70, together 5.50, are wanted. At the
// left a 2.80 goes in that measures 2.752, so the right is chosen anew: 5.50 - 2.752 =
// 2.748, to which 2.75 is the nearest (2.70 makes 5.452). The preview and the record
// speak of that choice, not of the first.
func TestTheSecondPlaceIsAskedByWhatIsIn(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte(`procedure: p
title: t
unit: mm
measure: {l: {title: left}, r: {title: right}}
fit: {left: {thickness: l, parts: kit, within: 0.06}, right: {thickness: r, parts: kit, within: 0.06}}
together: {first: total, within: 0.025}
`))
	if err != nil {
		t.Fatal(err)
	}
	kit, err := procedure.ReadFamily("f.yaml", []byte("family: kit\ntitle: kit\nunit: mm\nseries: {from: 2.50, to: 3.00, step: 0.05}\n"))
	if err != nil {
		t.Fatal(err)
	}
	var in compute.Input
	for name, shown := range map[string]string{"l": "2.80", "r": "2.70"} {
		r, err := p.Typed(name, shown, p.Unit)
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	thin := mm("2.752")
	in.Fitted = []procedure.Fitted{{Place: "left", Part: "2.80", Thickness: &thin}}
	for _, c := range []struct {
		part  string
		asked bool
		code  FindingCode // in the record
	}{
		{"2.75", false, ""},
		{"2.70", true, FindingOtherPart},
	} {
		told, err := Foretell(p, kit, in, procedure.Fitted{Place: "right", Part: c.part})
		if err != nil || told.Recommended != "2.75" || told.Unexpected != c.asked {
			t.Errorf("%s: %+v, %v", c.part, told, err)
		}
		after := in
		after.Fitted = append(after.Fitted[:1:1], procedure.Fitted{Place: "right", Part: c.part})
		e, err := Evaluate(p, kit, after)
		if err != nil {
			t.Fatal(err)
		}
		if found := findingOf(e, FindingOtherPart); (found != "") != (c.code != "") {
			t.Errorf("%s: %s", c.part, findingsText(e))
		}
	}
	// Nothing at the right makes the total with 2.50 at the left: whatever goes in is asked.
	in.Fitted = []procedure.Fitted{{Place: "left", Part: "2.50"}}
	if told, err := Foretell(p, kit, in, procedure.Fitted{Place: "right", Part: "2.70"}); err != nil || told.Recommended != "" || !told.Unexpected {
		t.Errorf("%+v, %v", told, err)
	}
}
