package station

import (
	"path/filepath"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/recall"
)

// twoResults judges two results that are no closing dimension; invented.
const twoResults = `procedure: ring
title: Out of round
unit: mm
measure:
  across: {title: across}
judge:
  width: {title: Width, value: across, max: 25.00, otherwise: too wide}
  half: {value: across / 2, max: 20.00, otherwise: too wide}
`

// TestRecallShowsResults: a job whose verdict changes by a judged result has the value
// before, the correction, the value after and the limits of just that result.
func TestRecallShowsResults(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), twoResults)
	id := r.start(map[string]string{"across": "dial"}).ID
	r.press("dial", "25.010", gauge.Millimetre)
	r.close(id, "done")
	off := mm("0.030")
	got := r.recall(recall.Request{Gauge: "dial", Error: &off})
	if len(got.Items) != 1 || len(got.Items[0].Results) != 1 {
		t.Fatalf("%+v", got.Items)
	}
	one := got.Items[0].Results[0]
	if one.Name != "width" || one.Title != "Width" || one.Was != evaluate.DoesNotConform || one.Is != evaluate.Conforms ||
		*one.Before != mm("25.010") || *one.Correction() != mm("-0.030") || *one.After != mm("24.980") || *one.Allowed.Max != mm("25") || one.Allowed.Min != nil {
		t.Errorf("%+v", one)
	}
}
