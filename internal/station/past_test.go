package station

import (
	"errors"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

// stated is an error of the block of 25 mm with U = 1 um (k = 2).
func stated(t *testing.T, error string) []check.Stated {
	t.Helper()
	length := func(text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }
	return []check.Stated{{
		Master: "block", Value: length("25"), Error: length(error),
		Uncertainty: gauge.Expanded{Uncertainty: length("0.001"), K: gauge.MustLength("2", gauge.One)},
	}}
}

// TestImportedChecks: checks of the past take their places in time, in trend, standing
// and the doubts about jobs, and keep where they are from; the same after a restart.
func TestImportedChecks(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	noon := r.clock()
	r.pass(24 * time.Hour)
	j := r.conform("clock")
	r.pass(24 * time.Hour)
	here := r.check("clock", r.at("clock", "block", "25.001"))
	checks := []health.PastCheck{
		{Time: noon.Add(36 * time.Hour), Place: "laboratory", Certificate: "K-17", By: "Meier", Found: stated(t, "0.0121"), Left: stated(t, "0.0002")},
		{Time: noon.AddDate(-1, 0, 0), Place: "laboratory", Certificate: "K-9", Found: stated(t, "-0.0005")},
	}
	ask := health.ImportRequest{Gauge: "clock", By: "quality", Checks: checks}
	trial := Trial(t.Context())
	dry, problems, err := r.ImportChecks(trial, ask)
	if err != nil || len(problems) > 0 || len(dry) != 2 || dry[0].Result.Verdict != check.Fail || dry[0].Left.Verdict != check.Pass || dry[1].Result.Verdict != check.Pass {
		t.Fatalf("%+v, %+v, %v", dry, problems, err)
	}
	if h, err := r.Health("clock"); err != nil || h.Checks != 1 {
		t.Fatalf("a trial stored something: %+v, %v", h, err)
	}
	if h, readings, err := r.HealthIn(trial, "clock"); err != nil || h.Checks != 3 || readings != 0 {
		t.Errorf("after the trial it would be %+v, %d readings, %v", h, readings, err)
	}
	if _, problems, err := r.ImportChecks(t.Context(), ask); err != nil || len(problems) > 0 {
		t.Fatal(problems, err)
	}
	if _, problems, err := r.ImportChecks(t.Context(), ask); err != nil || len(problems) != 2 {
		t.Errorf("twice: %+v, %v", problems, err)
	}
	look := func(when string) {
		t.Helper()
		all, err := r.Checks(t.Context(), "clock")
		if err != nil || len(all) != 3 || all[0].Past.Certificate != "K-9" || all[1].Past.Certificate != "K-17" || all[2].Seq != here.Seq {
			t.Fatalf("%s: %+v, %v", when, all, err)
		}
		if c := all[1]; c.By != "Meier" || c.Past.Place != "laboratory" || c.Past.Brought != "quality" || !c.Time.Equal(checks[0].Time) || all[0].By != "quality" {
			t.Errorf("%s: %+v", when, c)
		}
		h, err := r.Health("clock")
		if err != nil || h.Standing != health.InService || h.Last.Seq != here.Seq || h.Good.Seq != here.Seq || h.Checks != 3 {
			t.Errorf("%s: %+v, %v", when, h, err)
		}
		var found []float64
		for _, c := range h.Review("").Checks {
			found = append(found, c.Found)
		}
		if want := []float64{-0.5e-6, 12.1e-6, 1e-6}; len(h.Trend().Points) != 1 || !reflect.DeepEqual(found, want) {
			t.Errorf("%s: the trend has %v", when, found)
		}
		// The job of the day before the laboratory's check came from a gauge that was off.
		now, err := r.Job(t.Context(), j.ID)
		if err != nil || len(now.ReadingsOf("clock")) == 0 {
			t.Fatal(err)
		}
		if s := h.SettledAfter(now.ReadingsOf("clock")[0]); s == nil || !s.Failed {
			t.Errorf("%s: settled by %+v", when, s)
		}
		if s := h.SettledAfter(here.Seq - 1); s == nil || s.Failed {
			t.Errorf("%s: what was read after it is settled by %+v", when, s)
		}
	}
	look("live")
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	r.mu.Lock()
	r.now = noon.Add(80 * time.Hour)
	r.mu.Unlock()
	look("after a restart")
	all, err := r.Checks(t.Context(), "clock")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.VoidCheck(t.Context(), VoidRequest{"clock", all[1].Seq, "of another gauge", "q"}); err != nil {
		t.Fatal(err)
	}
	if h, err := r.Health("clock"); err != nil || h.Checks != 2 || len(h.Review("").Checks) != 2 {
		t.Errorf("an imported check is voided: %+v, %v", h, err)
	}
}

// TestUsesOfImportedChecks: of checks that were made before the history began each has
// its own count of uses, in the list as in the trend, so that all who advise on the
// interval by use say the same.
func TestUsesOfImportedChecks(t *testing.T) {
	r := rigAt(t, filepath.Join(t.TempDir(), "history.db"))
	noon := r.clock()
	r.conform("clock")
	r.check("clock", r.at("clock", "block", "25.001"))
	var past []health.PastCheck
	for month := 1; month <= 4; month++ {
		past = append(past, health.PastCheck{Time: noon.AddDate(0, -month, 0), Certificate: "K", Found: stated(t, "0.0005")})
	}
	if _, problems, err := r.ImportChecks(t.Context(), health.ImportRequest{Gauge: "clock", By: "q", Checks: past}); err != nil || len(problems) > 0 {
		t.Fatal(problems, err)
	}
	all, err := r.Checks(t.Context(), "clock")
	if err != nil {
		t.Fatal(err)
	}
	h, err := r.Health("clock")
	if err != nil {
		t.Fatal(err)
	}
	var listed, computed []float64
	for i, c := range all {
		listed, computed = append(listed, float64(c.Uses)), append(computed, h.Review("").Checks[i].Uses)
	}
	if want := []float64{0, 0, 0, 0, 2}; !reflect.DeepEqual(listed, want) || !reflect.DeepEqual(computed, want) {
		t.Errorf("the list has %v, the trend %v, want %v", listed, computed, want)
	}
	if at := h.Review("").At; at.ByUse != nil || at.ByUseRefused.Code != "trend.uses_unknown" {
		t.Errorf("a rate by uses that nobody counted: %+v, %v", at.ByUse, at.ByUseRefused)
	}
}

// TestImportOfTheLastCheck: a failed result of a laboratory that is newer than the last
// check here makes the gauge suspect.
func TestImportOfTheLastCheck(t *testing.T) {
	r := newRig(t)
	r.check("clock", r.at("clock", "block", "25.000"))
	r.pass(48 * time.Hour)
	ask := health.ImportRequest{Gauge: "clock", By: "quality", Checks: []health.PastCheck{{Time: r.clock().Add(-time.Hour), Found: stated(t, "0.010")}}}
	if _, problems, err := r.ImportChecks(t.Context(), ask); err != nil || len(problems) > 0 {
		t.Fatal(problems, err)
	}
	h, err := r.Health("clock")
	if err != nil || h.Standing != health.Suspect || h.Last.Past == nil || h.Good.Past != nil {
		t.Errorf("%+v, %v", h, err)
	}
	if changes := h.Standings(); len(changes) != 1 || changes[0].By != "quality" || told(changes[0].Why) != "its check of 3 Mar 2026 failed" {
		t.Errorf("%+v", changes)
	}
}

// TestImportProblems: everything that is wrong is said in one pass, and nothing stored.
func TestImportProblems(t *testing.T) {
	r := newRig(t)
	noon, bare := r.clock().Add(-time.Hour), stated(t, "0.001")
	bare[0].Uncertainty.Uncertainty = 0
	ask := health.ImportRequest{Gauge: "clock", By: "quality", Checks: []health.PastCheck{
		{Time: noon, Found: stated(t, "0.001")},
		{Time: noon, Found: stated(t, "0.002")},
		{Time: noon.AddDate(1, 0, 0), Found: bare},
		{},
		{Time: noon.Add(-time.Hour), Found: append(stated(t, "0.001"), stated(t, "0.002")...)},
	}}
	_, problems, err := r.ImportChecks(t.Context(), ask)
	want := []health.ImportProblem{
		{Check: 1, Field: "time", Message: gauge.Say("refusal.import.time-twice", gauge.Moment("time", noon))},
		{Check: 2, Field: "time", Message: gauge.Say("refusal.import.future", gauge.Moment("time", noon.AddDate(1, 0, 0)))},
		{Check: 2, Point: 1, Field: "uncertainty", Message: gauge.Say("refusal.import.uncertainty", gauge.Text("master", "block"))},
		{Check: 3, Field: "time", Message: gauge.Say("refusal.import.when")},
		{Check: 3, Field: "found", Message: gauge.Say("refusal.import.nothing-found")},
		{Check: 4, Point: 2, Field: "master_id", Message: gauge.Say("refusal.import.error-twice", gauge.Text("master", "block"))},
	}
	if err != nil || !reflect.DeepEqual(problems, want) {
		t.Errorf("%v\n got %+v\nwant %+v", err, problems, want)
	}
	if h, err := r.Health("clock"); err != nil || h.Checks != 0 {
		t.Errorf("%+v, %v", h, err)
	}
	for _, wrong := range []health.ImportRequest{{Gauge: "clock", Checks: ask.Checks}, {Gauge: "clock", By: "q"}} {
		if _, _, err := r.ImportChecks(t.Context(), wrong); !errors.Is(err, gauge.ErrInput) {
			t.Errorf("%+v: %v", wrong, err)
		}
	}
}

// TestReadBeforehand: what was read before a decision gives the same health as all of it
// read in the decision, whatever came in between: a check, one of the past, one voided.
func TestReadBeforehand(t *testing.T) {
	r := newRig(t)
	noon := r.clock()
	bring := func(days int, error string) []*check.Record {
		t.Helper()
		records, problems, err := r.ImportChecks(t.Context(), health.ImportRequest{Gauge: "clock", By: "q", Checks: []health.PastCheck{{Time: noon.AddDate(0, 0, -days), Found: stated(t, error)}}})
		if err != nil || len(problems) > 0 {
			t.Fatal(problems, err)
		}
		return records
	}
	first := bring(30, "0.0005")
	r.check("clock", r.at("clock", "block", "25.001"))
	before, err := r.lateFacts(t.Context(), "clock")
	if err != nil {
		t.Fatal(err)
	}
	bring(20, "0.010")
	r.check("clock", r.at("clock", "block", "25.000"))
	if _, err := r.VoidCheck(t.Context(), VoidRequest{Gauge: "clock", Check: first[0].Seq, By: "q", Reason: "dirty"}); err != nil {
		t.Fatal(err)
	}
	all, err := r.lateFacts(t.Context(), "clock")
	if err != nil {
		t.Fatal(err)
	}
	want, err := r.folded(t.Context(), "clock", all, nil)
	if err != nil || want["clock"].Checks != 3 {
		t.Fatalf("%+v, %v", want["clock"], err)
	}
	for range 2 { // a decision that is made again reads what it read before
		got, err := r.folded(t.Context(), "clock", before, nil)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("got %+v, %v\nwant %+v", got["clock"], err, want["clock"])
		}
	}
}
