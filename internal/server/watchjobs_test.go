package server

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestWatchJobs: each change of every job comes once, with its number, whether it was
// stored before or comes while one watches; a place in the middle misses none.
func TestWatchJobs(t *testing.T) {
	r := newRig(t)
	first := r.start(nil).GetId()
	r.enter(first, "25.00")
	texts := func(after uint64, verdicts bool, want int) (all []string, last uint64) {
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		stream, err := r.jobs.WatchJobs(ctx, &gaugedv1.WatchJobsRequest{AfterSeq: &after, VerdictsOnly: verdicts})
		if err != nil {
			t.Fatal(err)
		}
		if start, err := stream.Recv(); err != nil || start.GetStart().GetAfterSeq() != after {
			t.Fatal(start, err)
		}
		for len(all) < want {
			answer, err := stream.Recv()
			if err != nil {
				t.Fatal(err)
			}
			c := answer.GetChange()
			if c.GetSeq() <= last || c.GetUnitSerial() != "U1" || c.GetProcedureId() != "ring" || c.GetTime() == nil {
				t.Errorf("after %d comes %v", last, c)
			}
			last = c.GetSeq()
			all = append(all, strings.TrimSuffix(fmt.Sprintf("%d %s %s", c.GetJobId(), strings.ToLower(c.GetKind().String()[16:]), strings.ToLower(strings.TrimPrefix(c.GetOutcome().String(), "OUTCOME_"))), " unspecified"))
		}
		return all, last
	}
	begin, middle := texts(0, false, 2)
	wantText(t, begin, "[1 started 1 taken]")
	second := r.start(nil).GetId()
	r.enter(first, "25.01")
	r.enter(first, "23.305")
	if _, err := r.jobs.CloseJob(t.Context(), &gaugedv1.CloseJobRequest{JobId: second, Reason: "r"}); err != nil {
		t.Fatal(err)
	}
	rest, _ := texts(middle, false, 5)
	wantText(t, rest, "[2 started 1 taken 1 taken 1 verdict fit_part 2 closed]")
	verdicts, _ := texts(0, true, 1)
	wantText(t, verdicts, "[1 verdict fit_part]")

	stream, err := r.jobs.WatchJobs(t.Context(), &gaugedv1.WatchJobsRequest{AfterSeq: proto.Uint64(9999)})
	if err != nil {
		t.Fatal(err)
	}
	_, err = stream.Recv()
	wantStatus(t, err, codes.OutOfRange, fmt.Sprintf("entry 9999 is of another history than this one, which ends at entry %d: it was restored from a copy, or replaced; watch again without a number", r.Newest()))
	// Without a number it begins with what comes next.
	if stream, err = r.jobs.WatchJobs(t.Context(), &gaugedv1.WatchJobsRequest{}); err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); err != nil {
		t.Fatal(err)
	}
	r.start(nil)
	if answer, err := stream.Recv(); err != nil || answer.GetChange().GetJobId() != 3 {
		t.Error(answer, err)
	}
}

// TestPutRightWhileOneWatches: who watches has the serial number and the order as they were put
// right, also who follows verdicts alone.
func TestPutRightWhileOneWatches(t *testing.T) {
	r := newRig(t)
	ok := func(_ any, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	started, err := r.jobs.StartJob(t.Context(), &gaugedv1.StartJobRequest{ProcedureId: "runout", UnitSerial: "U1", By: "B", Labels: map[string]string{"order": "A-1"}})
	ok(started, err)
	id := started.GetJob().GetId()
	watch := func(verdicts bool) func() string {
		stream, err := r.jobs.WatchJobs(t.Context(), &gaugedv1.WatchJobsRequest{AfterSeq: proto.Uint64(0), VerdictsOnly: verdicts})
		ok(stream, err)
		ok(stream.Recv())
		return func() string {
			answer, err := stream.Recv()
			ok(answer, err)
			c := answer.GetChange()
			return fmt.Sprint(c.GetKind(), " ", c.GetUnitSerial(), " ", c.GetLabels()["order"])
		}
	}
	enter := func(shown string) {
		ok(r.jobs.EnterReading(t.Context(), &gaugedv1.EnterReadingRequest{JobId: id, Shown: shown, Unit: inches}))
	}
	enter("0.001")
	enter("0.003")
	all, verdicts := watch(false), watch(true)
	if got := verdicts(); got != "JOB_CHANGE_KIND_VERDICT U1 A-1" {
		t.Error(got)
	}
	for range 4 {
		all()
	}
	ok(r.jobs.SetJobLabels(t.Context(), &gaugedv1.SetJobLabelsRequest{JobId: id, Labels: map[string]string{"order": "A-2"}, Reason: "misread"}))
	if got := all(); got != "JOB_CHANGE_KIND_LABELLED U1 A-2" {
		t.Error(got)
	}
	ok(r.jobs.CorrectUnitSerial(t.Context(), &gaugedv1.CorrectUnitSerialRequest{JobId: id, UnitSerial: "U2", Reason: "misread"}))
	if got := all(); got != "JOB_CHANGE_KIND_UNIT_SERIAL U2 A-2" {
		t.Error(got)
	}
	ok(r.jobs.DiscardReading(t.Context(), &gaugedv1.DiscardReadingRequest{JobId: id, Reason: "slipped"}))
	if got := verdicts(); got != "JOB_CHANGE_KIND_VERDICT U2 A-2" {
		t.Error(got)
	}
}

// TestVerdictTakenBack: a reading of a job whose verdict was signed is discarded, so that the verdict
// stands no more. Who follows verdicts alone hears it, and the steps of the job have it.
func TestVerdictTakenBack(t *testing.T) {
	r := newRig(t)
	started, err := r.jobs.StartJob(t.Context(), &gaugedv1.StartJobRequest{ProcedureId: "runout", UnitSerial: "U1", By: "B"})
	if err != nil {
		t.Fatal(err)
	}
	id, before := started.GetJob().GetId(), r.Newest()
	for _, shown := range []string{"0.001", "0.003"} {
		if _, err := r.jobs.EnterReading(t.Context(), &gaugedv1.EnterReadingRequest{JobId: id, Shown: shown, Unit: inches}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.jobs.VerifyJob(t.Context(), &gaugedv1.VerifyJobRequest{JobId: id}); err != nil {
		t.Fatal(err)
	}
	discarded, err := r.jobs.DiscardReading(t.Context(), &gaugedv1.DiscardReadingRequest{JobId: id, Reason: "slipped"})
	if err != nil || discarded.GetJob().GetLastSeq() != r.Newest() {
		t.Fatal(discarded, err)
	}
	want := "[OUTCOME_CONFORMS OUTCOME_MEASURING]"
	facts, err := gaugedv1.NewHistoryServiceClient(r.conn).ListJobFacts(t.Context(), &gaugedv1.ListJobFactsRequest{JobId: id})
	if err != nil {
		t.Fatal(err)
	}
	var stored []string
	for _, f := range facts.GetFacts() {
		if v := f.GetVerdict(); v != nil {
			stored = append(stored, v.GetOutcome().String())
		}
	}
	wantText(t, stored, want)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	stream, err := r.jobs.WatchJobs(ctx, &gaugedv1.WatchJobsRequest{AfterSeq: &before, VerdictsOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	var told []string
	for len(told) < 2 {
		answer, err := stream.Recv()
		if err != nil {
			t.Fatal(err)
		}
		if c := answer.GetChange(); c != nil {
			told = append(told, c.GetOutcome().String())
		}
	}
	wantText(t, told, want)
	replayed, err := r.ReplayVerdicts(t.Context(), 0)
	if err != nil || replayed.Verdicts != 2 || len(replayed.Differences) != 0 {
		t.Error(replayed, err)
	}
	jobs, err := r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{Outcome: gaugedv1.Outcome_OUTCOME_MEASURING})
	if err != nil || len(jobs.GetJobs()) != 1 {
		t.Error(jobs, err)
	}
}

// TestWatchOfAnotherHistory: a number is refused whose stretch this history does not have, as after
// a copy was restored; with the stretch that the start of a watch told it is taken.
func TestWatchOfAnotherHistory(t *testing.T) {
	r := newRig(t)
	r.start(nil)
	after := r.Newest()
	for stretch, want := range map[string]codes.Code{r.Stretch(): codes.OK, "": codes.OK, "another": codes.OutOfRange} {
		ctx, cancel := context.WithCancel(t.Context())
		jobs, err := r.jobs.WatchJobs(ctx, &gaugedv1.WatchJobsRequest{AfterSeq: &after, StretchId: stretch})
		if err != nil {
			t.Fatal(err)
		}
		told, err := jobs.Recv()
		if status.Code(err) != want || err == nil && told.GetStart().GetStretchId() != r.Stretch() {
			t.Errorf("jobs of stretch %q: %v %v", stretch, told, err)
		}
		readings, err := gaugedv1.NewGaugeServiceClient(r.conn).WatchReadings(ctx, &gaugedv1.WatchReadingsRequest{AfterSeq: &after, StretchId: stretch})
		if err != nil {
			t.Fatal(err)
		}
		first, err := readings.Recv()
		if status.Code(err) != want || err == nil && first.GetStart().GetStretchId() != r.Stretch() {
			t.Errorf("readings of stretch %q: %v %v", stretch, first, err)
		}
		if want != codes.OK {
			toldBy(t, "another stretch", err)
			if got := status.Convert(err).Details()[0].(*errdetails.ErrorInfo).GetReason(); got != "WATCH_OTHER_HISTORY" {
				t.Errorf("the reason is %s", got)
			}
		}
		cancel()
	}
}

// TestWatchReadingsOfThePast: a gauge that is not configured and has readings in the history is watched like any other.
func TestWatchReadingsOfThePast(t *testing.T) {
	r := newRig(t)
	r.enter(r.start(nil).GetId(), "25.00")
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	stream, _ := r.watch(ctx, &gaugedv1.WatchReadingsRequest{GaugeIds: []string{"typed: caliper"}, AfterSeq: new(uint64)})
	if answer, err := stream.Recv(); err != nil || answer.GetReading().GetValue().GetText() != "25.00" {
		t.Error(answer, err)
	}
}

// TestServerInfo: the daemon says which it is.
func TestServerInfo(t *testing.T) {
	r := newRig(t)
	info, err := gaugedv1.NewServerServiceClient(r.conn).GetServerInfo(t.Context(), &gaugedv1.GetServerInfoRequest{})
	if err != nil || info.GetContract() != "gauged.v1" || info.GetLastSeq() != r.Newest() || len(info.GetHistoryId()) != 32 || info.GetStretchId() != r.Stretch() || info.GetStretchId() == "" || info.GetStation() != "bench-1" || info.GetHistorySchema() != 5 || info.GetHistoryBytes() != 4096 {
		t.Error(info, err)
	}
}
