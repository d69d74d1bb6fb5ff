package station

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// carrier has two places, a mark, a case and a feeler; all of it is invented.
const carrier = `procedure: ring
title: Both sides of a carrier
unit: mm
measure:
  gears: {title: gear set, one_of: [new, used]}
  as_found: {title: backlash as found, when: {gears: used}}
  left: {title: left pack}
  right: {title: right pack}
  pull: {title: pull on the flange, unit: N}
constants: {wanted: 0.15}
values:
  lash: {by: gears, cases: {new: wanted, used: as_found}}
fit:
  left_side: {thickness: left + lash, parts: rings}
  right_side: {thickness: right - lash, part: made to size}
verify:
  measure: {end_play: {title: end play by feelers}}
  judge: {end_play: {max: 0.10}}
`

func (r *rig) typed(id uint64, shown string, u gauge.Unit) (*job.Job, error) {
	j, _, err := r.Enter(r.t.Context(), EnterRequest{Job: id, Shown: shown, Unit: u})
	return j, err
}

// TestSeveralPlaces: marks, a case that adds a measurement, a force, two places
// and an interval, through a restart.
func TestSeveralPlaces(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigWith(t, path, carrier)
	ctx, id := t.Context(), r.start(nil).ID
	for _, step := range []struct {
		due, shown string
		unit       gauge.Unit
	}{{"gears", "used", gauge.UnitUnknown}, {"as_found", "0.20", gauge.Millimetre}, {"left", "1.36", gauge.Millimetre}, {"right", "1.70", gauge.Millimetre}, {"pull", "31.5", gauge.Newton}} {
		if due := r.job(id).Measuring; due != step.due {
			t.Fatalf("%q is due, want %s", due, step.due)
		}
		if _, err := r.typed(id, step.shown, step.unit); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.Choose(ctx, ChooseRequest{Job: id, Part: "R150", Reason: "to hand"}); err == nil || said(err) != "wrong input: say for which place; the places are left_side, right_side" {
		t.Errorf("a part for no place: %v", err)
	}
	j, err := r.Choose(ctx, ChooseRequest{Job: id})
	if err != nil || j.Stage != job.StageFit || j.Chosen["left_side"] != "R155" || j.Chosen["right_side"] != "made to size" {
		t.Fatalf("stage %s, chosen %v, %v", j.Stage, j.Chosen, err)
	}
	if _, err := r.Fit(ctx, FitRequest{Job: id, Place: "middle"}); err == nil || said(err) != `not found: there is no place "middle"; the places are left_side, right_side` {
		t.Errorf("a place that is not there: %v", err)
	}
	if j, err = r.Fit(ctx, FitRequest{Job: id, Place: "right_side", Thickness: "1.50", Unit: gauge.Millimetre}); err != nil || j.Stage != job.StageFit {
		t.Fatalf("one side fitted: stage %s, %v", j.Stage, err)
	}
	if _, err := r.typed(id, "0.05..0.08", gauge.Millimetre); err == nil {
		t.Error("the proof began before the second side was fitted")
	}
	if j, err = r.Fit(ctx, FitRequest{Job: id}); err != nil || j.Stage != job.StageVerify {
		t.Fatalf("both sides fitted: stage %s, %v", j.Stage, err)
	}
	if j, err = r.typed(id, "0.08..0.12", gauge.Millimetre); err != nil || j.Evaluation.Outcome != "undecided" || j.Stage != job.StageDecided {
		t.Fatalf("outcome %s, stage %s, %v", j.Evaluation.Outcome, j.Stage, err)
	}
	if _, err := r.CloseJob(ctx, id, "", ""); err == nil || said(err) != "wrong input: job 1 is undecided: measure again with more readings or a better gauge, or give a reason to close it" {
		t.Errorf("closing what is undecided: %v", err)
	}
	if _, err := r.Discard(ctx, id, 0, "blades of 0.08 and 0.10 tried", ""); err != nil {
		t.Fatal(err)
	}
	if j, err = r.typed(id, "0.08..0.10", gauge.Millimetre); err != nil || j.Evaluation.Outcome != "conforms" {
		t.Fatalf("outcome %s, %v", j.Evaluation.Outcome, err)
	}
	before := string(j.Evaluated)
	r.stop()
	r.store.Close()
	again := rigWith(t, path, carrier)
	if after := string(again.job(id).Evaluated); after != before {
		t.Errorf("the job reads back as\n%s\nit was\n%s", after, before)
	}
	replay, err := again.ReplayVerdicts(ctx, 0)
	if err != nil || replay.Verdicts == 0 || len(replay.Differences) > 0 {
		t.Errorf("%+v, %v", replay, err)
	}
}

func TestMarksThatAreRefused(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), carrier)
	id := r.start(nil).ID
	_, err := r.typed(id, "old", gauge.UnitUnknown)
	if want := `wrong input: "old" cannot be read for gears: it is one of new, used`; err == nil || said(err) != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if _, err := r.Choose(t.Context(), ChooseRequest{Job: id}); err == nil || said(err) != "refused: job 1 is not measured yet; measure before a part is fitted" {
		t.Errorf("too early: %v", err)
	}
}

// judged judges one reading of a gauge.
const judged = `procedure: ring
title: End play
unit: mm
measure: {end_play: {title: end play, repeats: 3}}
gap: end_play
allow: {result: {min: 0.05, max: 0.06}}
`

// know changes what the station knows of its streaming gauge.
func (r *rig) know(a gauge.Ability) {
	r.Station.mu.Lock()
	defer r.Station.mu.Unlock()
	known := *r.Station.gauges["probe"] // a status never changes: each change gives a new one
	known.Ability = a
	r.Station.gauges["probe"] = &known
}

// TestGaugeThatCannotDecide: a job is refused when no reading could conform.
func TestGaugeThatCannotDecide(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), judged)
	coarse, fine := gauge.MustLength("0.02", gauge.Millimetre), gauge.MustLength("0.001", gauge.Millimetre)
	r.Report(Report{State: &gauge.StateChange{Gauge: "probe", Time: r.o.Now(), State: gauge.StateLive}})
	r.press("probe", "0.000", gauge.Millimetre)
	r.know(gauge.Ability{Unit: gauge.Millimetre, Error: &coarse})
	_, err := r.StartJob(t.Context(), StartRequest{Procedure: "ring", UnitSerial: "U", Technician: "t", Gauges: map[string]string{"*": "probe"}})
	if err == nil || !strings.HasPrefix(said(err), "refused: the gauges cannot decide between these limits: result: The limits are 0.010 mm apart, which is 0.9 times the standard uncertainty of 0.0115 mm. At least 3.29 times are needed") {
		t.Errorf("got %s", said(err))
	}
	r.know(gauge.Ability{Unit: gauge.Millimetre, Error: &fine})
	j := r.start(map[string]string{"*": "probe"})
	// What was known at the start stays with the job.
	r.know(gauge.Ability{Unit: gauge.Millimetre, Error: &coarse})
	for _, shown := range []string{"0.055", "0.0551", "0.0549"} {
		r.press("probe", shown, gauge.Millimetre)
		if j, _, err = r.Capture(t.Context(), CaptureRequest{Job: j.ID}); err != nil {
			t.Fatal(err)
		}
	}
	if j.Evaluation.Outcome != "conforms" || j.Evaluation.DecisionRule.Code != "rule.guard.full" || len(j.Evaluation.Budgets) != 1 {
		t.Errorf("%s by %q with %d budgets", j.Evaluation.Outcome, j.Evaluation.DecisionRule, len(j.Evaluation.Budgets))
	}
}

// TestScatterOfEarlierJobs: the repeats of earlier jobs are pooled for a gauge
// whose usual scatter is not stated.
func TestScatterOfEarlierJobs(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), judged)
	mpe := gauge.MustLength("0.001", gauge.Millimetre)
	r.Report(Report{State: &gauge.StateChange{Gauge: "probe", Time: r.o.Now(), State: gauge.StateLive}})
	r.press("probe", "0.000", gauge.Millimetre)
	r.know(gauge.Ability{Unit: gauge.Millimetre, Error: &mpe})
	for unit := range 6 {
		j := r.start(map[string]string{"*": "probe"})
		got := j.Abilities["end_play"].Repeats
		switch {
		case unit < 5 && got != nil:
			t.Errorf("after %d jobs: %+v", unit, got)
		case unit == 5 && (got == nil || got.Freedom != 10 || got.Deviation != gauge.MustLength("0.001", gauge.Millimetre)):
			t.Errorf("after %d jobs: %+v", unit, got)
		}
		for n := range 3 { // 0.054, 0.055, 0.056: a standard deviation of 1 um
			r.press("probe", fmt.Sprintf("0.05%d%d", 4+n, unit), gauge.Millimetre)
			if _, _, err := r.Capture(t.Context(), CaptureRequest{Job: j.ID}); err != nil {
				t.Fatal(err)
			}
		}
	}
}
