package wire

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/testing/protocmp"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/vet"
)

// The procedures and the parts are invented for these tests.
const preloadProcedure = `procedure: shim
title: Preload shim
edition: "3"
source: shop sheet
unit: in
measure:
  depth: {title: depth, how: two places, repeats: 2, agree: 0.002, plausible: {min: 0.1, max: 0.9}}
gap: depth
allow: {preload: {min: 0.001, max: 0.003}}
parts: shims
choose: {method: middle}
verify:
  measure: {turn: {title: what it turns out}}
  play: turn
`

const shims = `family: shims
title: Shims
unit: in
grades:
  - {part: S50, mark: A, thickness: 0.5, tolerance: 0.0005, stock: 0}
  - {part: S502, thickness: 0.5025, stock: 3}
`

func read(t *testing.T) (*procedure.Procedure, *procedure.Family) {
	t.Helper()
	p, err := vet.ReadProcedure("shim.yaml", []byte(preloadProcedure))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("shims.yaml", []byte(shims))
	if err != nil {
		t.Fatal(err)
	}
	return p, f
}

func inch(digits string) *gaugedv1.Quantity {
	return Quantity(gauge.MustLength(digits, gauge.Inch), digits, gauge.Inch)
}

func same[M proto.Message](t *testing.T, got, want M) {
	t.Helper()
	if diff := cmp.Diff(want, got, protocmp.Transform()); diff != "" {
		t.Errorf("difference (-want +got):\n%s", diff)
	}
}

func TestProcedure(t *testing.T) {
	p, f := read(t)
	same(t, Procedure(p), &gaugedv1.Procedure{
		Id: "shim", Title: "Preload shim", Edition: "3", Source: "shop sheet", Unit: gaugedv1.Unit_UNIT_INCH,
		Measure: []*gaugedv1.MeasurementStep{{
			Name: "depth", Title: "depth", How: "two places", Repeats: 2, Agree: inch("0.0020"), Unit: gaugedv1.Unit_UNIT_INCH,
			Plausible: &gaugedv1.Range{Min: inch("0.1000"), Max: inch("0.9000")},
		}},
		Places: []*gaugedv1.Place{{
			Formula: "depth", AllowedPlay: &gaugedv1.Range{Min: inch("-0.0030"), Max: inch("-0.0010")}, PartFamilyId: "shims", ClosingDimension: gaugedv1.ClosingDimension_CLOSING_DIMENSION_PRELOAD,
		}},
		Verify: []*gaugedv1.MeasurementStep{{Name: "turn", Title: "what it turns out", Repeats: 1, Unit: gaugedv1.Unit_UNIT_INCH}},
		Hash:   p.Hash, Rounds: &gaugedv1.Rounds{Most: 3},
	})
	same(t, family(p, f), &gaugedv1.PartFamily{Id: "shims", Title: "Shims", Hash: f.Hash, Grades: []*gaugedv1.Grade{
		{Part: "S50", Mark: "A", Thickness: inch("0.5000"), Tolerance: inch("0.0005"), Stock: proto.Uint32(0)},
		{Part: "S502", Thickness: inch("0.5025"), Stock: proto.Uint32(3)},
	}})
}

// TestDigitsOfParts: parts have the digits of the procedure, as where they are candidates, also
// where no size of theirs needs them.
func TestDigitsOfParts(t *testing.T) {
	thickness, tolerance := gauge.MustLength("1.400", gauge.Millimetre), gauge.MustLength("0.010", gauge.Millimetre)
	f := &procedure.Family{ID: "shims", Unit: gauge.Millimetre, Grades: []procedure.Grade{{Part: "S140", Thickness: &thickness, Tolerance: &tolerance}}}
	g := family(&procedure.Procedure{Unit: gauge.Millimetre, Decimals: 3}, f).GetGrades()[0]
	if g.GetThickness().GetText() != "1.400" || g.GetTolerance().GetText() != "0.010" {
		t.Errorf("%v", g)
	}
}

func TestEvaluationShowsOneDecimalMoreInsteadOfRounding(t *testing.T) {
	p, f := read(t)
	taken := func(seq uint64, digits, discarded string) procedure.Reading {
		return procedure.Reading{Seq: seq, Gauge: "g", Measurement: "depth", Value: gauge.MustLength(digits, gauge.Inch), Shown: digits, Unit: gauge.Inch, Discarded: discarded}
	}
	e, err := evaluate.Evaluate(p, f, compute.Input{
		Readings: []procedure.Reading{taken(7, "0.5000", ""), taken(8, "0.7", "not seated"), taken(9, "0.5001", "")},
		Fitted:   []procedure.Fitted{{Part: "S502"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	m := Evaluation(p, e)
	if m.GetOutcome() != gaugedv1.Outcome_OUTCOME_VERIFY || len(m.GetFits()) != 1 || m.GetFits()[0].GetClosingDimension() != gaugedv1.ClosingDimension_CLOSING_DIMENSION_PRELOAD {
		t.Fatalf("outcome %v, fits %v", m.GetOutcome(), m.GetFits())
	}
	fit := m.GetFits()[0]
	same(t, fit.GetGap(), inch("0.50005"))
	same(t, fit.GetChoice(), &gaugedv1.Candidate{
		Grade: &gaugedv1.Grade{Part: "S502", Thickness: inch("0.5025"), Stock: proto.Uint32(3)}, Play: inch("-0.00245"), Fits: true,
	})
	same(t, fit.GetFitted(), &gaugedv1.FittedPart{Part: "S502", Thickness: inch("0.5025")})
	same(t, fit.GetWindow(), &gaugedv1.Range{Min: inch("0.50105"), Max: inch("0.50305")})
	want := &gaugedv1.Measurement{
		Name: "depth", Repeats: 2, Value: inch("0.50005"), Spread: inch("0.0001"), Agree: inch("0.0020"), Complete: true,
		Readings: []*gaugedv1.TakenReading{
			{Seq: 7, GaugeId: "g", Value: inch("0.5000")},
			{Seq: 8, GaugeId: "g", Value: inch("0.7"), DiscardReason: "not seated"},
			{Seq: 9, GaugeId: "g", Value: inch("0.5001")},
		},
	}
	deviation, ok := e.Measurements[0].StdDev()
	if !ok {
		t.Fatal("two readings have no standard deviation")
	}
	want.StandardDeviation = Estimate(deviation, gauge.Inch)
	same(t, m.GetMeasurements()[0], want)
	same(t, m.GetSums()[0], &gaugedv1.Sum{Name: "gap", Expression: "depth", Worked: "0.50005", Value: inch("0.50005")})
}

func TestVerification(t *testing.T) {
	p, _ := read(t)
	measured, predicted, difference, agrees := gauge.MustLength("-0.002", gauge.Inch), gauge.MustLength("-0.0025", gauge.Inch), gauge.MustLength("0.0005", gauge.Inch), true
	e := evaluate.Evaluation{Verification: &evaluate.Verification{Measured: measured, Predicted: &predicted, PredictedBetween: &procedure.Limits{Min: &predicted, Max: &measured}, Difference: &difference, Agrees: &agrees}}
	same(t, Evaluation(p, e).GetVerification(), &gaugedv1.Verification{
		Measured: inch("-0.0020"), Predicted: inch("-0.0025"), Difference: inch("0.0005"), Agrees: proto.Bool(true),
		ByUncertainty: p.PredictedWithin == nil, PredictedBetween: &gaugedv1.Range{Min: inch("-0.0025"), Max: inch("-0.0020")},
	})
}
