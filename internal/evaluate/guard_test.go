package evaluate

import (
	"strings"
	"testing"
)

// TestGuardBandOfNothing: a guard band that is asked for, with nothing to make it of,
// decides nothing.
func TestGuardBandOfNothing(t *testing.T) {
	const text = "procedure: p\ntitle: t\nunit: mm\ndecide: guard band\nmeasure: {g: {title: g}}\n"
	for _, tail := range []string{"gap: g\nallow: {result: {min: 0.10, max: 0.20}}\n", "judge: {g: {min: 0.10, max: 0.20}}\n"} {
		for _, reading := range []string{"g 0.20", "g 0.15", "g 0.15, g 0.15"} {
			e := evaluateText(t, text+tail, reading)
			got := findingOf(e, FindingUnstated)
			if e.Outcome != Undecided || !strings.HasSuffix(got, ": a guard band is asked for, but nothing is stated about the gauge for g. State its error, calibration or repeatability, or decide by simple acceptance.") || findingOf(e, FindingNearLimit) != "" {
				t.Errorf("%s: %s %+v", reading, e.Outcome, e.Findings)
			}
		}
	}
}
