package station

import (
	"slices"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/recall"
)

// proof runs a job in which the gauge measures the play alone.
func (r *rig) proof(gaugeID, play string) uint64 {
	r.t.Helper()
	id := r.start(map[string]string{"end_play": gaugeID}).ID
	for _, shown := range []string{"25.430", "25.430", "23.700"} {
		r.enter(id, shown)
	}
	r.fit(id)
	r.press(gaugeID, play, gauge.Millimetre)
	r.close(id, "done")
	return id
}

// TestRecallAfterTheGaugePassedAgain: the gauge showed 0.012 mm too little when it failed.
// Whatever passes later, the jobs from the last good check on are those in doubt, by
// that error: 0.195 + 0.012 = 0.207 of 0.10 to 0.20. Once the gauge was good again, they are not.
func TestRecallAfterTheGaugePassedAgain(t *testing.T) {
	wrong := mm("-0.012")
	turns := "conforms -> does not conform, 0.1950 -> 0.2070 of 0.10 to 0.20, 0.0"
	stays := "conforms -> conforms, 0.1500 -> 0.1620 of 0.10 to 0.20, 1.0"
	r := newRig(t)
	r.proof("fresh", "0.195")
	r.check("fresh", r.at("fresh", "block", "25.000"))
	good := r.clock()
	r.proof("fresh", "0.195")
	r.pass(24 * time.Hour)
	failed := r.check("fresh", r.at("fresh", "block", "24.988"))
	want := []string{"job 2: " + turns}
	wantLines(t, say(r.recall(recall.Request{Gauge: "fresh"})), want)

	passed := r.check("fresh", r.at("fresh", "block", "25.000"))
	r.proof("fresh", "0.195")
	r.check("fresh", r.at("fresh", "block", "25.001"))
	r.proof("fresh", "0.150")
	long := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		ask  recall.Request
		want []string
	}{
		"as it is":       {recall.Request{}, want},
		"error given":    {recall.Request{Error: &wrong}, want},
		"since long ago": {recall.Request{Since: long}, []string{"job 1: " + turns, "job 2: " + turns}},
		"given, long":    {recall.Request{Error: &wrong, Since: long}, []string{"job 1: " + turns, "job 2: " + turns}},
		"growing":        {recall.Request{Model: recall.CourseGrowing}, []string{"job 2: conforms -> conforms, 0.1950 -> 0.1950 of 0.10 to 0.20, 1.0"}},
		"growing, given": {recall.Request{Model: recall.CourseGrowing, Error: &wrong}, []string{"job 2: conforms -> conforms, 0.1950 -> 0.1950 of 0.10 to 0.20, 1.0"}},
		"given, after":   {recall.Request{Error: &wrong, Since: passed.Time.Add(time.Millisecond)}, []string{"job 3: " + turns, "job 4: " + stays}},
	} {
		c.ask.Gauge = "fresh"
		got := r.recall(c.ask)
		if !slices.Equal(say(got), c.want) {
			t.Errorf("%s: %q, want %q", name, say(got), c.want)
		}
		if name != "given, after" && (!got.Ended.Equal(passed.Time) || !got.Until.Equal(failed.Time) || got.Adjusted() || c.ask.Error == nil && got.Check.Seq != failed.Seq) {
			t.Errorf("%s: until %v, ended %v, by %+v", name, got.Until, got.Ended, got.Check)
		}
		if c.ask.Since.IsZero() && got.Since.After(good) {
			t.Errorf("%s: since %v", name, got.Since)
		}
	}
	_, err := r.Recall(t.Context(), recall.Request{Gauge: "fresh", Since: r.clock()})
	wantError(t, "since a time after all checks", err, "wrong input: since "+r.clock().Format("2 Jan 2006 15:04:05 -07:00")+" is later than 2 Mar 2026 08:00:03 +00:00, until when the error of gauge fresh counts: say an earlier time since when")
}

// TestRecallAfterSeveralFailures: the first check that failed met the gauge as the work
// did; what was tried on it afterwards says nothing of the work before.
func TestRecallAfterSeveralFailures(t *testing.T) {
	r := newRig(t)
	r.check("fresh", r.at("fresh", "block", "25.000"))
	r.proof("fresh", "0.195")
	first := r.check("fresh", r.at("fresh", "block", "24.988"))
	second := r.check("fresh", r.at("fresh", "block", "25.007"))
	r.check("fresh", r.at("fresh", "block", "25.000"))
	if got := r.recall(recall.Request{Gauge: "fresh"}); got.Check.Seq != first.Seq || got.Flipped != 1 {
		t.Errorf("by %+v: %q", got.Check, say(got))
	}
	if got := r.recall(recall.Request{Gauge: "fresh", Since: second.Time}); got.Check.Seq != second.Seq {
		t.Errorf("since the second: by %+v", got.Check)
	}
	r.proof("fresh", "0.195")
	third := r.check("fresh", r.at("fresh", "block", "24.989"))
	if got := r.recall(recall.Request{Gauge: "fresh"}); got.Check.Seq != third.Seq || got.Flipped != 1 || got.Items[0].Job != 2 {
		t.Errorf("a new failure: by %+v: %q", got.Check, say(got))
	}
}

// TestRecallOfALateCertificate: a laboratory's check that failed comes in when a newer one
// has passed already.
func TestRecallOfALateCertificate(t *testing.T) {
	r := newRig(t)
	r.proof("fresh", "0.195")
	r.pass(24 * time.Hour)
	at := r.clock()
	r.pass(24 * time.Hour)
	r.check("fresh", r.at("fresh", "block", "25.000"))
	past := health.PastCheck{Time: at, Place: "laboratory", Found: stated(t, "-0.0121")}
	if _, problems, err := r.ImportChecks(t.Context(), health.ImportRequest{Gauge: "fresh", By: "quality", Checks: []health.PastCheck{past}}); err != nil || len(problems) > 0 {
		t.Fatal(problems, err)
	}
	if got := r.recall(recall.Request{Gauge: "fresh"}); got.Flipped != 1 || !got.Check.Time.Equal(at) {
		t.Errorf("%+v: %q", got.Check, say(got))
	}
}
