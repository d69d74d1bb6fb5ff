package station

import (
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

// TestPressesOfACheckFeedNoJob: while a gauge is being checked, what its button sends is
// a reading at a master, and no measurement or zero return of a job; the job says so.
func TestPressesOfACheckFeedNoJob(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{AnyMeasurement: "clock"}).ID
	begun := r.begins("clock")
	r.press("clock", "0.001", gauge.Millimetre)
	if j := r.job(id); len(j.Taken) != 0 || !strings.Contains(told(j.Notice), "clock is being checked") || !strings.Contains(told(j.Notice), "gaugectl master leave clock") {
		t.Errorf("%d taken, notice %q", len(j.Taken), told(j.Notice))
	}
	if left, err := r.LeaveCheck(t.Context(), "clock", begun.Seq, "q"); left != 1 || err != nil {
		t.Fatal(left, err)
	}
	if j := r.job(id); !j.Notice.IsZero() {
		t.Errorf("the check was left, and the job still says %q", told(j.Notice))
	}
	if left, err := r.LeaveCheck(t.Context(), "clock", 0, "q"); left != 0 || err != nil {
		t.Error(left, err)
	}
	if _, err := r.LeaveCheck(t.Context(), "clock", begun.Seq, "q"); err == nil {
		t.Error("a check was left twice")
	}
	r.press("clock", "25.430", gauge.Millimetre)
	if j := r.job(id); len(j.Taken) != 1 || told(j.Notice) != "" {
		t.Errorf("after the check was left: %d taken, notice %q", len(j.Taken), told(j.Notice))
	}
}

// TestLessThanThePlan: a check without a master of the plan, such as one whose own
// calibration is due, can fail the gauge; it renews nothing.
func TestLessThanThePlan(t *testing.T) {
	r := newRig(t)
	recorded := func(shown ...string) *check.Record {
		t.Helper()
		begun := r.begins("dial")
		c, err := r.RecordCheck(t.Context(), CheckRequest{Gauge: "dial", By: "q", Begun: begun.Seq, Found: []CheckPoint{r.at("dial", "zero", shown...)}})
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	c := recorded("0.000", "0.000")
	h, err := r.Health("dial")
	if err != nil || told(c.Partial) != "2 readings at block" || h.Good != nil || h.Standing != health.InService {
		t.Errorf("%q, good %v, %s, %v", c.Partial, h.Good, h.Standing, err)
	}
	if _, err := r.SetStanding(t.Context(), "dial", health.Suspect, "it fell", "q"); err != nil {
		t.Fatal(err)
	}
	recorded("0.000", "0.000")
	if h, _ = r.Health("dial"); h.Standing != health.Suspect {
		t.Errorf("less than the plan has put the gauge into service: %s", h.Standing)
	}
	if c.Result.Verdict == check.Fail {
		t.Error("it fails")
	}
}
