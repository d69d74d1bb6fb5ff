package drift

import (
	"testing"
	"time"
)

// TestPassedAfterFailed: what stands is the newest check that decides, at once and not
// only when the occasion is over; the failed one still extends no interval.
func TestPassedAfterFailed(t *testing.T) {
	checks := errorsAt(0.1, 0.2, 0.1, 0.1)
	checks[2].Verdict, checks[2].Found = Failed, 5
	checks[3].Verdict, checks[3].Time = Passed, checks[2].Time.Add(time.Hour)
	g := gaugeOf(t, Options{MPE: 4}, Series{Point: "a", Checks: checks})
	r := g.Points[0]
	if r.Occasions != 3 || r.Verdict != Passed || !r.Holds.Equal(FailedBefore) {
		t.Errorf("%d occasions, %s, %q", r.Occasions, r.Verdict, r.Holds)
	}
	for _, a := range g.Advice {
		if a.Change == Extended {
			t.Errorf("%+v", a)
		}
	}
	checks[2].Verdict, checks[2].Found = Undecided, 0.1
	if r := gaugeOf(t, Options{MPE: 4}, Series{Point: "a", Checks: checks}).Points[0]; !r.Holds.IsZero() {
		t.Errorf("what one left undecided and the next decided holds %q", r.Holds)
	}
	checks[2].Verdict, checks[3].Verdict = Passed, Undecided
	if r := gaugeOf(t, Options{MPE: 4}, Series{Point: "a", Checks: checks}).Points[0]; r.Verdict != Passed || !r.Holds.Equal(LastUndecided) {
		t.Errorf("%s, %q", r.Verdict, r.Holds)
	}
}

// TestBeyond: the checks that found errors beyond the limit, since when, and the error of
// the last one under its own name.
func TestBeyond(t *testing.T) {
	at := func(o Options, errors ...float64) *Review {
		t.Helper()
		return gaugeOf(t, o, Series{Point: "a", Checks: errorsAt(errors...), Origin: o.Origin}).Points[0]
	}
	checks := errorsAt(0.1, 5, 0.1, 4.5, 6)
	r := at(Options{MPE: 4}, 0.1, 5, 0.1, 4.5, 6)
	if b := r.Beyond; b == nil || b.Checks != 2 || !b.Since.Equal(checks[3].Time) || b.Inside == nil || !b.Inside.Equal(checks[2].Time) {
		t.Errorf("%+v", b)
	}
	if r.Last != 6 || r.ByTime == nil || r.ByTime.Now == 6 {
		t.Errorf("%g, %+v", r.Last, r.ByTime)
	}
	if b := at(Options{MPE: 4}, 5, -6).Beyond; b == nil || b.Inside != nil || b.Checks != 2 {
		t.Errorf("%+v", b)
	}
	if b := at(Options{MPE: 4}, 5, 4).Beyond; b != nil {
		t.Errorf("at the limit: %+v", b)
	}
	if b := at(Options{}, 5).Beyond; b != nil {
		t.Errorf("without a limit: %+v", b)
	}
	if r := at(Options{MPE: 4, Origin: 10}, -1, -1.5); r.Beyond == nil || r.Last != 8.5 {
		t.Errorf("%+v", r)
	}
	left := 0.5
	checks[4].Left = &left
	if b := gaugeOf(t, Options{MPE: 4}, Series{Point: "a", Checks: checks}).Points[0].Beyond; b != nil {
		t.Errorf("adjusted: %+v", b)
	}
}
