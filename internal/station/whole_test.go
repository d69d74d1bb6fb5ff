package station

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/study"
	"gauged/internal/job"
)

// errCut is what the clock of a rig fails with.
var errCut = errors.New("cut short")

// runCut runs the station. Each decision is first cut short at each of its looks at the
// clock, of which every fact needs one, and must leave nothing of itself behind.
func (r *rig) runCut(ctx context.Context, cuts *int) {
	defer close(r.ended)
	defer close(r.done)
	for {
		select {
		case <-ctx.Done():
			return
		case asked := <-r.inbox:
			for at := 1; r.cutShort(asked, at); at++ {
				*cuts++
			}
			r.commit([]*request{asked})
		}
	}
}

// cutShort has a decision fail at a look at the clock, and reports whether it came to it.
func (r *rig) cutShort(asked *request, at int) bool {
	d := newDraft(r.Station)
	before := d.add(gauge.Fact{Reject: &gauge.Reject{Gauge: "of another decision"}})
	setCut := func(n int) {
		r.mu.Lock()
		defer r.mu.Unlock()
		r.cut = n
	}
	setCut(at)
	err := d.ask(&request{asked: asked.asked, decide: func(d *draft) (err error) {
		defer func() {
			if failed := recover(); failed != nil {
				err = failed.(error)
			}
		}()
		return asked.decide(d)
	}})
	setCut(0)
	if err == nil {
		return false
	}
	want := newDraft(r.Station)
	want.add(before)
	if !reflect.DeepEqual(d, want) {
		r.t.Errorf("a decision that failed with %v at its look %d left %d facts, gauges %v, health %v, jobs %v", err, at, len(d.facts)-1, d.gauges, d.health, d.jobs)
	}
	return errors.Is(err, errCut)
}

// TestADecisionLeavesAllOrNothing leads a bench through everything that it stores, and cuts
// each of its decisions short between any two of its steps.
func TestADecisionLeavesAllOrNothing(t *testing.T) {
	r := standing(t, filepath.Join(t.TempDir(), "history.db"), testProcedure)
	ctx, stop := context.WithCancel(context.Background())
	cuts := 0
	go r.runCut(ctx, &cuts)
	end := func() { stop(); <-r.ended }
	t.Cleanup(end)
	must := func(_ any, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(said(err))
		}
	}
	c := t.Context()
	next, err := r.edited("procedure", "ring", "min: 0.10", "min: 0.11")
	must(next, err)
	must(r.Release(c, next, "author", "tighter"))

	r.start(map[string]string{"depth": "dial", "height": "clock", "end_play": "clock"})
	must(r.Acknowledge(c, 1, "tech"))
	must(r.SetAside(c, 1, "a ring is ordered", "", "tech"))
	must(r.TakeUp(c, ResumeRequest{Job: 1, By: "tech"}))
	for _, other := range []string{"probe", "clock"} {
		must(r.ChangeGauges(c, GaugesRequest{Job: 1, By: "tech", Reason: "dropped", Gauges: map[string]string{"end_play": other}}))
	}
	must(r.CorrectSerial(c, 1, "U-8", "misread", "tech"))
	must(r.SetLabels(c, 1, job.Labels{"order": "A-1042"}, "", "tech"))
	r.Report(Report{State: &gauge.StateChange{Gauge: "probe", Time: r.o.Now(), State: gauge.StateLive}})
	r.Report(Report{Reject: &gauge.Reject{Gauge: "dial", Time: r.o.Now(), Reason: gauge.ReasonNumber}})
	r.press("dial", "25.01", gauge.Millimetre)
	must(r.Discard(c, 1, 0, "slipped", "tech"))
	r.press("dial", "25.00", gauge.Millimetre)
	r.press("dial", "25.00", gauge.Millimetre)
	r.press("clock", "23.350", gauge.Millimetre)
	r.proved(1, "1.50", "0.25")
	must(r.NextRound(c, 1, "tech"))
	r.proved(1, "1.60", "0.15")
	r.press("clock", "0.001", gauge.Millimetre) // a zero return by itself
	must(r.Verify(c, 1, "foreman"))
	must(r.CloseJob(c, 1, "", "foreman"))
	must(r.RecordZeroReturn(c, ZeroRequest{Gauge: "clock", By: "q", Reading: r.zeroAgain()}))

	must(r.BeginCheck(c, "micrometer", "q", nil, health.BegunData{}))
	must(r.GoOnCheck(c, "micrometer", "q", health.StepData{}, &TypedReading{"25.001", gauge.Millimetre}))
	must(r.LeaveCheck(c, "micrometer", 0, "q"))
	typed := []TypedReading{{"25.001", gauge.Millimetre}, {"25.002", gauge.Millimetre}}
	checked, err := r.RecordCheck(c, CheckRequest{Gauge: "micrometer", By: "q", Found: []CheckPoint{{Master: "block", Typed: typed}}})
	must(checked, err)
	must(r.VoidCheck(c, VoidRequest{Gauge: "micrometer", Check: checked.Seq, Reason: "dirty", By: "q"}))
	must(r.SetStanding(c, "micrometer", health.Suspect, "fell", "q"))
	_, problems, err := r.ImportChecks(c, health.ImportRequest{Gauge: "micrometer", By: "q", Checks: []health.PastCheck{{
		Time: r.clock().AddDate(-1, 0, 0), Found: []check.Stated{{Master: "block", Value: gauge.MustLength("25", gauge.Millimetre), Uncertainty: gauge.Expanded{Uncertainty: gauge.MustLength("0.001", gauge.Millimetre), K: 2 * gauge.One.Size()}}},
	}}})
	must(problems, err)
	request := health.StudyRequest{Gauge: "dial", By: "q", Plan: study.Plan{Kind: study.CapabilityKind, Options: study.Options{Tolerance: 0.2, Seed: 1}}}
	for i := range 12 {
		p := r.at("dial", "block", fmt.Sprintf("25.00%d", i%4))
		request.Rows = append(request.Rows, health.StudyRow{Seq: p.Readings[0], Master: "block", Trial: fmt.Sprint(i + 1)})
	}
	must(r.RecordStudy(c, request))
	failed, err := r.RecordCheck(c, CheckRequest{Gauge: "clock", By: "q", Found: []CheckPoint{r.at("clock", "block", "25.009")}})
	must(failed, err)
	must(r.DecideRecall(c, health.RecallDecision{Gauge: "clock", Check: failed.Seq, Reason: "none shipped", By: "q"}))
	must(r.EnterReading(c, "micrometer", typed[0], "q"))
	must(r.Resume(c, "sender"))
	r.ingest(1, "remote", "25.00", 0)
	must(r.Ingest(c, "sender", []Ingested{{SourceSeq: 2, Gauge: "nobody", Shown: "25.00", Unit: gauge.Millimetre}}))
	end()

	r.holdsEveryKind()
	if cuts < 60 {
		t.Errorf("only %d decisions were cut short", cuts)
	}
}

// zeroAgain is a reading of the gauge clock at its zero.
func (r *rig) zeroAgain() uint64 {
	r.press("clock", "0.002", gauge.Millimetre)
	return r.Newest()
}

// holdsEveryKind asks that facts of all kinds are stored.
func (r *rig) holdsEveryKind() {
	r.t.Helper()
	facts, err := r.store.Facts(context.Background(), 0, 10_000)
	if err != nil {
		r.t.Fatal(err)
	}
	var kinds []string
	for _, f := range facts {
		switch {
		case f.Job != nil:
			kinds = append(kinds, "job "+f.Job.Kind)
		case f.Gauge != nil:
			kinds = append(kinds, "gauge "+f.Gauge.Kind)
		default:
			v := reflect.ValueOf(f)
			for i := range v.NumField() {
				if v.Field(i).Kind() == reflect.Pointer && !v.Field(i).IsNil() {
					kinds = append(kinds, v.Type().Field(i).Name)
				}
			}
		}
	}
	slices.Sort(kinds)
	want := []string{"File", "Reading", "Reject", "Release", "State"}
	for _, kind := range []string{health.KindBegun, health.KindUnderWay, health.KindChecked, health.KindLeft, health.KindRecalled, health.KindStanding, health.KindStudied, health.KindVoided} {
		want = append(want, "gauge "+kind)
	}
	for _, kind := range []string{
		job.KindAcknowledged, job.KindAside, job.KindChosen, job.KindClosed, job.KindDiscarded, job.KindFitted, job.KindLabelled, job.KindResumed,
		job.KindGauges, job.KindRound, job.KindSerial, job.KindStarted, job.KindTaken, job.KindVerdict, job.KindVerified,
	} {
		want = append(want, "job "+kind)
	}
	slices.Sort(want)
	if got := slices.Compact(kinds); !slices.Equal(got, want) {
		r.t.Errorf("stored %s\nwant   %s", strings.Join(got, ", "), strings.Join(want, ", "))
	}
}
