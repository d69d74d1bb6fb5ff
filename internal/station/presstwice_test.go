package station

import (
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// TestPressedTwice: a finger that stays on the data button of a gauge does not make the
// next measurement: what comes within 0.8 s of the reading that finished one is stored and
// not taken, which the job says. Repeats within a measurement may follow at once.
func TestPressedTwice(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{AnyMeasurement: "dial"}).ID
	r.press("dial", "25.43", gauge.Millimetre)
	r.pressAtOnce("dial", "25.431", gauge.Millimetre)
	if j := r.job(id); len(j.Taken) != 2 || j.Measuring != "height" || !j.Notice.IsZero() {
		t.Fatalf("repeats at once: %+v, due is %q, %q", j.Taken, j.Measuring, told(j.Notice))
	}
	// The third press is held against the one that finished, not against the second.
	for _, p := range []struct {
		after time.Duration
		shown string
	}{{300 * time.Millisecond, "25.429"}, {300 * time.Millisecond, "25.428"}} {
		r.pass(p.after)
		r.pressAtOnce("dial", p.shown, gauge.Millimetre)
		j := r.job(id)
		want := "the reading " + p.shown + " mm of dial was not taken: pressed twice: it is not height; press again"
		if len(j.Taken) != 2 || j.Measuring != "height" || told(j.Notice) != want {
			t.Fatalf("%s: %d taken, due is %q, notice %q", p.shown, len(j.Taken), j.Measuring, told(j.Notice))
		}
	}
	if facts, err := r.Readings(t.Context(), gauge.Query{Gauge: "dial", Limit: 9}); err != nil || len(facts) != 4 {
		t.Errorf("the history has %d readings, %v", len(facts), err)
	}
	r.pass(300 * time.Millisecond)
	r.pressAtOnce("dial", "23.70", gauge.Millimetre)
	if j := r.job(id); j.Stage != job.StageChoose || !j.Notice.IsZero() {
		t.Errorf("0.9 s later: stage %s, notice %q", j.Stage, told(j.Notice))
	}
}

// TestSentAtOnce: readings that a program sends have no press to be held against where they
// have no time; where they have one, the second press is seen, however late they arrive.
func TestSentAtOnce(t *testing.T) {
	for _, timed := range []bool{false, true} {
		r := newRig(t)
		id, ctx := r.start(map[string]string{AnyMeasurement: "far"}).ID, t.Context()
		if _, err := r.Resume(ctx, "program"); err != nil {
			t.Fatal(err)
		}
		var readings []Ingested
		at := r.o.Now().Add(-3 * time.Second)
		for i, shown := range []string{"25.43", "25.43", "25.44"} {
			one := sent(uint64(i+1), "far", shown, time.Time{})
			if timed {
				one.Time = at.Add(time.Duration(i) * 700 * time.Millisecond)
			}
			readings = append(readings, one)
		}
		if _, err := r.Ingest(ctx, "program", readings); err != nil {
			t.Fatal(err)
		}
		if j := r.job(id); (len(j.Taken) == 2) != timed || j.Notice.IsZero() == timed {
			t.Errorf("with times %t: %d taken, notice %q", timed, len(j.Taken), told(j.Notice))
		}
	}
}

// TestPressedTwiceIsNoZeroReturn: nor is a second press at a play near zero a zero return.
func TestPressedTwiceIsNoZeroReturn(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{AnyMeasurement: "clock"}).ID
	for _, shown := range []string{"25.430", "25.430", "23.700"} {
		r.press("clock", shown, gauge.Millimetre)
	}
	if _, err := r.Fit(t.Context(), FitRequest{Job: id, Part: "R160"}); err != nil {
		t.Fatal(err)
	}
	r.press("clock", "0.010", gauge.Millimetre)
	r.pressAtOnce("clock", "0.011", gauge.Millimetre)
	h, err := r.Health("clock")
	if err != nil || h.LastZero != nil || told(r.job(id).Notice) == "" {
		t.Fatalf("%v, zero return %+v, notice %q", err, h.LastZero, told(r.job(id).Notice))
	}
	r.press("clock", "0.001", gauge.Millimetre)
	if h, err = r.Health("clock"); err != nil || h.LastZero == nil {
		t.Errorf("a second later: %v, %+v", err, h)
	}
}
