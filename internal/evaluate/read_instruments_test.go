package evaluate

import (
	"fmt"
	"strings"
	"testing"
)

// TestSlipInAnInstrument: a slip in its name would switch the guard band off in
// silence.
func TestSlipInAnInstrument(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
instruments: {%s: {error: 0.02}}
measure: {a: {title: a, instrument: %s}}
judge: {a: {max: 1}}
`
	for _, c := range []struct{ stated, named, want string }{
		{"dial", "dial", ""},
		{"dial", "dail", "p.yaml:5:37: dail is not among the instruments: did you mean dial?"},
		{"dial", "Dial", "p.yaml:5:37: Dial is not among the instruments: did you mean dial?"},
		{"depth gauge", "depth gage", "p.yaml:5:37: depth gage is not among the instruments: did you mean depth gauge?"},
		{"dial", "vernier", ""}, // a gauge of the station
		{"mic 0-25", "mic 0-50", ""},
	} {
		content := fmt.Appendf(nil, text, c.stated, c.named)
		_, err := ReadProcedure("p.yaml", content)
		if got := fmt.Sprint(err); c.want == "" && err != nil || c.want != "" && got != c.want {
			t.Errorf("%s, %s: %v", c.stated, c.named, err)
		}
		if _, err := ReadStoredProcedure("p.yaml", content); err != nil {
			t.Errorf("a version that was in force once: %v", err)
		}
	}
}

// TestGuardBandOfNothing: a guard band that is asked for, with nothing to make it of,
// decides nothing.
func TestGuardBandOfNothing(t *testing.T) {
	const text = "procedure: p\ntitle: t\nunit: mm\ndecide: guard band\nmeasure: {g: {title: g}}\n"
	for _, tail := range []string{"gap: g\nallow: {result: {min: 0.10, max: 0.20}}\n", "judge: {g: {min: 0.10, max: 0.20}}\n"} {
		for _, reading := range []string{"g 0.20", "g 0.15", "g 0.15, g 0.15"} {
			e := evaluateText(t, text+tail, reading)
			got := findingOf(e, FindingUnstated)
			if e.Outcome != Undecided || !strings.HasSuffix(got, ": a guard band is asked for, and nothing is stated of the gauge of g: state its error, calibration or repeatability, or decide by simple acceptance") || findingOf(e, FindingNearLimit) != "" {
				t.Errorf("%s: %s %+v", reading, e.Outcome, e.Findings)
			}
		}
	}
}
