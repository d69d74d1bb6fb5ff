package station

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

// inService puts a gauge into service by hand.
func (r *rig) inService(gaugeID string) *health.Gauge {
	r.t.Helper()
	h, err := r.SetStanding(r.t.Context(), gaugeID, health.InService, "I trust it", "ann")
	if err != nil {
		r.t.Fatal(err)
	}
	return h
}

// TestFailedGaugeInServiceByHand: its check stays due until one passes, also without a
// plan and after a restart; every job says it, and keeps it, and a plan that blocks takes none.
func TestFailedGaugeInServiceByHand(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	want := func(id string) string {
		return "gauge " + id + " failed its check of 1 Mar 2026, was put into service by hand on 1 Mar 2026 by ann (I trust it), and passed no check since"
	}
	for _, id := range []string{"clock", "strict", "micrometer"} { // due after each job, blocked by calendar, no plan
		if id == "micrometer" {
			r.check(id, CheckPoint{Master: "block", Typed: []TypedReading{{"25.009", gauge.Millimetre}}})
		} else {
			r.check(id, r.at(id, "block", "25.000"))
			r.check(id, r.at(id, "block", "25.009"))
		}
		h := r.inService(id)
		if got := told(h.DueNow(id, r.clock())); h.Standing != health.InService || got != want(id) || !h.Due().Equal(health.AtOnce) || !h.DueByCalendar().Equal(health.AtOnce) || !h.OverdueInJob(r.clock()) {
			t.Errorf("%s: %s, %q, %v", id, h.Standing, got, h.Due())
		}
	}
	wantError(t, "a plan that blocks", r.startWith("strict"), "refused: "+want("strict")+": check it first")
	j := r.start(map[string]string{"depth": "micrometer", "height": "clock"})
	wantWarnings(t, "at its start", j, want("clock"), want("micrometer"))
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	if h, err := r.Health("micrometer"); err != nil || told(h.DueNow("micrometer", r.clock())) != want("micrometer") {
		t.Errorf("after a restart: %+v, %v", h, err)
	}
	r.check("micrometer", CheckPoint{Master: "block", Typed: []TypedReading{{"25.000", gauge.Millimetre}}})
	if h, err := r.Health("micrometer"); err != nil || h.Overdue(r.clock()) {
		t.Errorf("passed: %+v, %v", h, err)
	}
	wantWarnings(t, "passed since", r.job(j.ID), want("clock"), want("micrometer"))
}

// TestInServiceAfterADoubt: who said that a gauge is suspect, or away, may take it back;
// a check that passed before it comes back counts.
func TestInServiceAfterADoubt(t *testing.T) {
	r := newRig(t)
	for _, standing := range []health.Standing{health.Suspect, health.Away} {
		if _, err := r.SetStanding(t.Context(), "clock", standing, "fell down", "ann"); err != nil {
			t.Fatal(err)
		}
		if h := r.inService("clock"); h.Overdue(r.clock()) {
			t.Errorf("%s: %s", standing, h.DueNow("clock", r.clock()))
		}
	}
	r.check("clock", r.at("clock", "block", "25.009"))
	if _, err := r.SetStanding(t.Context(), "clock", health.Away, "to the laboratory", "ann"); err != nil {
		t.Fatal(err)
	}
	if h := r.inService("clock"); !h.Overdue(r.clock()) {
		t.Error("back without a check that passed, and nothing says so")
	}
	if _, err := r.SetStanding(t.Context(), "clock", health.Away, "to the laboratory", "ann"); err != nil {
		t.Fatal(err)
	}
	r.check("clock", r.at("clock", "block", "25.000"))
	if h := r.inService("clock"); h.Overdue(r.clock()) {
		t.Errorf("passed, and then put into service: %s", h.DueNow("clock", r.clock()))
	}
}

// TestAdjustedAndUndecidedIsSuspect: a gauge that failed as found and whose check as left
// decides nothing has not passed.
func TestAdjustedAndUndecidedIsSuspect(t *testing.T) {
	r := newRig(t)
	c, err := r.RecordCheck(t.Context(), CheckRequest{
		Gauge: "clock", By: "quality",
		Found: []CheckPoint{r.at("clock", "block", "25.009")}, Left: []CheckPoint{r.at("clock", "block", "25.004")},
	})
	if err != nil || c.Result.Verdict != check.Fail || c.Left.Verdict != check.Undecided {
		t.Fatalf("%+v, %v", c, err)
	}
	if h, err := r.Health("clock"); err != nil || h.Standing != health.Suspect {
		t.Errorf("%s, %v", h.Standing, err)
	}
}

// TestDueForTheNextJob: what a job wants is due in the lists of gauges, too, as its start
// says it, and not in the midst of a job.
func TestDueForTheNextJob(t *testing.T) {
	r := newRig(t)
	look := func(when, id, want string, due time.Time) {
		t.Helper()
		h, err := r.Health(id)
		if err != nil {
			t.Fatal(err)
		}
		if got := told(h.DueNow(id, r.clock())); got != want || h.Overdue(r.clock()) != (want != "") || !h.Due().Equal(due) || h.OverdueInJob(r.clock()) {
			t.Errorf("%s: %s: %q, want %q; due %v, want %v", when, id, got, want, h.Due(), due)
		}
	}
	look("at first", "each", "gauge each was never checked against a master", health.AtOnce)
	look("at first", "fresh", "gauge fresh was never checked against a master", health.AtOnce)
	look("at first", "clock", "", time.Time{})
	r.check("each", r.at("each", "block", "25.000"))
	c := r.check("fresh", r.at("fresh", "block", "25.000"))
	look("checked", "each", "", time.Time{})
	look("checked", "fresh", "", c.Time.Add(8*time.Hour))
	j := r.conform("each")
	look("used", "each", "gauge each was not checked since job 1 used it", health.AtOnce)
	if w := warningsOf(r.job(j.ID)); slices.ContainsFunc(w, func(s string) bool { return strings.Contains(s, "not checked since") }) {
		t.Errorf("the job itself: %q", w)
	}
	r.finish(j.ID)
	r.pass(9 * time.Hour)
	h, err := r.Health("fresh")
	if err != nil || told(h.DueNow("fresh", r.clock())) != "the last check of gauge fresh was on "+c.Time.Format("2 Jan 2006 15:04:05 -07:00")+"; a job wants one of the last 8 h" {
		t.Errorf("%q, %v", h.DueNow("fresh", r.clock()), err)
	}
}
