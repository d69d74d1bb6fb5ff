package wire

import (
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/vet"
)

// The procedures are invented for these tests.
const (
	judgedSum = `procedure: sum
title: A sum that is judged
unit: mm
measure:
  depth: {title: depth}
gap: depth
allow: {result: {min: 1, max: 2}}
`
	twoSides = `procedure: sides
title: A shim on either side
unit: mm
measure:
  left: {title: left}
  right: {title: right}
fit:
  one: {gap: left, allow: {play: {min: 0.1, max: 0.2}}, parts: shims, choose: {method: middle}}
  two: {gap: right, allow: {play: {min: 0.3, max: 0.4}}, parts: shims, choose: {method: middle}}
`
)

// TestOneFitForEachPlace: before anything is measured and after it, a single place, and
// a sum that is judged without a part, have the form of several places.
func TestOneFitForEachPlace(t *testing.T) {
	for text, want := range map[string][]string{preloadProcedure: {""}, judgedSum: {""}, twoSides: {"one", "two"}} {
		p, err := vet.ReadProcedure("p.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		_, shims := read(t)
		e, err := evaluate.Evaluate(p, procedure.Families{"shims": shims}, compute.Input{})
		if err != nil {
			t.Fatal(err)
		}
		fits, places := Evaluation(p, e).GetFits(), Procedure(p).GetPlaces()
		if len(fits) != len(want) || len(places) != len(want) {
			t.Errorf("%s: %d fits and %d places, want %d", p.ID, len(fits), len(places), len(want))
			continue
		}
		for i, name := range want {
			if fits[i].GetPlace() != name || places[i].GetName() != name || fits[i].GetAllowedPlay().GetMin() == nil || places[i].GetAllowedPlay().GetMin() == nil || fits[i].GetClosingDimension() == 0 {
				t.Errorf("%s: %v\n%v", p.ID, fits[i], places[i])
			}
		}
	}
}
