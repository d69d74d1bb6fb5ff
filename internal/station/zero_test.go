package station

import (
	"fmt"
	"math"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/drift"
	"gauged/internal/health/recall"
)

// TestZeroReturnAtAPress: after the verdict, and not before, a press near zero is a
// check that counts for the trend and passes nothing that is due.
func TestZeroReturnAtAPress(t *testing.T) {
	r := newRig(t)
	j := r.start(map[string]string{"depth": "clock"})
	r.press("clock", "0.001", gauge.Millimetre)
	if h, _ := r.Health("clock"); h.Checks != 0 {
		t.Error("a reading of a measurement that is due is a zero return")
	}
	if _, err := r.CloseJob(t.Context(), j.ID, "slipped", ""); err != nil {
		t.Fatal(err)
	}
	j = r.conform("clock")
	r.press("clock", "0.002", gauge.Millimetre)
	h, err := r.Health("clock")
	if err != nil || h.Checks != 1 || h.Last != nil || h.Good != nil || h.LastZero == nil {
		t.Fatalf("%+v, %v", h, err)
	}
	zero := h.LastZero
	if zero.Result.Verdict != check.Pass || zero.Occasion != "zero return" || zero.Job != j.ID || zero.By != "tech" || zero.Result.Worst.Master != "zero" {
		t.Errorf("%+v", zero)
	}
	j = r.job(j.ID)
	if want := "zero return of gauge clock: 0.002 mm, recorded as a check (passed)"; told(j.Notice) != want {
		t.Errorf("notice %q, want %q", told(j.Notice), want)
	}
	wantWarnings(t, "with a zero return alone", j,
		"the check of gauge clock after job 1 is still due", "the check of gauge clock after the job is still due")
	r.press("clock", "0.30", gauge.Millimetre)
	if got, want := told(r.job(j.ID).Notice), "no measurement is due in job 2, and 0.30 mm of gauge clock is no zero return: that is within 20.0 um of zero"; got != want {
		t.Errorf("far from zero: %q, want %q", got, want)
	}
	if all, err := r.Checks(t.Context(), "clock"); err != nil || len(all) != 1 || !all[0].Zero {
		t.Errorf("%+v, %v", all, err)
	}
}

// TestPressGoesToTheJobThatWaits: one job is done and one waits for the same button, as
// when the gauge got its button while both were open. A press near zero is the reading
// that is waited for, and no zero return; when nothing waits, it is one.
func TestPressGoesToTheJobThatWaits(t *testing.T) {
	r := newRig(t)
	done := r.conform("clock")
	mode := func(m gauge.Mode) {
		r.Station.mu.Lock()
		defer r.Station.mu.Unlock()
		r.Station.gauges["clock"].Mode = m
	}
	mode(gauge.ModeStream)
	waiting := r.start(map[string]string{"depth": "clock"})
	mode(gauge.ModeButton)
	r.press("clock", "0.001", gauge.Millimetre)
	if h, err := r.Health("clock"); err != nil || h.Checks != 0 {
		t.Errorf("%d zero returns, %v", h.Checks, err)
	}
	if j := r.job(waiting.ID); len(j.Taken) != 1 || told(r.job(done.ID).Notice) != "" {
		t.Errorf("the job that waits has %d readings; the other says %q", len(j.Taken), told(r.job(done.ID).Notice))
	}
	r.close(waiting.ID, "slipped")
	r.press("clock", "0.002", gauge.Millimetre)
	if h, err := r.Health("clock"); err != nil || h.Checks != 1 || h.LastZero.Job != done.ID {
		t.Errorf("%d zero returns, %v", h.Checks, err)
	}
}

// TestZeroReturnThatFails: beyond the maximum permissible error the gauge is suspect
// and the job in doubt; a good zero return does not bring it back, a check does.
func TestZeroReturnThatFails(t *testing.T) {
	r := newRig(t)
	j := r.conform("clock")
	r.check("clock", r.at("clock", "block", "25.000"))
	r.press("clock", "0.009", gauge.Millimetre)
	h, err := r.Health("clock")
	if err != nil || h.Standing != health.Suspect || told(h.Why) != "its zero return of 1 Mar 2026 failed" {
		t.Fatalf("%+v, %v", h, err)
	}
	wantWarnings(t, "checked well before", r.job(j.ID), "gauge clock is suspect: its zero return of 1 Mar 2026 failed; no more of its readings are taken, and "+
		readingsText(j.ReadingsOf("clock"))+" came from it")
	r.press("clock", "0.000", gauge.Millimetre)
	if h, _ := r.Health("clock"); h.Standing != health.Suspect || h.Checks != 3 {
		t.Errorf("a good zero return brings it back: %+v", h)
	}
	r.finish(j.ID)
	wantError(t, "start", r.startWith("clock"), "refused: gauge clock is suspect: its zero return of 1 Mar 2026 failed")
	r.check("clock", r.at("clock", "block", "25.000"))
	if err := r.startWith("clock"); err != nil {
		t.Error(err)
	}
}

// TestZeroReturnsAreNoInterval: they move the trend, not the intervals or the recall.
func TestZeroReturnsAreNoInterval(t *testing.T) {
	r := newRig(t)
	for range 4 {
		r.check("clock", r.at("clock", "block", "25.0005"))
		r.pass(24 * time.Hour)
		j := r.conform("clock")
		r.press("clock", "0.0005", gauge.Millimetre)
		r.finish(j.ID)
	}
	h, err := r.Health("clock")
	if err != nil || h.Checks != 8 {
		t.Fatalf("%d checks, %v", h.Checks, err)
	}
	for _, p := range h.Trend().Points {
		if p.Checks != 4 || p.Point == "zero" && len(p.Advice) > 0 {
			t.Errorf("%d checks at %s give %+v", p.Checks, p.Point, p.Advice)
		}
	}
	advice, refused := h.Advice()
	if len(advice) == 0 || len(refused) > 0 {
		t.Errorf("%+v, refused %q", advice, refused)
	}
	for _, a := range advice {
		if a.Point != "block" || math.Round(a.Observed) != map[string]float64{drift.InDays: 1, drift.InUses: 2}[a.Unit] {
			t.Errorf("%+v", a)
		}
	}
	request := recall.Request{Gauge: "clock", Error: zeroRange}
	if e, err := request.Settle(r.Known(t.Context(), "clock")); err != nil || !e.Since.Equal(h.Last.Time) {
		t.Errorf("a recall goes back to %v, %v; the last check was at %v", e.Since, err, h.Last.Time)
	}
}

// TestZeroReturnByHand: of a streaming gauge its present reading, of a button gauge a
// reading that is named, once.
func TestZeroReturnByHand(t *testing.T) {
	r := newRig(t)
	zero := func(request ZeroRequest) (*check.Record, error) {
		if request.By == "" {
			request.By = "quality"
		}
		return r.RecordZeroReturn(t.Context(), request)
	}
	r.Report(Report{State: &gauge.StateChange{Gauge: "sweep", Time: r.o.Now(), State: gauge.StateLive}})
	r.press("sweep", "0.001", gauge.Millimetre)
	c, err := zero(ZeroRequest{Gauge: "sweep"})
	if err != nil || c.Result.Worst.Error != gauge.MustLength("1", gauge.Micrometre) || !c.Zero {
		t.Fatalf("%+v, %v", c, err)
	}
	if again, err := zero(ZeroRequest{Gauge: "sweep"}); err != nil || again.Seq != c.Seq {
		t.Errorf("the same reading gives %+v, %v", again, err)
	}
	r.press("clock", "0.000", gauge.Millimetre)
	early := r.Newest()
	j := r.conform("clock")
	_, err = zero(ZeroRequest{Gauge: "clock", Reading: early, Job: j.ID})
	wantError(t, "before the job", err, fmt.Sprintf("refused: reading %d was taken before job 1 was measured: let the gauge return to zero and read again", early))
	r.finish(j.ID)
	now := r.at("clock", "zero", "0.003").Readings[0]
	if c, err = zero(ZeroRequest{Gauge: "clock", Reading: now, Job: j.ID, Remark: "wiped"}); err != nil || c.Job != j.ID || c.Remark != "wiped" {
		t.Errorf("after the job: %+v, %v", c, err)
	}
	for _, x := range []struct {
		when string
		give ZeroRequest
		want string
	}{
		{"nobody", ZeroRequest{Gauge: "clock", By: " "}, "wrong input: a check needs the name of who made it"},
		{"no gauge", ZeroRequest{Gauge: "x"}, `not found: there is no gauge "x": there are clock, dial, each, far, fresh, micrometer, pedal, probe, remote, strict, sweep`},
		{"not configured", ZeroRequest{Gauge: "dial", Reading: now}, "refused: what counts as a zero return of gauge dial is not stated: write zero_return under its checks in the configuration"},
		{"another's reading", ZeroRequest{Gauge: "sweep", Reading: now}, fmt.Sprintf("wrong input: reading %d is of clock, not of sweep", now)},
		{"another's job", ZeroRequest{Gauge: "sweep", Job: j.ID}, "wrong input: no reading of job 1 is of gauge sweep"},
		{"a button", ZeroRequest{Gauge: "clock"}, "refused: gauge clock sends at the press of its button; press it"},
		{"typed", ZeroRequest{Gauge: "clock", Typed: TypedReading{"0", gauge.Millimetre}}, "wrong input: gauge clock sends its readings: take them from it, so that its line is checked too"},
	} {
		_, err := zero(x.give)
		wantError(t, x.when, err, x.want)
	}
	r.press("sweep", "0.05", gauge.Millimetre)
	_, err = zero(ZeroRequest{Gauge: "sweep"})
	wantError(t, "far from zero", err, "refused: 0.05 mm of gauge sweep is no zero return: that is within 20.0 um of zero")
}

// TestZeroReturnOfACapture: a streaming gauge, at a capture while nothing is due.
func TestZeroReturnOfACapture(t *testing.T) {
	r := newRig(t)
	r.Report(Report{State: &gauge.StateChange{Gauge: "sweep", Time: r.o.Now(), State: gauge.StateLive}})
	j := r.start(map[string]string{"depth": "sweep"})
	for _, shown := range []string{"25.40", "25.41"} {
		r.press("sweep", shown, gauge.Millimetre)
		if _, _, err := r.Capture(t.Context(), CaptureRequest{Job: j.ID}); err != nil {
			t.Fatal(err)
		}
	}
	r.enter(j.ID, "23.70")
	if _, err := r.Choose(t.Context(), ChooseRequest{Job: j.ID}); err != nil {
		t.Fatal(err)
	}
	r.fit(j.ID)
	r.enter(j.ID, "0.155")
	r.press("sweep", "-0.001", gauge.Millimetre)
	after, _, err := r.Capture(t.Context(), CaptureRequest{Job: j.ID})
	if err != nil || told(after.Notice) != "zero return of gauge sweep: -0.001 mm, recorded as a check (passed)" {
		t.Fatalf("%+v, %v", after, err)
	}
	_, _, err = r.Capture(t.Context(), CaptureRequest{Job: j.ID})
	h, _ := r.Health("sweep")
	if err == nil || h.Checks != 1 {
		t.Errorf("the same reading twice: %v, %d checks", err, h.Checks)
	}
}
