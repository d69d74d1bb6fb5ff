package station

import (
	"fmt"
	"path/filepath"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/recall"
)

// twoPlaces is a shaft with a thrust washer and a preload shim that is chosen by the play of
// a sample; the torque of the shaft proves the shim. Numbers ours.
const twoPlaces = `procedure: ring
title: Countershaft
unit: mm
measure:
  depth: {title: depth}
  height: {title: height}
  sample_play: {title: play with the sample, play: must be felt}
constants:
  sample: {value: 1.500, title: sample shim}
  least: {value: 40, unit: N cm, title: least torque}
  most: {value: 80, unit: N cm, title: most torque}
fit:
  washer: {title: Thrust washer, gap: depth - height, allow: {play: {min: 0.05, max: 0.15}}, parts: washers, choose: {method: middle}}
  shim: {title: Preload shim, gap: sample + sample_play, allow: {preload: {min: 0.02, max: 0.06}}, parts: shims, choose: {aim: {preload: 0.04}}}
verify:
  measure:
    pushed: {title: pushed}
    pulled: {title: pulled}
    torque: {title: torque, unit: N cm}
  judge:
    washer_play: {value: pulled - pushed, min: 0.05, max: 0.15}
    shim_torque: {value: torque, min: least, max: most}
`

const washerFamily = `family: washers
title: Washers
unit: mm
grades: [{part: W220, thickness: 2.20}]
`

const shimFamily = `family: shims
title: Shims
unit: mm
grades: [{part: S172, thickness: 1.72}]
`

// TestRecallOfEachPlace: the dial showed 0.010 mm too much. It read the play of the sample:
// gap 1.500 + 0.165 = 1.665, with a shim of 1.72 a preload of 0.055; without the error
// 1.500 + 0.155 = 1.655 and 0.065, where 0.060 is the most. It also read the proof of the
// washer, a difference: 0.100 as before. The torque was read without it.
func TestRecallOfEachPlace(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), twoPlaces, washerFamily, shimFamily)
	id := r.start(map[string]string{"sample_play": "dial", "pushed": "dial", "pulled": "dial"}).ID
	r.enter(id, "25.000")
	r.enter(id, "22.700")
	r.press("dial", "0.165", gauge.Millimetre)
	for place, part := range map[string]string{"washer": "W220", "shim": "S172"} {
		if _, err := r.Fit(t.Context(), FitRequest{Job: id, Place: place, Part: part}); err != nil {
			t.Fatal(err)
		}
	}
	r.press("dial", "0.000", gauge.Millimetre)
	r.press("dial", "0.100", gauge.Millimetre)
	if _, _, err := r.Enter(t.Context(), EnterRequest{Job: id, Shown: "60", Unit: gauge.NewtonCentimetre, Instrument: "torque gauge"}); err != nil {
		t.Fatal(err)
	}
	r.close(id, "done")
	off := mm("0.010")
	got := r.recall(recall.Request{Gauge: "dial", Error: &off})
	if len(got.Items) != 1 {
		t.Fatalf("%+v", got.Items)
	}
	item := got.Items[0]
	if item.Before != evaluate.Conforms || item.Change != recall.Doubtful || item.ChoseOnly || got.Undecided != 1 {
		t.Errorf("%+v", item)
	}
	var lines []string
	for _, one := range item.Results {
		lines = append(lines, fmt.Sprintf("%s: %s -> %s, %s %s, by the sum %t, without it %t", one.Name, one.Before.TextIn(one.Unit), one.After.TextIn(one.Unit), one.Was, one.Is, one.Predicted, one.Without))
	}
	wantLines(t, lines, []string{
		"shim: -0.055 -> -0.065, conforms does not conform, by the sum true, without it false",
		"washer_play: 0.1 -> 0.1, conforms conforms, by the sum false, without it false",
		"shim_torque: 0.6 -> 0.6, conforms conforms, by the sum false, without it true",
	})
}
