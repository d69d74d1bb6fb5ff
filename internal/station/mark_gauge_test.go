package station

import (
	"path/filepath"
	"testing"

	"gauged/internal/gauge"
)

const goProcedure = `procedure: ring
title: Hub
unit: mm
measure:
  goes: {title: go gauge, one_of: [in, out]}
judge:
  goes: {is: in}
`

// TestNoValueForAMark: a gauge that sends values is not bound to a mark; one read by eye,
// such as a plug gauge, may be.
func TestNoValueForAMark(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), goProcedure)
	r.gauges["probe"].Unit = gauge.Millimetre
	ask := StartRequest{Procedure: "ring", UnitSerial: "U", Technician: "t", Gauges: map[string]string{"goes": "probe"}}
	_, err := r.StartJob(t.Context(), ask)
	wantError(t, "a probe", err, "wrong input: goes is read as a mark, and gauge probe sends mm: name no gauge for it, and type the mark in")
	if j := r.start(map[string]string{AnyMeasurement: "probe"}); len(j.Gauges) != 0 {
		t.Errorf("a gauge for all measurements is bound to the mark: %v", j.Gauges)
	}
	if j := r.start(map[string]string{"goes": "micrometer"}); j.Gauges["goes"] != "micrometer" {
		t.Errorf("read by eye: %v", j.Gauges)
	}
}

// TestNothingIsDue: what is typed into a decided job is refused because nothing is due,
// whatever it is; and the mark that is wanted stands beside the one that was read.
func TestNothingIsDue(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), goProcedure)
	id := r.start(nil).ID
	j, _, err := r.Enter(t.Context(), EnterRequest{Job: id, Shown: "out"})
	if err != nil {
		t.Fatal(err)
	}
	if g := j.Evaluation.Judgements; len(g) != 1 || g[0].Mark != "out" || g[0].Wanted != "in" {
		t.Errorf("judged: %+v", g)
	}
	_, _, err = r.Enter(t.Context(), EnterRequest{Job: id, Shown: "x"})
	wantError(t, "typed", err, "refused: the reading x of typed was not taken: no measurement is due in job 1; discard a reading to measure again")
}
