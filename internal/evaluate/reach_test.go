package evaluate

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/gauge"
)

// TestStatedThicknessBelongsToAGrade: without within, a stated thickness takes
// the grade that it belongs to, and never one that is merely the nearest left.
func TestStatedThicknessBelongsToAGrade(t *testing.T) {
	const tenths = "0.80 0.90 1.00 1.10*0 1.20"
	cases := []struct{ name, aim, wanted, kit, part, finding string }{
		{"on a grade", "nearest", "1.00", tenths, "s1.00", ""},
		{"half a step off", "nearest", "0.95", tenths, "s0.90", ""},
		{"", "nearest", "1.10", tenths, "", "s1.10 of 1.100 mm would fit, but is out of stock.\nWanted is 1.100 mm, and no available grade is near within half a step of it. The next thinner is s1.00 of 1.000 mm, 0.100 mm off. The next thicker is s1.20 of 1.200 mm, 0.100 mm off."},
		{"half a step from one that is out of stock", "nearest", "1.05", tenths, "s1.00", ""},
		{"half a step from one that is out of stock, thicker preferred", "nearest, tie: thicker", "1.05", tenths, "s1.00", "s1.10 of 1.100 mm is equally near and preferred, but is out of stock. s1.00 is the next that fits."},
		{"an inch for a millimetre", "nearest", "25.4", tenths, "", "Wanted is 25.400 mm, and no available grade is near within half a step of it. The next thinner is s1.20 of 1.200 mm, 24.200 mm off."},
		{"half a step past the end", "nearest", "1.25", tenths, "s1.20", ""},
		{"more than half a step past the end", "nearest", "1.251", tenths, "", "Wanted is 1.251 mm, and no available grade is near within half a step of it. The next thinner is s1.20 of 1.200 mm, 0.051 mm off."},
		{"half a step before the beginning", "nearest", "0.75", tenths, "s0.80", ""},
		{"a family of one", "nearest", "1.001", "1.00", "", "Wanted is 1.001 mm, and no available grade is near within half a step of it. The next thinner is s1.00 of 1.000 mm, 0.001 mm off."},
		{"uneven steps", "nearest", "1.06", "1.00 1.10 1.11", "s1.10", ""},
		{"uneven steps, and the wide one is not the fine one", "nearest", "1.09", "1.00 1.10*0 1.11", "", "s1.10 of 1.100 mm would fit, but is out of stock.\nWanted is 1.090 mm, and no available grade is near within half a step of it. The next thinner is s1.00 of 1.000 mm, 0.090 mm off. The next thicker is s1.11 of 1.110 mm, 0.020 mm off."},
		{"next thicker", "next thicker", "0.81", tenths, "s0.90", ""},
		{"next thicker out of stock", "next thicker", "1.01", tenths, "", "s1.10 of 1.100 mm would fit, but is out of stock.\nWanted is 1.010 mm, and no available grade is as thick or thicker within a step of it. The next thinner is s1.00 of 1.000 mm, 0.010 mm off. The next thicker is s1.20 of 1.200 mm, 0.190 mm off."},
		{"next thicker, a step off", "next thicker", "1.10", tenths, "", "s1.10 of 1.100 mm would fit, but is out of stock.\nWanted is 1.100 mm, and no available grade is as thick or thicker within a step of it. The next thinner is s1.00 of 1.000 mm, 0.100 mm off. The next thicker is s1.20 of 1.200 mm, 0.100 mm off."},
		{"next thinner, a step off", "next thinner", "1.10", tenths, "", "s1.10 of 1.100 mm would fit, but is out of stock.\nWanted is 1.100 mm, and no available grade is as thick or thinner within a step of it. The next thinner is s1.00 of 1.000 mm, 0.100 mm off. The next thicker is s1.20 of 1.200 mm, 0.100 mm off."},
		{"next thicker past the end", "next thicker", "1.21", tenths, "", "Wanted is 1.210 mm, and no available grade is as thick or thicker within a step of it. The next thinner is s1.20 of 1.200 mm, 0.010 mm off."},
		{"next thinner past the thick end", "next thinner", "1.29", tenths, "s1.20", ""},
		{"next thinner a step past the thick end", "next thinner", "1.30", tenths, "", "Wanted is 1.300 mm, and no available grade is as thick or thinner within a step of it. The next thinner is s1.20 of 1.200 mm, 0.100 mm off."},
		{"next thicker, the thickness itself passed over", "next thicker, at_limit: does not fit", "0.80", tenths, "s0.90", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := packFor(t, "thickness: g\nchoose: {method: "+c.aim+"}", c.wanted, c.kit)
			want, outcome := c.finding, FitPart
			if c.part == "" {
				want += " Check what was measured and the part family. Order the part, or have the procedure allow more deviation."
				outcome = NothingFits
			}
			if got := findingsText(e); choiceOf(e) != c.part || e.Outcome != outcome || got != want {
				t.Errorf("%s with %q and\n%s\nwant %s with %q and\n%s", e.Outcome, choiceOf(e), got, outcome, c.part, want)
			}
		})
	}
}

// TestStatedIntervalBelongsToAGrade: a thickness that a feeler leaves open
// belongs to a grade with both its ends or to none.
func TestStatedIntervalBelongsToAGrade(t *testing.T) {
	if e := packFor(t, "thickness: g", "0.98..1.02", "0.90 1.00 1.10"); choiceOf(e) != "s1.00" {
		t.Errorf("%q, %s", choiceOf(e), findingsText(e))
	}
	e := packFor(t, "thickness: g", "0.98..1.08", "0.90 1.00 1.10")
	if e.Outcome != Undecided || findingsText(e) != "Wanted is between 0.980 and 1.080 mm, and no grade is right for both ends. Right for one of them: s1.00 of 1.000 mm, s1.10 of 1.100 mm. Try the blades in between, or measure with an indicator." {
		t.Errorf("%s, %s", e.Outcome, findingsText(e))
	}
}

// TestFeelerAcrossGradesIsUndecided: an interval whose ends belong to different
// grades is undecided, and nobody is told to order a part. Numbers ours.
func TestFeelerAcrossGradesIsUndecided(t *testing.T) {
	const steps = "1.50 1.55 1.60 1.65 1.70"
	cases := []struct {
		name, lines, reading, kit string
		outcome                   Outcome
		says                      string
	}{
		{"grades", "thickness: g", "1.62..1.63", steps, Undecided, "Right for one of them: s1.60 of 1.600 mm, s1.65 of 1.650 mm."},
		{"four grades", "thickness: g", "1.51..1.64", steps, Undecided, "Right for one of them: s1.50 of 1.500 mm, s1.65 of 1.650 mm."},
		{"within", "thickness: g\nwithin: 0.03", "1.60..1.65", steps, Undecided, "Right for one of them: s1.60 of 1.600 mm, s1.65 of 1.650 mm."},
		{"gap", "gap: g\nallow: {play: {min: 0.02, max: 0.08}}\nchoose: {method: middle}", "1.66..1.69", steps, Undecided, "The gap is between 1.660 and 1.690 mm, and no grade is right for both ends. Right for one of them: s1.60 of 1.600 mm, s1.65 of 1.650 mm."},
		{"right for both ends, out of stock", "thickness: g", "1.59..1.61", "1.50 1.55 1.60*0 1.65 1.70", NothingFits, "s1.60 of 1.600 mm would fit, but is out of stock."},
		{"past the family", "thickness: g", "2.59..2.61", steps, NothingFits, "Order the part"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := packFor(t, c.lines, c.reading, c.kit)
			if e.Outcome != c.outcome || !strings.Contains(findingsText(e), c.says) {
				t.Errorf("%s, %s", e.Outcome, findingsText(e))
			}
		})
	}
}

// TestStatedThicknessIsNeverFar: whatever the family and the stock, a grade
// that is taken without within is nearest in the whole family.
func TestStatedThicknessIsNeverFar(t *testing.T) {
	outer := t
	rapid.Check(t, func(t *rapid.T) {
		at, kit := 0, ""
		var grades []gauge.Length
		for range rapid.IntRange(2, 8).Draw(t, "grades") {
			at += rapid.IntRange(1, 20).Draw(t, "step")
			grades = append(grades, gauge.Length(at)*gauge.Millimetre.Size()/100)
			kit += fmt.Sprintf("%d.%02d*%d ", at/100, at%100, rapid.IntRange(0, 1).Draw(t, "stock"))
		}
		wanted := rapid.IntRange(1, at+40).Draw(t, "wanted")
		e := packFor(outer, "thickness: g", fmt.Sprintf("%d.%02d", wanted/100, wanted%100), kit)
		if e.Choice == nil {
			return
		}
		off := (*e.Choice.Thickness - *e.Aim).Abs()
		for _, g := range grades {
			if (g - *e.Aim).Abs() < off {
				t.Fatalf("%s of %s for %d", e.Choice.Part, kit, wanted)
			}
		}
		if end := grades[len(grades)-1]; *e.Aim > end && 2*(*e.Aim-end) > end-grades[len(grades)-2] {
			t.Fatalf("%s of %s for %d", e.Choice.Part, kit, wanted)
		}
	})
}

func findingsText(e Evaluation) string {
	var texts []string
	for _, f := range e.Findings {
		texts = append(texts, inEnglish(f.Says))
	}
	return strings.Join(texts, "\n")
}
