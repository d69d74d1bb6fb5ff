package main

import (
	"context"
	"errors"
	"io"
	"os"
	"testing"
	"time"

	pb "gauged/api/gauged/v1"
	"gauged/internal/devices"
	"gauged/internal/shopfile"
	"gauged/internal/simulate"
)

// The procedure is invented: the play of a shaft is rocked out three times, and
// its runout is taken over a turn.
const rockedProcedure = `procedure: rocked
title: End play and runout
unit: mm
measure:
  end_play: {title: end play, repeats: 3, agree: 0.010, capture: end stops}
  runout: {title: runout, repeats: 2, take: range, capture: turn}
judge:
  runout: {max: 0.060}
gap: end_play
allow: {result: {min: 0.100, max: 0.300}}
`

// TestRockedShaftAtSimulatedGauges: the shaft under a simulated indicator is
// pushed to and fro three times, then turned once, and the end play and the
// runout come out with a guarded verdict.
func TestRockedShaftAtSimulatedGauges(t *testing.T) {
	tr := newTrial(t, socket+`procedures: procedures
gauges:
  dial: {layout: signed-line, mode: stream, port: dial, unit: mm, resolution: 0.001, error: 0.004}
`)
	if err := os.Mkdir(tr.path("procedures"), 0o755); err != nil {
		t.Fatal(err)
	}
	tr.write("procedures/rocked.yaml", rockedProcedure)
	bench := simulated(t, tr.dir, "gauges:\n  dial: {layout: signed-line, mode: stream, every: 40ms, unit: mm, value: 0.000, noise: 0.001, seed: 5}\n")
	tr.start()
	tr.live("dial")
	started, err := tr.jobs().StartJob(t.Context(), &pb.StartJobRequest{
		ProcedureId: "rocked", UnitSerial: "U-1", By: "test", GaugeIds: map[string]string{"*": "dial"},
	})
	if err != nil {
		t.Fatal(err)
	}
	job := started.GetJob().GetId()

	progress := captured(t, tr, job, func() error { return bench.Rock("dial", "0.000", "0.182", "3") })
	if len(progress.GetPlays()) < 3 || len(progress.GetFaults()) > 0 {
		t.Errorf("progress %v", progress)
	}
	captured(t, tr, job, func() error { return bench.Turn("dial", "0.043") })
	done := tr.job(job)
	e := done.GetEvaluation()
	if e.GetOutcome() != pb.Outcome_OUTCOME_CONFORMS || e.GetDecisionRule().GetCode() != "rule.guard.full" || len(e.GetBudgets()) != 2 {
		t.Errorf("outcome %s by %q with %d budgets", e.GetOutcome(), e.GetDecisionRule(), len(e.GetBudgets()))
	}
	within := func(name string, want, by int64) {
		for _, m := range e.GetMeasurements() {
			if off := m.GetValue().GetPicometres() - want*1e6; m.GetName() == name && (off > by*1e6 || off < -by*1e6) {
				t.Errorf("%s is %s, want %d um", name, m.GetValue().GetText(), want)
			}
		}
	}
	within("end_play", 182, 3)
	within("runout", 43, 4)
	replay, err := tr.history().ReplayVerdicts(t.Context(), &pb.ReplayVerdictsRequest{})
	if err != nil || replay.GetVerdictCount() == 0 || len(replay.GetDifferences()) > 0 {
		t.Errorf("replay %v, %v", replay, err)
	}
}

// captured runs the capture that is due, moves the shaft once it has begun, and
// returns the last progress.
func captured(t *testing.T, tr *trial, job uint64, move func() error) *pb.MotionProgress {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	stream, err := tr.jobs().CaptureMotion(ctx, &pb.CaptureMotionRequest{JobId: job})
	if err != nil {
		t.Fatal(err)
	}
	var last *pb.MotionProgress
	for {
		m, err := stream.Recv()
		switch {
		case errors.Is(err, io.EOF):
			return last
		case err != nil:
			t.Fatal(err)
		case m.GetProgress() == nil:
			continue
		case last == nil:
			if err := move(); err != nil {
				t.Fatal(err)
			}
		}
		last = m.GetProgress()
	}
}

// simulated starts simulated gauges that the test ends.
func simulated(t *testing.T, dir, scenario string) *simulate.Bench {
	t.Helper()
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	document := shopfile.Parse("scenario.yaml", []byte(scenario))
	gauges := simulate.ReadScenario(document.Root(), layouts.Find)
	if err := document.Err(); err != nil {
		t.Fatal(err)
	}
	bench, err := simulate.Start(dir, gauges)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = bench.Close() })
	return bench
}
