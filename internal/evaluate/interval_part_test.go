package evaluate

import "testing"

// TestPartForInterval: what a feeler leaves open must fit as a whole (common
// practice, no source; numbers are made up). Allowed is a play of 0.10 to 0.20 mm.
func TestPartForInterval(t *testing.T) {
	cases := []struct {
		name, gap, choose, kit string
		outcome                Outcome
		part, finding          string
	}{
		{"a middle grade is sure", "1.62..1.68", "method: middle", "1.45 1.50 1.55", FitPart, "s1.50", ""},
		{"the thickest that is sure", "1.62..1.68", "method: thickest", "1.45 1.50 1.52 1.55", FitPart, "s1.52", ""},
		{"the thinnest that is sure", "1.62..1.68", "method: thinnest", "1.45 1.48 1.50 1.55", FitPart, "s1.48", ""},
		{"a pack that is sure", "1.62..1.68", "method: thickest, pack: {}", "0.50 0.53", FitPart, "s0.50 + s0.50 + s0.50", ""},
		{"only one end would fit", "1.62..1.68", "method: middle", "1.45 1.55", Undecided, "", "The gap is between 1.620 and 1.680 mm, and no grade is right for both ends. Right for one of them: s1.45 of 1.450 mm, s1.55 of 1.550 mm. Try the blades in between, or measure with an indicator."},
		{"wider than the limits", "1.58..1.70", "method: middle", "1.50", Undecided, "", "The gap is between 1.580 and 1.700 mm, and no thickness is sure to leave the allowed play 0.100 to 0.200 mm. Try the blades in between, or measure with an indicator."},
		{"perhaps no room", "0.05..0.14", "method: middle", "0.02", Undecided, "", "The gap is between 0.050 and 0.140 mm, and no thickness is sure to leave the allowed play 0.100 to 0.200 mm. Try the blades in between, or measure with an indicator."},
		{"surely no room", "0.05..0.08", "method: middle", "0.02", MeasureAgain, "", "A gap of 0.065 mm leaves no room for any part; allowed is play 0.100 to 0.200 mm. Clean, seat and rotate the parts. Check the zero and the sign of each reading, and measure again."},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := packJob(t, c.gap, "0.10", "0.20", c.choose, c.kit)
			if e.Outcome != c.outcome || e.Recommended() != c.part {
				t.Errorf("outcome %s, part %q, want %s, %q", e.Outcome, e.Recommended(), c.outcome, c.part)
			}
			if c.finding != "" {
				checkFinding(t, e, c.finding)
			}
		})
	}
}

// TestThicknessForInterval: a stated thickness that is known from feelers.
func TestThicknessForInterval(t *testing.T) {
	e := packFor(t, "thickness: g - 0.10\nwithin: 0.03", "1.60..1.64", "1.48 1.50 1.54")
	if e.Outcome != Undecided || *e.Window.Min != mm("1.51") || *e.Window.Max != mm("1.53") {
		t.Errorf("outcome %s, window %v", e.Outcome, e.Window)
	}
	e = packFor(t, "thickness: g - 0.10\nwithin: 0.03", "1.60..1.64", "1.48 1.51 1.54")
	if e.Outcome != FitPart || e.Recommended() != "s1.51" {
		t.Errorf("outcome %s, part %q", e.Outcome, e.Recommended())
	}
	e = packFor(t, "thickness: g - 0.10\nwithin: 0.01", "1.60..1.64", "1.48 1.51 1.54")
	if e.Outcome != Undecided {
		t.Errorf("outcome %s", e.Outcome)
	}
	checkFinding(t, e, "The thickness is between 1.500 and 1.540 mm, and none is sure to be within 0.010 mm of it. Try the blades in between, or measure with an indicator.")
}

// TestTableForInterval: both ends must belong to one row.
func TestTableForInterval(t *testing.T) {
	const choose = "gap: g\nchoose: {method: table}"
	rows := kitOf("row_step: 0.01", "grades:", "  - {part: one, serves: {max: 0.20}}", "  - {part: two, serves: {min: 0.21, max: 0.40}}")
	e := familyFor(t, choose, "0.25..0.30", rows)
	if e.Outcome != FitPart || e.Recommended() != "two" {
		t.Errorf("outcome %s, part %q", e.Outcome, e.Recommended())
	}
	for _, across := range []string{"0.15..0.25", "0.15..0.22", "0.35..0.45"} {
		e = familyFor(t, choose, across, rows)
		if e.Outcome != Undecided || e.Recommended() != "" || findingOf(e, FindingInterval) == "" {
			t.Errorf("%s: outcome %s, part %q, findings %v", across, e.Outcome, e.Recommended(), e.Findings)
		}
	}
	checkFinding(t, e, "The gap is between 0.350 and 0.450 mm, and its ends belong to different rows of the table. Try the blades in between, or measure with an indicator.")
}

// TestPlacesShareStock: a piece that one place takes is not there for the next.
func TestPlacesShareStock(t *testing.T) {
	const single = "fit:\n  left: {thickness: g, parts: kit, within: 0.02}\n  right: {thickness: g, parts: kit, within: 0.02}"
	const packs = "fit:\n  left: {thickness: g, parts: kit, within: 0, choose: {method: nearest, pack: {}}}\n  right: {thickness: g, parts: kit, within: 0, choose: {method: nearest, pack: {}}}"
	cases := []struct{ name, places, kit, left, right, finding string }{
		{"enough for both", single, "0.20*2 0.21*1", "s0.20", "s0.20", ""},
		{"the next best", single, "0.20*1 0.21*1", "s0.20", "s0.21", "right: s0.20 of 0.200 mm is nearer to the target, but the last one goes to left. s0.21 is the next that fits."},
		{"none for the second", single, "0.20*1 0.30", "s0.20", "", "right: s0.20 of 0.200 mm would fit, but the last one goes to left.\nright: No available grade is 0.180 to 0.220 mm thick. The next thicker is s0.30 of 0.300 mm. Check the measured faces, the sum and the part family. Then measure again, or order the part."},
		{"none for either", single, "0.20*0 0.21*1", "s0.21", "", "left: s0.20 of 0.200 mm is nearer to the target, but is out of stock. s0.21 is the next that fits.\nright: s0.20 of 0.200 mm would fit, but is out of stock.\nright: s0.21 of 0.210 mm would fit, but the last one goes to left.\nright: No available grade is 0.180 to 0.220 mm thick. Check the measured faces, the sum and the part family. Then measure again, or order the part."},
		{"packs, none for the second", packs, "0.05*1 0.10*3 0.15*1", "s0.10 + s0.10", "s0.05 + s0.15", ""},
		{"not counted", single, "0.20 0.21*1", "s0.20", "s0.20", ""},
		{"packs", packs, "0.05*9 0.10*3", "s0.10 + s0.10", "s0.05 + s0.10 + s0.05", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := evaluateWith(t, c.places, "0.20", kitText(c.kit))
			if (e.Outcome == FitPart) != (c.right != "") || e.Fits[0].Recommended() != c.left || e.Fits[1].Recommended() != c.right {
				t.Errorf("outcome %s, %q and %q, want %q and %q", e.Outcome, e.Fits[0].Recommended(), e.Fits[1].Recommended(), c.left, c.right)
			}
			if c.finding != "" {
				checkFinding(t, e, c.finding)
			}
		})
	}
	if e := evaluateWith(t, single, "0.20", kitText("0.20*1")); e.Outcome != NothingFits || e.Fits[1].Choice != nil {
		t.Errorf("one ring cannot lie at two places: %s", e.Outcome)
	}
}

// TestEveryCase: a value has a formula for each mark.
func TestEveryCase(t *testing.T) {
	_, err := readProcedure("p.yaml", []byte(`procedure: p
title: t
unit: mm
measure:
  bearings: {title: bearings, one_of: [new, used, worn]}
values:
  wanted: {by: bearings, cases: {new: 0.10, used: 0.05}}
`))
	checkError(t, err, `p.yaml:7:33: there is no formula for "worn": give one for each mark of bearings`)
}

// TestUnreadableMark: among marks that stand for a quantity, one may be unreadable.
func TestUnreadableMark(t *testing.T) {
	const marks = `procedure: p
title: t
unit: mm
measure:
  pack: {title: old pack}
  mark: {title: mark, one_of: {"-1": -0.01, "+1": 0.01}, unreadable: 0}
thickness: pack + mark
part: made to size
`
	e := evaluateText(t, marks, "pack 1.50, mark unreadable")
	if e.Outcome != FitPart || *e.Aim != mm("1.50") {
		t.Errorf("outcome %s, aim %v", e.Outcome, e.Aim)
	}
	checkFinding(t, e, "mark: the mark cannot be read, so 0.000 mm is used. Prove the result by measuring after fitting.")
	if e = evaluateText(t, marks, "pack 1.50, mark -1"); *e.Aim != mm("1.49") || len(e.Findings) != 0 {
		t.Errorf("aim %v, findings %v", e.Aim, e.Findings)
	}
	_, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure:\n  m: {title: m, one_of: [A, B], unreadable: 0}\njudge:\n  m: {is: A}\n"))
	checkError(t, err, "p.yaml:5:45: these marks stand for no quantity, so none can stand for one that cannot be read: add a mark of its own to one_of, such as none")
}
