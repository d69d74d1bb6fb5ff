package main

import (
	"os"
	"testing"

	pb "gauged/api/gauged/v1"
)

// The procedure is invented: two bolts are pulled with a wrench that sends.
const pulledProcedure = `procedure: pulled
title: Bolts
unit: mm
measure:
  bolt: {title: bolt, unit: N m, repeats: 2}
judge:
  bolt: {min: 85, max: 95}
`

// TestWrenchThatSends: a wrench is a gauge like any other. What it sends in N m
// enters the torque that is measured, with what is stated of it.
func TestWrenchThatSends(t *testing.T) {
	tr := newTrial(t, socket+`procedures: procedures
gauges:
  wrench: {title: wrench, layout: signed-line, port: wrench, unit: N m, resolution: 0.01, error: 1.5}
`)
	if err := os.Mkdir(tr.path("procedures"), 0o755); err != nil {
		t.Fatal(err)
	}
	tr.write("procedures/pulled.yaml", pulledProcedure)
	bench := simulated(t, tr.dir, "gauges:\n  wrench: {layout: signed-line, unit: N m, value: 90.00, decimals: 2, seed: 5}\n")
	tr.start()
	tr.live("wrench")
	started, err := tr.jobs().StartJob(t.Context(), &pb.StartJobRequest{
		ProcedureId: "pulled", UnitSerial: "U-1", By: "test", GaugeIds: map[string]string{"*": "wrench"},
	})
	if err != nil {
		t.Fatal(err)
	}
	for i, value := range []string{"89.50", "90.50"} {
		if err := bench.Set("wrench", value); err != nil {
			t.Fatal(err)
		}
		if err := bench.Press("wrench"); err != nil {
			t.Fatal(err)
		}
		tr.await("a pull of the wrench", func() bool {
			return len(tr.job(started.GetJob().GetId()).GetEvaluation().GetMeasurements()[0].GetReadings()) == i+1
		})
	}
	e := tr.job(started.GetJob().GetId()).GetEvaluation()
	j := e.GetJudgements()[0]
	if e.GetOutcome() != pb.Outcome_OUTCOME_CONFORMS || j.GetValue().GetText() != "90" || j.GetValue().GetUnit() != pb.Unit_UNIT_NEWTON_METRE || j.GetDecisionRule().GetCode() != "rule.guard" {
		t.Errorf("%v: %v", e.GetOutcome(), j)
	}
	if taken := e.GetMeasurements()[0].GetReadings()[0]; taken.GetGaugeId() != "wrench" || taken.GetValue().GetUnit() != pb.Unit_UNIT_NEWTON_METRE {
		t.Errorf("taken %v", taken)
	}
}
