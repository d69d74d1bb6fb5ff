package evaluate

import (
	"reflect"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/gauge"
)

// TestKnownOf: result by result, what enters it counts and nothing else does.
func TestKnownOf(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte(`procedure: ring
title: Ring
unit: mm
measure: {depth: {title: Depth}, height: {title: Height}, width: {title: Width}}
gap: depth - height
allow: {play: {min: 0.1, max: 0.2}}
part: made to size
choose: {method: middle}
judge: {wide: {value: 2 * width, min: 1, max: 2}}
verify: {measure: {end_play: {title: End play}}, play: end_play}
`))
	if err != nil {
		t.Fatal(err)
	}
	limit, step := gauge.MustLength("0.004", gauge.Millimetre), gauge.MustLength("0.001", gauge.Millimetre)
	got, err := KnownOf(p, nil, compute.Input{Gauges: map[string]gauge.Ability{
		"depth": {Unit: gauge.Millimetre, Error: &limit}, "end_play": {Unit: gauge.Millimetre, Resolution: &step},
	}})
	want := []Known{
		{Of: "gap", Measured: []string{"depth", "height"}, Unstated: []string{"height"}, Stated: true},
		{Of: "verified play", Measured: []string{"end_play"}, Unstated: []string{"end_play"}, Stated: true},
		{Of: "wide", Measured: []string{"width"}, Unstated: []string{"width"}},
	}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v", got, err)
	}
}
