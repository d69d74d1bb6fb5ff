package server

import (
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestListChecksInPages: page after page gives every check once, in the order of their
// times, and the standings with the first.
func TestListChecksInPages(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	request := &gaugedv1.ImportChecksRequest{GaugeId: "micrometer", By: "quality"}
	for day := range 5 {
		request.Checks = append(request.Checks, &gaugedv1.PastCheck{
			Time: timestamppb.New(time.Date(2026, 1, 5-day, 8, 0, 0, 0, time.UTC)), Place: "laboratory",
			Found: []*gaugedv1.PastPoint{{Master: "zero", Unit: mm, Value: "0", Error: "0.001", Uncertainty: "0.001", K: "2"}},
		})
	}
	if answer, err := c.ImportChecks(t.Context(), request); err != nil || len(answer.GetProblems()) > 0 {
		t.Fatal(answer, err)
	}
	if _, err := c.SetStanding(t.Context(), &gaugedv1.SetStandingRequest{GaugeId: "micrometer", Standing: gaugedv1.Standing_STANDING_SUSPECT, Reason: "fell down", By: "quality"}); err != nil {
		t.Fatal(err)
	}
	var days []int
	var sizes []int
	ask := &gaugedv1.ListChecksRequest{GaugeId: "micrometer", Limit: 2}
	for {
		answer, err := c.ListChecks(t.Context(), ask)
		if err != nil || (len(answer.GetStandings()) == 1) != (ask.GetAfterSeq() == 0) {
			t.Fatal(answer, err)
		}
		for _, check := range answer.GetChecks() {
			days = append(days, check.GetTime().AsTime().Day())
		}
		sizes = append(sizes, len(answer.GetChecks()))
		if ask.AfterSeq = answer.GetNextAfterSeq(); ask.GetAfterSeq() == 0 {
			break
		}
	}
	wantText(t, days, "[1 2 3 4 5]")
	wantText(t, sizes, "[2 2 1]")
	_, err := c.ListChecks(t.Context(), &gaugedv1.ListChecksRequest{GaugeId: "micrometer", AfterSeq: 1})
	wantStatus(t, err, codes.InvalidArgument, "1 is no check of gauge micrometer; begin with the first page")
}

// TestListsInPages: each other list gives the same entries in pages of one as at once.
func TestListsInPages(t *testing.T) {
	r := newRig(t)
	for range 3 {
		r.start(nil)
	}
	var jobs []uint64
	for before := uint64(0); ; {
		answer, err := r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{Limit: 1, BeforeId: before})
		if err != nil || len(answer.GetJobs()) != 1 {
			t.Fatal(answer, err)
		}
		jobs = append(jobs, answer.GetJobs()[0].GetId())
		if before = answer.GetNextBeforeId(); before == 0 {
			break
		}
	}
	wantText(t, jobs, "[3 2 1]")

	whole, err := r.procedures.ListProcedures(t.Context(), &gaugedv1.ListProceduresRequest{})
	if err != nil || whole.GetNextAfterId() != "" {
		t.Fatal(whole, err)
	}
	var ids []string
	for after := ""; ; {
		answer, err := r.procedures.ListProcedures(t.Context(), &gaugedv1.ListProceduresRequest{Limit: 1, AfterId: after})
		if err != nil || len(answer.GetProcedures()) != 1 {
			t.Fatal(answer, err)
		}
		ids = append(ids, answer.GetProcedures()[0].GetId())
		if after = answer.GetNextAfterId(); after == "" {
			break
		}
	}
	if len(ids) != len(whole.GetProcedures()) {
		t.Errorf("%v of %d", ids, len(whole.GetProcedures()))
	}

	id := r.start(map[string]string{}).GetId()
	if _, err := r.jobs.CloseJob(t.Context(), &gaugedv1.CloseJobRequest{JobId: id, Reason: "test"}); err != nil {
		t.Fatal(err)
	}
	var kinds []string
	for after := uint64(0); ; {
		answer, err := r.history.ListJobFacts(t.Context(), &gaugedv1.ListJobFactsRequest{JobId: id, Limit: 1, AfterSeq: after})
		if err != nil || len(answer.GetFacts()) != 1 {
			t.Fatal(answer, err)
		}
		kinds = append(kinds, answer.GetFacts()[0].GetKind())
		if after = answer.GetNextAfterSeq(); after == 0 {
			break
		}
	}
	wantText(t, kinds, "[started closed]")
}
