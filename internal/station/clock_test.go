package station

import (
	"testing"
	"time"

	"gauged/internal/gauge"
)

// TestClockJumps: the clock of the machine is set forth and back, by hours and by years.
// Readings go on in their order and without a hole, a job goes on, what is due is due by
// the clock as it stands, and nothing old passes for the present position of a gauge.
func TestClockJumps(t *testing.T) {
	for name, jump := range map[string]time.Duration{
		"an hour forth": time.Hour, "an hour back": -time.Hour,
		"years forth": 5 * 365 * 24 * time.Hour, "years back": -5 * 365 * 24 * time.Hour,
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t)
			id := r.start(map[string]string{AnyMeasurement: "probe"}).ID
			r.check("strict", r.at("strict", "block", "25.000"))
			capture := func() error {
				_, _, err := r.Capture(t.Context(), CaptureRequest{Job: id})
				return err
			}
			live := func() {
				r.Report(Report{State: &gauge.StateChange{Gauge: "probe", Time: r.o.Now(), State: gauge.StateLive}})
			}
			live()
			r.press("probe", "25.430", gauge.Millimetre)
			if err := capture(); err != nil {
				t.Fatal(err)
			}
			before := r.Gauges()[1].Last
			r.pass(jump)
			if err := capture(); err == nil {
				t.Error("a reading of before the jump is taken for one of now")
			}
			r.press("probe", "25.431", gauge.Millimetre)
			if err := capture(); err != nil {
				t.Errorf("the job does not go on: %v", err)
			}
			last := r.Gauges()[1].Last
			if last.Seq <= before.Seq || last.Reading.Number != before.Reading.Number+1 {
				t.Errorf("reading %d, #%d after %d, #%d", last.Reading.Number, last.Seq, before.Reading.Number, before.Seq)
			}
			if j := r.job(id); len(j.Taken) != 2 || j.Taken[0].Shown != "25.430" {
				t.Errorf("taken %v", j.Taken)
			}
			h, err := r.Health("strict")
			if want := jump > 24*time.Hour; err != nil || h.Overdue(r.clock()) != want {
				t.Errorf("the check is overdue: %v, want %v, %v", !want, want, err)
			}
			r.pass(-jump)
			if h, err := r.Health("strict"); err != nil || h.Overdue(r.clock()) {
				t.Errorf("the clock is right again, and the check is still overdue, %v", err)
			}
		})
	}
}

// TestClockSetBackSilence: a gauge that is fed from outside and says nothing more does not
// stay live until a clock that was set back has come round.
func TestClockSetBackSilence(t *testing.T) {
	r := newRig(t)
	r.ingest(1, "remote", "25.43", 0)
	r.pass(-24 * time.Hour)
	cursor := r.Watch(r.Newest())
	for {
		page, err := cursor.Next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range page.Facts {
			if f.State != nil && f.State.Gauge == "remote" && f.State.State == gauge.StateSilent {
				return
			}
		}
	}
}
