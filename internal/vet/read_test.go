package vet

import (
	"fmt"
	"testing"

	"gauged/internal/evaluate"
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
		if _, err := evaluate.ReadStoredProcedure("p.yaml", content); err != nil {
			t.Errorf("a version that was in force once: %v", err)
		}
	}
}
