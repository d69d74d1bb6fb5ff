package server

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/gauge"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

// paged reads a list to its end, a page at a time, and says how long each was.
func paged(t *testing.T, page func(token string) (entries []string, next string, err error)) (all []string, sizes []int) {
	t.Helper()
	for token := ""; ; {
		entries, next, err := page(token)
		if err != nil {
			t.Fatal(err)
		}
		all, sizes = append(all, entries...), append(sizes, len(entries))
		if token = next; token == "" {
			return all, sizes
		}
		if len(sizes) > 100 {
			t.Fatalf("the list has no end: %v", all)
		}
	}
}

// named are entries by what tells them apart.
func named[E any](entries []E, name func(E) string) (names []string) {
	for _, e := range entries {
		names = append(names, name(e))
	}
	return names
}

// importChecks brings in a check of each day before.
func importChecks(t *testing.T, r *rig, days int) {
	t.Helper()
	request := &gaugedv1.ImportChecksRequest{GaugeId: "micrometer", By: "quality"}
	for day := range days {
		request.Checks = append(request.Checks, &gaugedv1.PastCheck{
			Time: timestamppb.New(time.Date(2026, 1, days-day, 8, 0, 0, 0, time.UTC)), Place: "laboratory",
			Found: []*gaugedv1.PastPoint{{MasterId: "zero", Unit: mm, Value: "0", Error: []string{"0.001", "0.009"}[day%2], Uncertainty: "0.001", K: "2"}},
		})
	}
	if answer, err := gaugedv1.NewHealthServiceClient(r.conn).ImportChecks(t.Context(), request); err != nil || len(answer.GetProblems()) > 0 {
		t.Fatal(answer, err)
	}
}

// TestChecksInPages: page after page gives every check once, in the order of their times,
// and only those of a time or a verdict where one is asked for.
func TestChecksInPages(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	importChecks(t, r, 5)
	list := func(ask *gaugedv1.ListChecksRequest) string {
		ask.GaugeId, ask.PageSize = "micrometer", 2
		days, sizes := paged(t, func(token string) ([]string, string, error) {
			ask.PageToken = token
			answer, err := c.ListChecks(t.Context(), ask)
			return named(answer.GetChecks(), func(c *gaugedv1.MasterCheck) string { return fmt.Sprint(c.GetTime().AsTime().Day()) }), answer.GetNextPageToken(), err
		})
		return fmt.Sprint(days, sizes)
	}
	day := func(n int) *timestamppb.Timestamp {
		return timestamppb.New(time.Date(2026, 1, n, 8, 0, 0, 0, time.UTC))
	}
	wantText(t, list(&gaugedv1.ListChecksRequest{}), "[1 2 3 4 5] [2 2 1]")
	wantText(t, list(&gaugedv1.ListChecksRequest{SinceTime: day(2), UntilTime: day(5)}), "[2 3 4] [2 1]")
	wantText(t, list(&gaugedv1.ListChecksRequest{Verdict: gaugedv1.CheckVerdict_CHECK_VERDICT_FAIL}), "[2 4] [2]")

	standings := func(ask *gaugedv1.ListStandingsRequest) string {
		ask.PageSize = 1
		changes, sizes := paged(t, func(token string) ([]string, string, error) {
			ask.PageToken = token
			answer, err := c.ListStandings(t.Context(), ask)
			if last := answer.GetNextPageToken() == ""; err == nil && last != (answer.GetHistoryHead().GetLine() != "") {
				t.Errorf("last page %v, with the head %v", last, answer.GetHistoryHead())
			}
			return named(answer.GetChanges(), func(c *gaugedv1.StandingChange) string { return c.GetGaugeId() + " " + c.GetStanding().String()[9:] }), answer.GetNextPageToken(), err
		})
		return fmt.Sprint(changes, sizes)
	}
	for id, standing := range map[string]gaugedv1.Standing{"button": gaugedv1.Standing_STANDING_RETIRED, "micrometer": gaugedv1.Standing_STANDING_SUSPECT} {
		if _, err := c.SetStanding(t.Context(), &gaugedv1.SetStandingRequest{GaugeId: id, Standing: standing, Reason: "fell down", By: "quality"}); err != nil {
			t.Fatal(err)
		}
	}
	wantText(t, standings(&gaugedv1.ListStandingsRequest{GaugeId: "button"}), "[button RETIRED] [1]")
	if all := standings(&gaugedv1.ListStandingsRequest{}); !strings.Contains(all, "button RETIRED") || !strings.Contains(all, "micrometer SUSPECT") {
		t.Error(all)
	}
	later := timestamppb.New(time.Now().Add(time.Hour))
	wantText(t, standings(&gaugedv1.ListStandingsRequest{SinceTime: later}), "[] [0]")
}

// TestListsInPages: each other list gives the same entries in pages of one as at once.
func TestListsInPages(t *testing.T) {
	r := newRig(t)
	health := gaugedv1.NewHealthServiceClient(r.conn)
	for range 3 {
		r.start(nil)
	}
	if _, err := r.jobs.CloseJob(t.Context(), &gaugedv1.CloseJobRequest{JobId: 3, Reason: "test"}); err != nil {
		t.Fatal(err)
	}
	for name, list := range map[string]func(size uint32, token string) ([]string, string, error){
		"jobs": func(size uint32, token string) ([]string, string, error) {
			a, err := r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{PageSize: size, PageToken: token})
			return named(a.GetJobs(), func(j *gaugedv1.Job) string { return fmt.Sprint(j.GetId()) }), a.GetNextPageToken(), err
		},
		"steps": func(size uint32, token string) ([]string, string, error) {
			a, err := r.history.ListJobFacts(t.Context(), &gaugedv1.ListJobFactsRequest{JobId: 3, PageSize: size, PageToken: token})
			return named(a.GetFacts(), func(f *gaugedv1.JobFact) string { return fmt.Sprint(f.GetSeq()) }), a.GetNextPageToken(), err
		},
		"procedures": func(size uint32, token string) ([]string, string, error) {
			a, err := r.procedures.ListProcedures(t.Context(), &gaugedv1.ListProceduresRequest{PageSize: size, PageToken: token})
			return named(a.GetProcedures(), (*gaugedv1.Procedure).GetId), a.GetNextPageToken(), err
		},
		"gauges": func(size uint32, token string) ([]string, string, error) {
			a, err := r.gauges.ListGauges(t.Context(), &gaugedv1.ListGaugesRequest{PageSize: size, PageToken: token})
			return named(a.GetGauges(), (*gaugedv1.Gauge).GetId), a.GetNextPageToken(), err
		},
		"health": func(size uint32, token string) ([]string, string, error) {
			a, err := health.ListHealth(t.Context(), &gaugedv1.ListHealthRequest{PageSize: size, PageToken: token})
			return named(a.GetGauges(), (*gaugedv1.GaugeHealth).GetGaugeId), a.GetNextPageToken(), err
		},
		"masters": func(size uint32, token string) ([]string, string, error) {
			a, err := health.ListMasters(t.Context(), &gaugedv1.ListMastersRequest{PageSize: size, PageToken: token})
			return named(a.GetMasters(), (*gaugedv1.Master).GetId), a.GetNextPageToken(), err
		},
	} {
		whole, _ := paged(t, func(token string) ([]string, string, error) { return list(0, token) })
		single, sizes := paged(t, func(token string) ([]string, string, error) { return list(1, token) })
		if len(whole) == 0 || !slices.Equal(whole, single) || slices.Max(sizes) != 1 || len(sizes) != len(whole) {
			t.Errorf("%s: %v at once, %v in pages of %v", name, whole, single, sizes)
		}
	}
}

// TestImpossibleLabels: who looks for jobs by a label that no job can have is told so.
func TestImpossibleLabels(t *testing.T) {
	r := newRig(t)
	for _, name := range []string{"", "Order", "or der"} {
		if _, err := r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{Labels: map[string]string{name: "A-1"}}); status.Code(err) != codes.InvalidArgument || !strings.Contains(err.Error(), "is no name of a label") {
			t.Errorf("jobs with a label %q: %v", name, err)
		}
	}
}

// TestJobsAreChosen: jobs come by unit, procedure, outcome, gauge and time.
func TestJobsAreChosen(t *testing.T) {
	r := newRig(t)
	between := make([]time.Time, 4)
	start := func(i int, procedure, unit string) {
		if _, err := r.jobs.StartJob(t.Context(), &gaugedv1.StartJobRequest{ProcedureId: procedure, UnitSerial: unit, By: "t"}); err != nil {
			t.Fatal(err)
		}
		between[i] = time.Now()
	}
	start(1, "ring", "A")
	start(2, "runout", "A")
	start(3, "runout", "B")
	enter := func(job uint64, shown string) {
		if _, err := r.jobs.EnterReading(t.Context(), &gaugedv1.EnterReadingRequest{JobId: job, Shown: shown, Unit: gaugedv1.Unit_UNIT_INCH, Instrument: "micrometer"}); err != nil {
			t.Fatal(err)
		}
	}
	enter(2, "0.001")
	enter(3, "0.001")
	enter(3, "0.002")
	for want, ask := range map[string]*gaugedv1.ListJobsRequest{
		"[2 1]":   {UnitSerial: "A"},
		"[3 2]":   {ProcedureId: "runout"},
		"[3]":     {Outcome: gaugedv1.Outcome_OUTCOME_CONFORMS},
		"[2 1] ":  {Outcome: gaugedv1.Outcome_OUTCOME_MEASURING},
		"[3 2] ":  {GaugeId: "micrometer"},
		"[] ":     {By: "nobody", UnitSerial: "A"},
		"[2]":     {SinceTime: timestamppb.New(between[1]), UntilTime: timestamppb.New(between[2])},
		"[2 1]  ": {UntilTime: timestamppb.New(between[2])},
		"[2] ":    {UnitSerial: "A", ProcedureId: "runout", GaugeId: "micrometer", OpenOnly: true},
	} {
		answer, err := r.jobs.ListJobs(t.Context(), ask)
		if err != nil {
			t.Fatal(err)
		}
		wantText(t, named(answer.GetJobs(), func(j *gaugedv1.Job) string { return fmt.Sprint(j.GetId()) }), strings.TrimSpace(want))
	}
	// What is measured anew does not stand where the last verdict stood.
	if _, err := r.jobs.DiscardReading(t.Context(), &gaugedv1.DiscardReadingRequest{JobId: 3, Reason: "slipped"}); err != nil {
		t.Fatal(err)
	}
	answer, err := r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{Outcome: gaugedv1.Outcome_OUTCOME_CONFORMS})
	if err != nil || len(answer.GetJobs()) > 0 {
		t.Error(answer, err)
	}
}

// TestEntriesOfATime: readings and changes of states come by time, in the order of the history.
func TestEntriesOfATime(t *testing.T) {
	r := newRig(t)
	r.report("line", "1.000")
	middle := time.Now()
	r.report("line", "2.000")
	r.Report(station.Report{State: &gauge.StateChange{Gauge: "line", Time: time.Now(), State: gauge.StateFailed, Reason: gauge.Plain("unplugged")}})
	r.eventually("the state is stored", func() bool { g, _ := r.Gauge("line"); return g.State == gauge.StateFailed })
	for want, ask := range map[string]*gaugedv1.ListReadingsRequest{
		"[1.000]": {UntilTime: timestamppb.New(middle)}, "[2.000]": {SinceTime: timestamppb.New(middle), GaugeId: "line"}, "[]": {SinceTime: timestamppb.New(middle), GaugeId: "button"},
	} {
		answer, err := r.history.ListReadings(t.Context(), ask)
		if err != nil {
			t.Fatal(err)
		}
		wantText(t, named(answer.GetReadings(), func(m *gaugedv1.Reading) string { return m.GetValue().GetText() }), want)
	}
	states, err := r.history.ListStateChanges(t.Context(), &gaugedv1.ListStateChangesRequest{GaugeId: "line", SinceTime: timestamppb.New(middle)})
	if err != nil || len(states.GetChanges()) != 1 || told(states.GetChanges()[0].GetReason()) != "unplugged" || states.GetChanges()[0].GetState() != gaugedv1.GaugeState_GAUGE_STATE_FAILED {
		t.Error(states, err)
	}
}

// TestPageTokens: a token is good for the list that it is of, and for no other.
func TestPageTokens(t *testing.T) {
	r := newRig(t)
	for range 3 {
		r.start(nil)
	}
	first, err := r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{PageSize: 1, OpenOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	token := first.GetNextPageToken()
	if _, err := r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{PageSize: 2, OpenOnly: true, PageToken: token}); err != nil {
		t.Errorf("another page size: %v", err)
	}
	_, err = r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{PageSize: 1, PageToken: token})
	wantStatus(t, err, codes.InvalidArgument, "the page_token is of another list: ask for each page with what the first was asked with, or without it for the first page")
	_, err = r.gauges.ListGauges(t.Context(), &gaugedv1.ListGaugesRequest{PageToken: token})
	wantStatus(t, err, codes.InvalidArgument, "the page_token is of another list: ask for each page with what the first was asked with, or without it for the first page")
	for _, wrong := range []string{"7", "AQ", "not a token", token[:4]} {
		_, err = r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{PageToken: wrong})
		wantStatus(t, err, codes.InvalidArgument, fmt.Sprintf("%q is no page_token of this daemon; ask without it for the first page", wrong))
	}
	at := timestamppb.New(time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC))
	_, err = r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{SinceTime: at, UntilTime: at})
	wantStatus(t, err, codes.InvalidArgument, "until_time 1 Mar 2026 is not after since_time 1 Mar 2026: nothing lies between")
	_, err = r.history.ListReadings(t.Context(), &gaugedv1.ListReadingsRequest{SinceTime: &timestamppb.Timestamp{Nanos: -1}})
	wantStatus(t, err, codes.InvalidArgument, "since_time is no time of the years 1 to 9999")
}

// TestGetOne: a gauge and its health come by id.
func TestGetOne(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	r.report("line", "1.000")
	one, err := r.gauges.GetGauge(t.Context(), &gaugedv1.GetGaugeRequest{GaugeId: "line"})
	if err != nil || one.GetGauge().GetLastReading().GetValue().GetText() != "1.000" {
		t.Error(one, err)
	}
	_, err = r.gauges.GetGauge(t.Context(), &gaugedv1.GetGaugeRequest{GaugeId: "lime"})
	wantStatus(t, err, codes.NotFound, `there is no gauge "lime": did you mean line? There are button, line, micrometer, pressed, sent`)
	h, err := c.GetHealth(t.Context(), &gaugedv1.GetHealthRequest{GaugeId: "micrometer"})
	if err != nil || h.GetGauge().GetPlan().GetRepeats() != 1 {
		t.Error(h, err)
	}
	_, err = c.GetHealth(t.Context(), &gaugedv1.GetHealthRequest{})
	if err == nil {
		t.Error("a gauge without a name has health")
	}
}
