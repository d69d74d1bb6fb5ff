package station

import (
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/job"
)

// carrierTotal keeps the total of two sides and proves the lash; invented.
const carrierTotal = `procedure: ring
title: Both sides
unit: mm
measure: {left_in: {title: left}, right_in: {title: right}, play: {title: play, play: must be felt}, lash: {title: lash}}
constants: {preload: 0.08, wanted: 0.18}
values: {total: left_in + right_in + play + preload}
fit:
  left: {thickness: left_in + (play + preload)/2 + lash - wanted, parts: shims}
  right: {thickness: right_in + (play + preload)/2 - (lash - wanted), parts: shims}
together: {total: total, within: 0.02}
verify:
  measure: {lash_after: {title: lash}}
  judge: {lash_left: {value: lash_after, min: 0.16, max: 0.20}}
rounds: {next: {left_in: fitted(left), right_in: fitted(right), play: -preload, lash: lash_after}}
`

// TestNoRoundWhileTheTotalIsMissed: 6.00 mm is wanted together and 5.92 is in. A round
// would take that for right: it is refused until other parts are in, and the round that
// follows wants 6.00 again, also over a restart.
func TestNoRoundWhileTheTotalIsMissed(t *testing.T) {
	const shims = "family: shims\ntitle: Shims\nunit: mm\nseries: {from: 2.00, to: 4.00, step: 0.04}\n"
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigWith(t, path, carrierTotal, shims)
	ctx, id := t.Context(), r.start(nil).ID
	read := func(shown ...string) (j *job.Job) {
		t.Helper()
		for _, v := range shown {
			var err error
			if j, err = r.typed(id, v, gauge.Millimetre); err != nil {
				t.Fatal(err)
			}
		}
		return j
	}
	fit := func(place, part string) {
		t.Helper()
		if _, err := r.Fit(ctx, FitRequest{Job: id, Place: place, Part: part}); err != nil {
			t.Fatal(err)
		}
	}
	read("2.50", "3.30", "0.12", "0.18")
	if _, err := r.Choose(ctx, ChooseRequest{Job: id}); err != nil {
		t.Fatal(err)
	}
	fit("left", "2.56")
	fit("right", "3.36")
	const refused = "the parts that are in are not right together, so there is no proof of job 1 to go on from. Total of all places: Does not conform. Fit other parts"
	if _, err := r.NextRound(ctx, id, "tech"); err == nil || !strings.Contains(said(err), refused) {
		t.Fatal(err)
	}
	fit("right", "3.44")
	if j := read("0.22"); j.Evaluation.Outcome != evaluate.DoesNotConform {
		t.Fatal(j.Evaluation.Outcome)
	}
	j, err := r.NextRound(ctx, id, "tech")
	if err != nil || j.Evaluation.Together.Wanted != gauge.MustLength("6.00", gauge.Millimetre) {
		t.Fatalf("%+v, %v", j, err)
	}
	r.stop()
	r.store.Close()
	again := rigWith(t, path, carrierTotal, shims)
	if j := again.job(id); j.Round() != 2 || j.Evaluation.Together.Wanted != gauge.MustLength("6.00", gauge.Millimetre) {
		t.Errorf("round %d, %+v", j.Round(), j.Evaluation.Together)
	}
}
