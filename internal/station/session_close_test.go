package station

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

// TestCloseOfABadUnit: a unit that does not conform is closed with a signature and a
// reason, never with one of them.
func TestCloseOfABadUnit(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{"depth": "dial", "end_play": "dial"}).ID
	if j := r.toTheProof(id, "0.250"); j.Evaluation.Outcome != evaluate.DoesNotConform {
		t.Fatalf("%s: %s", j.Stage, j.Evaluation.Outcome)
	}
	if _, err := r.CloseJob(t.Context(), id, " ", ""); !errors.Is(err, gauge.ErrInput) || said(err) != "wrong input: the verdict of job 1 is: Does not conform. Give a reason to close it" {
		t.Errorf("without a reason: %v", said(err))
	}
	if _, err := r.CloseJob(t.Context(), id, "scrap", ""); !errors.Is(err, gauge.ErrRefused) {
		t.Errorf("unsigned: %v", err)
	}
	if _, err := r.Verify(t.Context(), id, ""); err != nil {
		t.Fatal(err)
	}
	if _, err := r.CloseJob(t.Context(), id, "scrap", ""); err != nil {
		t.Error(err)
	}
}

// TestSignAndCloseIsOneStep: without its reason a bad unit is not signed either.
func TestSignAndCloseIsOneStep(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{"depth": "dial", "end_play": "dial"}).ID
	r.toTheProof(id, "0.250")
	if _, err := r.SignAndClose(t.Context(), id, "", ""); !errors.Is(err, gauge.ErrInput) || r.job(id).Verified {
		t.Errorf("signed %t, %v", r.job(id).Verified, err)
	}
	if j, err := r.SignAndClose(t.Context(), id, "scrap", ""); err != nil || !j.Verified || j.Closed.IsZero() {
		t.Errorf("%+v, %v", j, err)
	}
}

// TestAnyMeasurementServesSome: a gauge that is to measure everything and can measure
// nothing of it is refused, and a job that is taken up names its measurements.
func TestAnyMeasurementServesSome(t *testing.T) {
	r := newRig(t)
	r.Station.gauges["dial"].Unit = gauge.Newton
	_, err := r.StartJob(t.Context(), StartRequest{Procedure: "ring", UnitSerial: "SC 1", Technician: "tech", Gauges: map[string]string{AnyMeasurement: "dial"}})
	if !errors.Is(err, gauge.ErrInput) || !strings.Contains(said(err), "gauge dial can serve no measurement") {
		t.Errorf("got %v", said(err))
	}
	request := health.ImportRequest{Gauge: "dial", By: "lab", Checks: []health.PastCheck{{By: "lab", Time: r.o.Now().Add(-time.Hour), Found: []check.Stated{{Master: "zero", Error: 1000}}}}}
	if _, _, err := r.ImportChecks(t.Context(), request); !errors.Is(err, gauge.ErrInput) || !strings.Contains(said(err), "gauge dial measures in N") {
		t.Errorf("an error of length is taken of a force gauge: %v", said(err))
	}
}

// TestAllPlacesOrNone: when the part of one place is refused, that of the place before it
// is not settled either, and nothing is stored.
func TestAllPlacesOrNone(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), `procedure: ring
title: Two rings
unit: mm
measure: {left: {title: left}, right: {title: right}}
fit:
  front: {gap: left, allow: {play: {min: 0.10, max: 0.20}}, parts: rings, choose: {method: middle}}
  rear: {gap: right, allow: {play: {min: 0.10, max: 0.20}}, parts: rings, choose: {method: middle}}
`)
	id := r.start(nil).ID
	r.enter(id, "1.75")
	r.enter(id, "3.00")
	stored := r.kinds(id)
	if _, err := r.Choose(t.Context(), ChooseRequest{Job: id}); err == nil || len(r.job(id).Chosen) != 0 || r.kinds(id) != stored {
		t.Errorf("%v, chosen %v, facts %s", err, r.job(id).Chosen, r.kinds(id))
	}
}
