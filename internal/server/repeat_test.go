package server

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/testing/protocmp"
	"google.golang.org/protobuf/types/known/timestamppb"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/library"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

// twice is a connection that makes each call under the id of a request, makes it again,
// and holds that nothing is stored again and that the answer is the same.
func twice(t *testing.T, s *station.Station, socket string) (*grpc.ClientConn, map[string]bool) {
	t.Helper()
	made := map[string]bool{}
	conn, err := grpc.NewClient("unix://"+socket, grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithUnaryInterceptor(func(ctx context.Context, method string, request, answer any, conn *grpc.ClientConn, call grpc.UnaryInvoker, options ...grpc.CallOption) error {
			field := request.(proto.Message).ProtoReflect().Descriptor().Fields().ByName("request_id")
			if field == nil {
				return call(ctx, method, request, answer, conn, options...)
			}
			request.(proto.Message).ProtoReflect().Set(field, protoreflect.ValueOfString(fmt.Sprintf("request-%d", len(made)*1000+int(s.Newest()))))
			before := s.Newest()
			if err := call(ctx, method, request, answer, conn, options...); err != nil {
				return err
			}
			after, again := s.Newest(), answer.(proto.Message).ProtoReflect().New().Interface()
			if err := call(ctx, method, request, again, conn, options...); err != nil {
				t.Errorf("%s again: %v", method, err)
			}
			if after == before || s.Newest() != after {
				t.Errorf("%s stored entries %d to %d, and again %d to %d", method, before+1, after, after+1, s.Newest())
			}
			// The answer is what stands now: the uses so far are counted after a check is stored.
			now := []cmp.Option{protocmp.Transform(), protocmp.IgnoreFields(&gaugedv1.MasterCheck{}, "use_count"), protocmp.IgnoreFields(&gaugedv1.PastOrigin{}, "import_time")}
			if diff := cmp.Diff(answer, again, now...); diff != "" {
				t.Errorf("%s is answered otherwise the second time: %s", method, diff)
			}
			made[method[strings.LastIndex(method, "/")+1:]] = true
			return nil
		}))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn, made
}

// releasing are files whose reload puts a library in force.
type releasing struct {
	*station.Station
	next *library.Library
}

func (r releasing) Reload(ctx context.Context) ([]library.File, error) {
	return r.Release(ctx, r.next, station.ByFile, "")
}

// stores are the calls that store something, by the contract: those that take the id of a request.
func stores(unary bool) (names []string) {
	for _, m := range methods() {
		if m.Input().Fields().ByName("request_id") != nil && !m.IsStreamingClient() && m.IsStreamingServer() != unary {
			names = append(names, string(m.Name()))
		}
	}
	slices.Sort(names)
	return names
}

// TestCallsThatStoreHaveIDs: a call without the id of a request stores nothing, or numbers
// what it stores itself.
func TestCallsThatStoreHaveIDs(t *testing.T) {
	for _, m := range methods() {
		read := slices.ContainsFunc([]string{"Get", "List", "Watch", "Find", "Evaluate", "Replay", "Recall", "VerifyHistory", "BackUp"}, func(p string) bool { return strings.HasPrefix(string(m.Name()), p) })
		read = read || m.Parent().Name() == "AccessService" // a secret is in one answer alone, and the rest is so or not
		read = read || m.Parent().Name() == "ExitService"   // an exit rests or not, and what it hands on comes at least once
		numbered := m.IsStreamingClient()                   // each reading has the number of its sender
		if has := m.Input().Fields().ByName("request_id") != nil; has == (read || numbered) {
			t.Errorf("%s has the id of a request: %v", m.FullName(), has)
		}
	}
}

// TestRepeatedRequests: each call that stores, made twice under one id, stores once and
// answers as before.
func TestRepeatedRequests(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	conn, made := twice(t, r.Station, r.socket)
	jobs, c := gaugedv1.NewJobServiceClient(conn), gaugedv1.NewHealthServiceClient(conn)
	ok := func(_ any, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	started, err := jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "U", By: "M", GaugeIds: map[string]string{"height": "line", "end_play": "micrometer"}})
	ok(started, err)
	id := started.GetJob().GetId()
	enter := func(shown string) {
		ok(jobs.EnterReading(ctx, &gaugedv1.EnterReadingRequest{JobId: id, Shown: shown, Unit: mm, Instrument: "caliper"}))
	}
	ok(jobs.AcknowledgeCautions(ctx, &gaugedv1.AcknowledgeCautionsRequest{JobId: id, By: "M"}))
	enter("25.30")
	ok(jobs.DiscardReading(ctx, &gaugedv1.DiscardReadingRequest{JobId: id, Reason: "slipped"}))
	enter("25.00")
	enter("25.01")
	r.Report(station.Report{State: &gauge.StateChange{Gauge: "line", Time: time.Now(), State: gauge.StateLive}})
	r.report("line", "23.305")
	ok(jobs.CaptureReading(ctx, &gaugedv1.CaptureReadingRequest{JobId: id}))
	ok(jobs.SetJobAside(ctx, &gaugedv1.SetJobAsideRequest{JobId: id, Reason: "ring ordered", MeantFor: "N"}))
	resume := &gaugedv1.ResumeJobRequest{JobId: id, By: "N", GaugeIds: map[string]string{"end_play": "line"}, ValidateOnly: true}
	tried, err := r.jobs.ResumeJob(ctx, resume)
	if ok(tried, err); tried.GetJob().GetAside() != nil || tried.GetJob().GetGaugeIds()["end_play"] != "line" {
		t.Errorf("%v", tried)
	}
	if waits, err := jobs.GetJob(ctx, &gaugedv1.GetJobRequest{JobId: id}); err != nil || waits.GetJob().GetStage() != gaugedv1.JobStage_JOB_STAGE_ASIDE || waits.GetJob().GetAside().GetMeantFor() != "N" {
		t.Errorf("%v, %v", waits, err)
	}
	ok(jobs.ResumeJob(ctx, &gaugedv1.ResumeJobRequest{JobId: id, By: "N"}))
	corrected, err := jobs.CorrectUnitSerial(ctx, &gaugedv1.CorrectUnitSerialRequest{JobId: id, UnitSerial: "U-1", Reason: "smudged"})
	if ok(corrected, err); corrected.GetJob().GetUnitSerial() != "U-1" || !slices.Equal(corrected.GetJob().GetEarlierUnitSerials(), []string{"U"}) || corrected.GetJob().GetBy() != "N" {
		t.Errorf("%v", corrected.GetJob())
	}
	labelled, err := jobs.SetJobLabels(ctx, &gaugedv1.SetJobLabelsRequest{JobId: id, Labels: map[string]string{"order": " A-1042 "}})
	if ok(labelled, err); labelled.GetJob().GetLabels()["order"] != "A-1042" {
		t.Errorf("%v", labelled.GetJob())
	}
	ok(jobs.ChoosePart(ctx, &gaugedv1.ChoosePartRequest{JobId: id}))
	ok(jobs.RecordFittedPart(ctx, &gaugedv1.RecordFittedPartRequest{JobId: id, Thickness: "1.551", Unit: mm}))
	enter("0.22")
	ok(jobs.BeginRound(ctx, &gaugedv1.BeginRoundRequest{JobId: id}))
	ok(jobs.ChoosePart(ctx, &gaugedv1.ChoosePartRequest{JobId: id}))
	ok(jobs.RecordFittedPart(ctx, &gaugedv1.RecordFittedPartRequest{JobId: id, Thickness: "1.60", Unit: mm}))
	enter("0.17")
	ok(jobs.VerifyJob(ctx, &gaugedv1.VerifyJobRequest{JobId: id}))
	ok(jobs.CloseJob(ctx, &gaugedv1.CloseJobRequest{JobId: id}))

	ok(c.BeginCheck(ctx, &gaugedv1.BeginCheckRequest{GaugeId: "micrometer", By: "q", MasterIds: []string{"zero"}}))
	ok(c.BeginCheck(ctx, &gaugedv1.BeginCheckRequest{GaugeId: "micrometer", By: "q", MasterIds: []string{"zero"}}))
	left, err := c.LeaveCheck(ctx, &gaugedv1.LeaveCheckRequest{GaugeId: "micrometer", By: "q"})
	if ok(left, err); left.GetCount() != 2 {
		t.Errorf("%d checks were given up", left.GetCount())
	}
	typed := func(shown string) *gaugedv1.TypedReading { return &gaugedv1.TypedReading{Shown: shown, Unit: mm} }
	checked, err := c.RecordCheck(ctx, &gaugedv1.RecordCheckRequest{
		GaugeId: "micrometer", By: "q", Found: []*gaugedv1.CheckPoint{{MasterId: "zero", Typed: []*gaugedv1.TypedReading{typed("0.001"), typed("0.002")}}},
	})
	ok(checked, err)
	ok(c.RecordZeroReturn(ctx, &gaugedv1.RecordZeroReturnRequest{GaugeId: "micrometer", By: "q", Typed: typed("0.001")}))
	ok(c.RecordZeroReturn(ctx, &gaugedv1.RecordZeroReturnRequest{GaugeId: "micrometer", By: "q", Typed: typed("0.018")}))
	ok(c.DecideRecall(ctx, &gaugedv1.DecideRecallRequest{GaugeId: "micrometer", Reason: "none shipped", By: "q"}))
	ok(c.VoidCheck(ctx, &gaugedv1.VoidCheckRequest{GaugeId: "micrometer", CheckSeq: checked.GetCheck().GetSeq(), Reason: "mistaken", By: "q"}))
	ok(c.ImportChecks(ctx, &gaugedv1.ImportChecksRequest{GaugeId: "micrometer", By: "q", Checks: []*gaugedv1.PastCheck{{
		Time: timestamppb.New(time.Date(2026, 1, 1, 8, 0, 0, 0, time.UTC)), Place: "laboratory",
		Found: []*gaugedv1.PastPoint{{MasterId: "zero", Unit: mm, Value: "0", Error: "0.001", Uncertainty: "0.001", K: "2"}},
	}}}))
	ok(c.SetStanding(ctx, &gaugedv1.SetStandingRequest{GaugeId: "micrometer", Standing: gaugedv1.Standing_STANDING_SUSPECT, Reason: "fell down", By: "q"}))
	study := &gaugedv1.StudyInput{GaugeId: "button", Kind: gaugedv1.StudyKind_STUDY_KIND_BIAS}
	for _, shown := range []string{"25.00", "25.01", "24.99", "25.02", "25.00"} {
		study.Rows = append(study.Rows, &gaugedv1.StudyRow{Reading: &gaugedv1.StudyRow_Value{Value: shown}, Unit: mm, Reference: "25.000"})
	}
	ok(gaugedv1.NewStudyServiceClient(conn).RecordStudy(ctx, &gaugedv1.RecordStudyRequest{Input: study, By: "q"}))

	next, err := library.New(context.Background().Err, []library.Source{{Path: "ring.yaml", Content: []byte(strings.Replace(ringProcedure, "max: 0.20", "max: 0.21", 1))}}, []library.Source{{Path: "rings.yaml", Content: []byte(ringParts)}})
	ok(next, err)
	socket := socketPath(t)
	l, err := access.ListenUnix(socket)
	ok(l, err)
	serveWith(t, Options{Station: r.Station, Files: releasing{r.Station, next}, Log: r.log.logger(), Guard: anyone}, l)
	other, reloaded := twice(t, r.Station, socket)
	ok(gaugedv1.NewProcedureServiceClient(other).ReloadProcedures(ctx, &gaugedv1.ReloadProceduresRequest{}))
	maps.Copy(made, reloaded)

	if all := slices.Sorted(maps.Keys(made)); !slices.Equal(all, stores(true)) {
		t.Errorf("called were %v\nof        %v", all, stores(true))
	}
}

// TestRepeatedCapture: a capture of a motion that was carried out is answered with its job.
func TestRepeatedCapture(t *testing.T) {
	wantText(t, stores(false), "[CaptureMotion]")
	r := newRig(t)
	id := r.start(nil).GetId()
	ask := &gaugedv1.CaptureMotionRequest{JobId: id, RequestId: "once"}
	// What it stored comes from another call here, under the same id and hash.
	ctx, err := asked(t.Context(), gaugedv1.JobService_CaptureMotion_FullMethodName, ask)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Acknowledge(ctx, id, "M"); err != nil {
		t.Fatal(err)
	}
	stream, err := r.jobs.CaptureMotion(t.Context(), ask)
	if err != nil {
		t.Fatal(err)
	}
	if answer, err := stream.Recv(); err != nil || answer.GetJob().GetCautionsAcknowledgedBy() != "M" {
		t.Errorf("%v, %v", answer, err)
	}
}

// TestIDsOfRequests: an id belongs to one request, and none is without limits.
func TestIDsOfRequests(t *testing.T) {
	r := newRig(t)
	start := func(id, unit string) (*gaugedv1.StartJobResponse, error) {
		return r.jobs.StartJob(t.Context(), &gaugedv1.StartJobRequest{RequestId: id, ProcedureId: "ring", UnitSerial: unit, By: "M", GaugeIds: map[string]string{"height": "line", "depth": "line"}})
	}
	if _, err := start("A-1", "one"); err != nil {
		t.Fatal(err)
	}
	_, err := start("A-1", "two")
	wantStatus(t, err, codes.InvalidArgument, "the request_id A-1 is that of another request, which was carried out: give each request an id of its own")
	_, err = r.jobs.CloseJob(t.Context(), &gaugedv1.CloseJobRequest{RequestId: "A-1", JobId: 1, Reason: "r"})
	wantStatus(t, err, codes.InvalidArgument, "the request_id A-1 is that of another request, which was carried out: give each request an id of its own")
	for _, wrong := range []string{"with space", strings.Repeat("x", 65), "ü"} {
		_, err = start(wrong, "three")
		wantStatus(t, err, codes.InvalidArgument, fmt.Sprintf("the request_id %q is not 1 to 64 printable characters of ASCII, such as a UUID", wrong))
	}
	// What was refused was not carried out: the id is free for it.
	if _, err := start("A-2", ""); status.Code(err) != codes.InvalidArgument {
		t.Error(err)
	}
	if answer, err := start("A-2", "four"); err != nil || answer.GetJob().GetId() != 2 {
		t.Error(answer, err)
	}
	// Two at once, of which one is carried out.
	answers := make(chan uint64, 8)
	for range 8 {
		go func() {
			answer, err := start("A-3", "five")
			if err != nil {
				t.Error(err)
			}
			answers <- answer.GetJob().GetId()
		}()
	}
	for range 8 {
		if id := <-answers; id != 3 {
			t.Errorf("the answer has job %d", id)
		}
	}
}

// TestTrial: what is asked for trial is answered as it would be, and nothing is stored.
func TestTrial(t *testing.T) {
	r := newRig(t)
	ctx, c, before := t.Context(), gaugedv1.NewHealthServiceClient(r.conn), r.Newest()
	started, err := r.jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "U", By: "M", ValidateOnly: true, RequestId: "A"})
	if err != nil || started.GetJob().GetMeasuring() != "depth" {
		t.Error(started, err)
	}
	_, err = r.jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "U", ValidateOnly: true})
	wantStatus(t, err, codes.InvalidArgument, "a job needs the name of the technician")
	check := &gaugedv1.RecordCheckRequest{GaugeId: "micrometer", By: "q", ValidateOnly: true, Found: []*gaugedv1.CheckPoint{{MasterId: "zero", Typed: []*gaugedv1.TypedReading{{Shown: "0.9", Unit: mm}, {Shown: "0.9", Unit: mm}}}}}
	if answer, err := c.RecordCheck(ctx, check); err != nil || answer.GetCheck().GetFound().GetVerdict() != gaugedv1.CheckVerdict_CHECK_VERDICT_FAIL || answer.GetGauge().GetStanding() != gaugedv1.Standing_STANDING_SUSPECT || answer.GetGauge().GetCheckCount() != 1 {
		t.Error(answer, err)
	}
	past := &gaugedv1.ImportChecksRequest{GaugeId: "micrometer", By: "q", ValidateOnly: true, Checks: []*gaugedv1.PastCheck{{
		Time: timestamppb.New(r.Now().Add(-24 * time.Hour)), Found: []*gaugedv1.PastPoint{{MasterId: "zero", Unit: mm, Value: "0", Error: "0.9", Uncertainty: "0.001", K: "2"}},
	}}}
	if answer, err := c.ImportChecks(ctx, past); err != nil || len(answer.GetChecks()) != 1 || answer.GetGauge().GetCheckCount() != 1 || answer.GetGauge().GetStanding() != gaugedv1.Standing_STANDING_SUSPECT {
		t.Error(answer, err)
	}
	if answer, err := c.GetHealth(ctx, &gaugedv1.GetHealthRequest{GaugeId: "micrometer"}); err != nil || answer.GetGauge().GetStanding() != gaugedv1.Standing_STANDING_IN_SERVICE || answer.GetGauge().GetCheckCount() != 0 {
		t.Error(answer, err)
	}
	id := r.start(nil).GetId()
	for _, shown := range []string{"25.00", "25.01", "23.305"} {
		r.enter(id, shown)
	}
	after := r.Newest()
	fitted, err := r.jobs.RecordFittedPart(ctx, &gaugedv1.RecordFittedPartRequest{JobId: id, Part: "R155", ValidateOnly: true})
	if err != nil || fitted.GetJob().GetStage() != gaugedv1.JobStage_JOB_STAGE_VERIFY || fitted.GetFits()[0].GetPlay().GetText() != "0.150" {
		t.Error(fitted, err)
	}
	if now, err := r.jobs.GetJob(ctx, &gaugedv1.GetJobRequest{JobId: id}); err != nil || now.GetJob().GetStage() != gaugedv1.JobStage_JOB_STAGE_CHOOSE || r.Newest() != after {
		t.Error(now, err)
	}
	facts, err := r.Readings(ctx, gauge.Query{After: before, Gauge: "micrometer", Limit: 1})
	if err != nil || len(facts) > 0 {
		t.Error(facts, err)
	}
}
