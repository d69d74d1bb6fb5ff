package station

import (
	"path/filepath"
	"testing"

	"gauged/internal/gauge"
)

// TestAPackByHand: a pack that somebody puts together needs pieces of the family and
// a reason, is foretold, and has the thickness of its pieces when it is fitted. The
// recommended pieces in another order need no reason.
func TestAPackByHand(t *testing.T) {
	const procedure = `procedure: ring
title: Pack
unit: mm
measure: {g: {title: gap}}
gap: g
allow: {play: {min: 0.00, max: 0.10}}
parts: shims
choose: {method: middle, pack: {most: 3}}
`
	const shims = "family: shims\ntitle: t\nunit: mm\nseries: {from: 0.10, to: 0.50, step: 0.10}\n"
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), procedure, shims)
	ctx, id := t.Context(), r.start(nil).ID
	j, err := r.typed(id, "0.75", gauge.Millimetre)
	if err != nil || j.FitAt("").Recommended() == "" {
		t.Fatalf("%+v, %v", j.Evaluation, err)
	}
	if _, err := r.Choose(ctx, ChooseRequest{Job: id, Part: "0.20 + 0.55", Reason: "x"}); err == nil || said(err) != `not found: there is no part "0.55" in the family shims` {
		t.Error(err)
	}
	if _, err := r.Choose(ctx, ChooseRequest{Job: id, Part: "0.10+0.10"}); err == nil {
		t.Error("a pack by hand without a reason")
	}
	if _, err := r.Choose(ctx, ChooseRequest{Job: id, Part: "0.40+0.30"}); err != nil {
		t.Errorf("recommended is %s: %v", j.FitAt("").Recommended(), err)
	}
	told, _, err := r.Foretell(ctx, FitRequest{Job: id, Part: "0.50 + 0.50"})
	if err != nil || len(told) != 1 || told[0].Fits || !told[0].Unexpected || *told[0].Play != gauge.MustLength("-0.25", gauge.Millimetre) {
		t.Errorf("%+v, %v", told, err)
	}
	if j, err = r.Fit(ctx, FitRequest{Job: id, Part: "0.50 + 0.50"}); err != nil || *j.FitAt("").Fitted.Thickness != gauge.MustLength("1", gauge.Millimetre) {
		t.Errorf("%+v, %v", j, err)
	}
}
