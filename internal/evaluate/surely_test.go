package evaluate

import "testing"

// TestSurelyOutsideDoesNotFit: rings that may only be thinner than stamped. The one
// whose nominal thickness would just do leaves too much play in any case. Numbers ours.
func TestSurelyOutsideDoesNotFit(t *testing.T) {
	const lines = "gap: g\nallow: {play: {min: 0.100, max: 0.150}}\n"
	kit := func(stock string) string {
		return kitOf("grades:",
			"  - {part: thin, thickness: 1.500, tolerance: {plus: 0, minus: 0.040}}",
			"  - {part: thick, thickness: 1.540, tolerance: 0.005"+stock+"}")
	}
	const told = "thin surely ends outside the limits. Within the stated tolerances of thin it leaves play 0.150 to 0.190 mm; allowed is play 0.100 to 0.150 mm."
	cases := []struct {
		name, lines, family string
		outcome             Outcome
		part, findings      string
	}{
		{"another is taken", lines + "choose: {method: thinnest}", kit(""), FitPart, "thick", ""},
		{"nothing fits", lines + "choose: {method: thinnest}", kit(", stock: 0"), NothingFits, "", told + "\nthick of 1.540 mm would fit, but is out of stock.\nNo available grade is 1.500 to 1.550 mm thick. Check the measured faces, the sum and the part family. Then measure again, or order the part."},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := familyFor(t, c.lines, "1.650", c.family)
			if e.Outcome != c.outcome || choiceOf(e) != c.part || findingsText(e) != c.findings {
				t.Errorf("%s, %s: %s", e.Outcome, choiceOf(e), findingsText(e))
			}
			if thin := e.Candidates[0]; thin.Fits || !thin.PassedOver.Equal(surelyPassedOver) {
				t.Errorf("%+v", thin)
			}
		})
	}
}
