package main

import (
	"bytes"
	"os"
	"os/exec"
	"testing"

	"gauged/internal/gauge"

	pb "gauged/api/gauged/v1"
)

// The procedure is invented: a face leans, and its rise over 100 mm decides.
const leaningProcedure = `procedure: leaning
title: Lean of a face
unit: mm
decimals: 6
measure:
  lean: {title: lean of the face, unit: deg, repeats: 2}
values: {rise: 100 * sin(lean)}
judge:
  lean: {min: 29, max: 31}
  rise: {min: 40, max: 60}
`

// TestProtractorThatSends: a protractor is a gauge like any other. What it sends in
// degrees is taken by job run, and the rise that follows from 30 degrees is exactly
// half of 100.
func TestProtractorThatSends(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the programs")
	}
	_, gaugectl := buildPrograms(t)
	tr := newTrial(t, socket+`procedures: procedures
gauges:
  protractor: {title: protractor, layout: signed-line, port: protractor, unit: deg, resolution: 0.01, error: 0.02}
`)
	if err := os.Mkdir(tr.path("procedures"), 0o755); err != nil {
		t.Fatal(err)
	}
	tr.write("procedures/leaning.yaml", leaningProcedure)
	bench := simulated(t, tr.dir, "gauges:\n  protractor: {layout: signed-line, unit: deg, value: 30.00, decimals: 2, seed: 5}\n")
	tr.start()
	tr.live("protractor")
	started, err := tr.jobs().StartJob(t.Context(), &pb.StartJobRequest{
		ProcedureId: "leaning", UnitSerial: "U-1", By: "test", GaugeIds: map[string]string{"*": "protractor"},
	})
	if err != nil {
		t.Fatal(err)
	}
	session := exec.CommandContext(t.Context(), gaugectl, "--address", "unix://"+tr.path("s"), "job", "run", "--job", "1")
	var out bytes.Buffer
	session.Stdout, session.Stderr = &out, &out
	in, err := session.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := session.Start(); err != nil {
		t.Fatal(err)
	}
	for i, value := range []string{"29.95", "30.05"} {
		if err := bench.Set("protractor", value); err != nil {
			t.Fatal(err)
		}
		if err := bench.Press("protractor"); err != nil {
			t.Fatal(err)
		}
		tr.await("an angle", func() bool {
			return len(tr.job(started.GetJob().GetId()).GetEvaluation().GetMeasurements()[0].GetReadings()) == i+1
		})
	}
	if _, err := in.Write([]byte("\n\n")); err != nil {
		t.Fatal(err)
	}
	_ = in.Close()
	if err := session.Wait(); err != nil {
		t.Fatalf("the session ended with %v:\n%s", err, out.String())
	}
	e := tr.job(started.GetJob().GetId()).GetEvaluation()
	if e.GetOutcome() != pb.Outcome_OUTCOME_CONFORMS || len(e.GetJudgements()) != 2 {
		t.Fatalf("%v, judged %v; the session:\n%s", e.GetOutcome(), e.GetJudgements(), out.String())
	}
	lean, rise := e.GetJudgements()[0].GetValue(), e.GetJudgements()[1].GetValue()
	if lean.GetUnit() != pb.Unit_UNIT_DEGREE || lean.GetText() != "30" {
		t.Errorf("the lean is %v", lean)
	}
	if rise.GetUnit() != pb.Unit_UNIT_ONE || rise.GetBillionths() != int64(gauge.MustLength("50", gauge.One)) { // 100 has no unit
		t.Errorf("the rise is %v", rise)
	}
}
