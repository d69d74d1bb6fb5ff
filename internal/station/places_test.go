package station

import (
	"path/filepath"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// twoFamilies sets a ring, then a shim beside what was really fitted; invented.
const twoFamilies = `procedure: ring
title: Ring and shim
unit: mm
measure: {total: {title: what both fill}}
fit:
  ring: {thickness: total - 0.40, parts: rings}
  shim: {thickness: total - fitted(ring), parts: shims}
judge:
  both: {value: total - parts, min: -0.05, max: 0.05}
`

const shimParts = "family: shims\ntitle: Shims\nunit: mm\nseries: {from: 0.30, to: 0.60, step: 0.05}\n"

// TestALaterPlaceWaits: the second place is chosen from a family of its own when
// it is known what was really fitted at the first, through a restart and replay.
func TestALaterPlaceWaits(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigWith(t, path, twoFamilies, shimParts)
	ctx, id := t.Context(), r.start(nil).ID
	j, err := r.typed(id, "1.96", gauge.Millimetre)
	if err != nil || j.Stage != job.StageChoose || j.FitAt("ring").Recommended() != "R155" || j.FitAt("shim").Waits != "ring" {
		t.Fatalf("%s, %+v, %v", j.Stage, j.Evaluation.Fits, err)
	}
	const wait = "refused: the part for shim depends on what is really fitted at ring; fit that first and record it"
	if _, err := r.Choose(ctx, ChooseRequest{Job: id, Place: "shim"}); err == nil || said(err) != wait {
		t.Error(err)
	}
	if _, err := r.Fit(ctx, FitRequest{Job: id, Place: "shim", Part: "0.40"}); err == nil || said(err) != wait {
		t.Error(err)
	}
	if j, err = r.Choose(ctx, ChooseRequest{Job: id}); err != nil || j.Stage != job.StageFit || len(j.Chosen) != 1 {
		t.Fatalf("%s, %v, %v", j.Stage, j.Chosen, err)
	}
	if _, err = r.Fit(ctx, FitRequest{Job: id, Thickness: "1.50", Unit: gauge.Millimetre}); err == nil {
		t.Error("a thickness for no place in particular")
	}
	if told, _, err := r.Foretell(ctx, FitRequest{Job: id, Place: "ring", Part: "R150", Thickness: "1.51", Unit: gauge.Millimetre}); err != nil || len(told) != 1 || told[0].Fits || !told[0].Unexpected || told[0].Place != "ring" {
		t.Errorf("%+v, %v", told, err)
	}
	if _, _, err := r.Foretell(ctx, FitRequest{Job: id, Place: "shim", Part: "0.40"}); err == nil || said(err) != wait {
		t.Error(err)
	}
	if told, _, err := r.Foretell(ctx, FitRequest{Job: id}); err != nil || len(told) != 1 || told[0].Part != "R155" || told[0].Unexpected {
		t.Errorf("%+v, %v", told, err)
	}
	if j, err = r.Fit(ctx, FitRequest{Job: id, Place: "ring", Part: "R150", Thickness: "1.51", Unit: gauge.Millimetre}); err != nil || j.Stage != job.StageChoose || j.FitAt("shim").Recommended() != "0.45" {
		t.Fatalf("%s, %+v, %v", j.Stage, j.FitAt("shim"), err)
	}
	if _, err = r.Choose(ctx, ChooseRequest{Job: id, Place: "shim", Part: "R155", Reason: "x"}); err == nil || said(err) != `not found: there is no part "R155" in the family shims` {
		t.Error(err)
	}
	if j, err = r.Choose(ctx, ChooseRequest{Job: id}); err != nil || j.Stage != job.StageFit || j.Chosen["shim"] != "0.45" {
		t.Fatalf("%s, %v, %v", j.Stage, j.Chosen, err)
	}
	if j, err = r.Fit(ctx, FitRequest{Job: id}); err != nil || j.Stage != job.StageVerify || j.Evaluation.Judgements[0].Value != 0 {
		t.Fatalf("%s, %+v, %v", j.Stage, j.Evaluation, err)
	}
	before := string(j.Evaluated)
	r.stop()
	r.store.Close()
	again := rigWith(t, path, twoFamilies, shimParts)
	if after := string(again.job(id).Evaluated); after != before {
		t.Errorf("the job reads back as\n%s\nit was\n%s", after, before)
	}
	if replay, err := again.ReplayVerdicts(ctx, 0); err != nil || replay.Verdicts == 0 || len(replay.Differences) > 0 {
		t.Errorf("%+v, %v", replay, err)
	}
}

// TestNoPartIsFitted: no part at all is settled and recorded like a part, and a
// place whose table accepts what was found asks for nothing.
func TestNoPartIsFitted(t *testing.T) {
	const procedure = `procedure: ring
title: Ring and shim
unit: mm
measure: {g: {title: gap}}
fit:
  ring: {thickness: g, parts: rings, choose: {method: nearest, none: allowed}, within: 0.02}
  shim: {gap: g, parts: shims, choose: {method: table}}
`
	const table = "family: shims\ntitle: t\nunit: mm\nrow_step: 0.01\ngrades:\n  - {part: as it is, serves: {max: 0.10}}\n  - {part: a, serves: {min: 0.11}}\n"
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), procedure, table)
	ctx, id := t.Context(), r.start(nil).ID
	j, err := r.typed(id, "0.01", gauge.Millimetre)
	if err != nil || j.Stage != job.StageChoose || j.FitAt("ring").Recommended() != "none" || !j.FitAt("shim").Kept {
		t.Fatalf("%s, %+v, %v", j.Stage, j.Evaluation.Fits, err)
	}
	if j, err = r.Choose(ctx, ChooseRequest{Job: id}); err != nil || j.Stage != job.StageFit || len(j.Chosen) != 1 || j.Chosen["ring"] != "none" {
		t.Fatalf("%s, %v, %v", j.Stage, j.Chosen, err)
	}
	if j, err = r.Fit(ctx, FitRequest{Job: id}); err != nil || j.Stage != job.StageVerify || *j.FitAt("ring").Fitted.Thickness != 0 {
		t.Fatalf("%s, %+v, %v", j.Stage, j.Evaluation.Fits, err)
	}
}
