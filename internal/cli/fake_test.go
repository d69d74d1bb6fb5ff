package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net"
	"slices"
	"strconv"
	"sync"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/clitest"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// fakeStation is a daemon with one job and a list of readings. It keeps them
// while it is not served, as a daemon does over a restart.
type fakeStation struct {
	pb.UnimplementedGaugeServiceServer
	pb.UnimplementedProcedureServiceServer
	pb.UnimplementedJobServiceServer
	pb.UnimplementedHistoryServiceServer
	pb.UnimplementedHealthServiceServer
	pb.UnimplementedServerServiceServer

	mu       sync.Mutex
	changed  chan struct{} // closed and made anew with each change
	job      *pb.Job
	seq      uint64
	shown    []string // what the gauges show, one per capture
	calls    []string
	readings []*pb.Reading
	replay   *pb.ReplayVerdictsResponse
	typed    []string    // readings of checks
	left     int         // checks that were given up
	more     []*pb.Gauge // besides those of every test
	follows  int         // streams of readings that were opened
	rejected []byte      // a frame that was rejected besides; nil: none
}

func newStation(j *pb.Job) *fakeStation {
	return &fakeStation{job: j, seq: j.GetLastSeq(), changed: make(chan struct{})}
}

// serve answers on the socket until the returned function is called, which
// breaks off every call and stream.
func serve(t *testing.T, f *fakeStation, socket string) (stop func()) {
	t.Helper()
	return serveAs(t, f, socket)
}

// fakeServices is a fakeStation, or one that does something otherwise.
type fakeServices interface {
	pb.GaugeServiceServer
	pb.ProcedureServiceServer
	pb.JobServiceServer
	pb.HistoryServiceServer
	pb.HealthServiceServer
	pb.ServerServiceServer
}

func serveAs(t *testing.T, f fakeServices, socket string, options ...grpc.ServerOption) (stop func()) {
	t.Helper()
	listener, err := net.Listen("unix", socket)
	if err != nil {
		t.Fatal(err)
	}
	server := grpc.NewServer(options...)
	pb.RegisterGaugeServiceServer(server, f)
	pb.RegisterProcedureServiceServer(server, f)
	pb.RegisterJobServiceServer(server, f)
	pb.RegisterHistoryServiceServer(server, f)
	pb.RegisterHealthServiceServer(server, f)
	pb.RegisterServerServiceServer(server, f)
	served := make(chan struct{})
	go func() {
		defer close(served)
		if err := server.Serve(listener); err != nil && !errors.Is(err, grpc.ErrServerStopped) {
			t.Errorf("serving: %v", err)
		}
	}()
	stop = sync.OnceFunc(func() { server.Stop(); <-served })
	t.Cleanup(stop)
	return stop
}

// change does what a call does to the job and tells the watchers.
func (f *fakeStation) change(call string, do func(j *pb.Job) error) (*pb.Job, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.job.GetStage() == pb.JobStage_JOB_STAGE_CLOSED {
		return nil, status.Error(codes.FailedPrecondition, "job 3 is closed: start another")
	}
	if err := do(f.job); err != nil {
		return nil, err
	}
	f.calls = append(f.calls, call)
	f.seq++
	f.job.LastSeq = f.seq
	close(f.changed)
	f.changed = make(chan struct{})
	return proto.CloneOf(f.job), nil
}

// press is the button of a gauge.
func (f *fakeStation) press(digits string) {
	_, _ = f.change("press", func(j *pb.Job) error { return f.take(j, show.GaugeOf(j, j.GetMeasuring()), digits) })
}

// take puts a reading into the measurement that is due.
func (f *fakeStation) take(j *pb.Job, gaugeID, digits string) error {
	e := j.GetEvaluation()
	i := slices.IndexFunc(e.GetMeasurements(), func(m *pb.Measurement) bool { return m.GetName() == j.GetMeasuring() })
	if i < 0 {
		return status.Error(codes.FailedPrecondition, "nothing is measured now")
	}
	m := e.GetMeasurements()[i]
	m.Readings = append(m.Readings, clitest.Taken(f.seq+1, gaugeID, digits))
	f.settle(j)
	return nil
}

// settle works out value, spread and what is due.
func (f *fakeStation) settle(j *pb.Job) {
	e := j.GetEvaluation()
	j.Measuring = ""
	if j.GetStage() == pb.JobStage_JOB_STAGE_MEASURE {
		e.Outcome, e.Findings = pb.Outcome_OUTCOME_MEASURING, nil
	}
	for _, m := range e.GetMeasurements() {
		var values []int64
		for _, r := range m.GetReadings() {
			if r.GetDiscardReason() == "" {
				values = append(values, r.GetValue().GetPicometres())
			}
		}
		m.Value, m.Spread, m.Complete = nil, nil, len(values) >= int(m.GetRepeats())
		if len(values) > 0 {
			m.Value = clitest.PM((slices.Min(values) + slices.Max(values)) / 2)
		}
		if len(values) > 1 {
			m.Spread = clitest.PM(slices.Max(values) - slices.Min(values))
		}
		if m.GetAgree() != nil && m.GetSpread().GetPicometres() > m.GetAgree().GetPicometres() {
			m.Complete = false
			e.Outcome = pb.Outcome_OUTCOME_MEASURE_AGAIN
			e.Findings = []*pb.Finding{{Code: "disagree", Message: clitest.Tell(m.GetName() + ": the readings differ by " + m.GetSpread().GetText() + " mm, allowed is 0.020 mm: discard the wrong one")}}
		}
		if !m.Complete && j.Measuring == "" {
			j.Measuring = m.GetName()
		}
	}
	if j.GetMeasuring() != "" {
		return
	}
	switch j.GetStage() {
	case pb.JobStage_JOB_STAGE_MEASURE:
		j.Stage = pb.JobStage_JOB_STAGE_CHOOSE
		proto.Merge(e, clitest.Decision())
	case pb.JobStage_JOB_STAGE_VERIFY:
		j.Stage = pb.JobStage_JOB_STAGE_DECIDED
		clitest.Judge(e)
	}
}

func (f *fakeStation) GetServerInfo(context.Context, *pb.GetServerInfoRequest) (*pb.GetServerInfoResponse, error) {
	return &pb.GetServerInfoResponse{Station: "bench-1", Version: "v0.9.0", Contract: "gauged.v1", LastSeq: 48213, Head: &pb.HistoryHead{Line: "gauged-head-1 48213 2026-03-02T07:00:00Z bench-1 9f86 d081"}, StationKey: []byte{0x5d, 0x2f}}, nil
}

func (f *fakeStation) ListGauges(context.Context, *pb.ListGaugesRequest) (*pb.ListGaugesResponse, error) {
	return &pb.ListGaugesResponse{Gauges: append(clitest.Gauges(), f.more...)}, nil
}

func (f *fakeStation) GetGauge(_ context.Context, r *pb.GetGaugeRequest) (*pb.GetGaugeResponse, error) {
	for _, g := range clitest.Gauges() {
		if g.GetId() == r.GetGaugeId() {
			return &pb.GetGaugeResponse{Gauge: g}, nil
		}
	}
	return nil, status.Errorf(codes.NotFound, "there is no gauge %q", r.GetGaugeId())
}

func (f *fakeStation) ListProcedures(context.Context, *pb.ListProceduresRequest) (*pb.ListProceduresResponse, error) {
	return &pb.ListProceduresResponse{Procedures: []*pb.Procedure{clitest.Procedure()}}, nil
}

func (f *fakeStation) GetProcedure(_ context.Context, r *pb.GetProcedureRequest) (*pb.GetProcedureResponse, error) {
	if r.GetProcedureId() != "output-shaft" {
		return nil, status.Errorf(codes.NotFound, "there is no procedure %q", r.GetProcedureId())
	}
	return &pb.GetProcedureResponse{Procedure: clitest.Procedure(), PartFamilies: []*pb.PartFamily{{
		Id: "rings", Title: "Rings of the output shaft",
		Grades: []*pb.Grade{clitest.Grade("R-190", "C", "1.900", 0), clitest.Grade("R-194", "D", "1.940", 4)},
	}}}, nil
}

// WatchReadings sends the stored readings after the number that is asked for
// and then new ones.
func (f *fakeStation) WatchReadings(r *pb.WatchReadingsRequest, stream grpc.ServerStreamingServer[pb.WatchReadingsResponse]) error {
	f.mu.Lock()
	f.follows++
	after := r.GetAfterSeq()
	if r.AfterSeq == nil && len(f.readings) > 0 {
		after = f.readings[len(f.readings)-1].GetSeq()
	}
	f.mu.Unlock()
	start := &pb.WatchReadingsResponse{Event: &pb.WatchReadingsResponse_Start{Start: &pb.WatchStart{AfterSeq: after}}}
	if err := stream.Send(start); err != nil {
		return err
	}
	for {
		f.mu.Lock()
		readings, changed := slices.Clone(f.readings), f.changed
		f.mu.Unlock()
		for _, reading := range readings {
			if reading.GetSeq() <= after {
				continue
			}
			after = reading.GetSeq()
			if err := stream.Send(&pb.WatchReadingsResponse{Event: &pb.WatchReadingsResponse_Reading{Reading: reading}}); err != nil {
				return err
			}
		}
		select {
		case <-changed:
		case <-stream.Context().Done():
			return stream.Context().Err()
		}
	}
}

// store adds a reading to the history.
func (f *fakeStation) store(digits string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.seq++
	f.readings = append(f.readings, &pb.Reading{Seq: f.seq, GaugeId: "dial-2", Time: clitest.At(int(f.seq)), Value: clitest.MM(digits)})
	close(f.changed)
	f.changed = make(chan struct{})
}

func (f *fakeStation) ListReadings(_ context.Context, r *pb.ListReadingsRequest) (*pb.ListReadingsResponse, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	answer := &pb.ListReadingsResponse{}
	for _, reading := range f.readings {
		last, _ := strconv.ParseUint(r.GetPageToken(), 10, 64)
		if reading.GetSeq() <= max(r.GetAfterSeq(), last) {
			continue
		}
		if len(answer.GetReadings()) == int(min(cmp.Or(r.GetPageSize(), 2), 2)) { // small pages
			answer.NextPageToken = fmt.Sprint(answer.GetReadings()[len(answer.GetReadings())-1].GetSeq())
			break
		}
		answer.Readings = append(answer.Readings, reading)
	}
	if answer.NextPageToken == "" {
		answer.HistoryHead = &pb.HistoryHead{Line: "gauged-head-1 48213 2026-03-02T07:00:00Z bench-1 9f86d081884c7d65 00"}
	}
	return answer, nil
}

func (f *fakeStation) ListRejects(context.Context, *pb.ListRejectsRequest) (*pb.ListRejectsResponse, error) {
	answer := &pb.ListRejectsResponse{Rejects: []*pb.Reject{
		{Seq: 7, GaugeId: "depth-1", Time: clitest.At(7), Reason: pb.RejectReason_REJECT_REASON_COMMA, Detail: clitest.Tell("a decimal comma where the layout has a point"), Raw: []byte("12,004\r\n")},
	}}
	if f.rejected != nil {
		answer.Rejects = append(answer.Rejects, &pb.Reject{Seq: 49, GaugeId: "depth-1", Time: clitest.At(49), Raw: f.rejected})
	}
	return answer, nil
}

func (f *fakeStation) ListStateChanges(context.Context, *pb.ListStateChangesRequest) (*pb.ListStateChangesResponse, error) {
	return &pb.ListStateChangesResponse{Changes: []*pb.StateChange{
		{Seq: 8, GaugeId: "depth-1", Time: clitest.At(8), State: pb.GaugeState_GAUGE_STATE_FAILED, Reason: clitest.Tell("its adapter was pulled out: plug it in")},
		{Seq: 9, GaugeId: "depth-1", Time: clitest.At(9), State: pb.GaugeState_GAUGE_STATE_LIVE},
	}}, nil
}

func (f *fakeStation) ListJobFacts(context.Context, *pb.ListJobFactsRequest) (*pb.ListJobFactsResponse, error) {
	return &pb.ListJobFactsResponse{Facts: []*pb.JobFact{
		{Seq: 40, Time: clitest.At(0), By: "J. Mercer", Step: &pb.JobFact_Started{Started: &pb.JobStarted{UnitSerial: "TC-0412", ProcedureHash: "3f5a0c9e11d24b7788aa"}}},
		{Seq: 42, Time: clitest.At(3), Step: &pb.JobFact_Taken{Taken: &pb.ReadingTaken{ReadingSeq: 41, Measurement: "depth"}}},
		{Seq: 43, Time: clitest.At(3), Step: &pb.JobFact_Verdict{Verdict: &pb.VerdictReached{Outcome: pb.Outcome_OUTCOME_CONFORMS, Evaluation: clitest.Decision()}}},
		{Seq: 44, Time: clitest.At(4), By: "J. Mercer", Step: &pb.JobFact_Discarded{Discarded: &pb.ReadingDiscarded{ReadingSeq: 41, Reason: "indicator slipped"}}},
		{Seq: 45, Time: clitest.At(5), By: "J. Mercer", Step: &pb.JobFact_Fitted{Fitted: &pb.PartFitted{Part: "R-194", Thickness: clitest.MM("1.938")}}},
	}}, nil
}

func (f *fakeStation) GetFile(_ context.Context, r *pb.GetFileRequest) (*pb.GetFileResponse, error) {
	if r.GetHash() != "3f5a" {
		return nil, status.Errorf(codes.NotFound, "there is no file with the hash %s", r.GetHash())
	}
	return &pb.GetFileResponse{Kind: pb.FileKind_FILE_KIND_PROCEDURE, Id: "output-shaft", Content: []byte("id: output-shaft\n")}, nil
}

func (f *fakeStation) ReplayVerdicts(context.Context, *pb.ReplayVerdictsRequest) (*pb.ReplayVerdictsResponse, error) {
	return f.replay, nil
}

func (f *fakeStation) VerifyHistory(_ context.Context, r *pb.VerifyHistoryRequest) (*pb.VerifyHistoryResponse, error) {
	answer := &pb.VerifyHistoryResponse{ThroughSeq: 48213, Digest: []byte{0x9f, 0x86}, UpgradedThroughSeq: 12}
	if r.GetHead() != "" {
		signed := false
		answer.HeadSigned = &signed
		answer.Difference = &pb.HistoryDifference{Deviation: pb.HistoryDeviation_HISTORY_DEVIATION_CUT_SHORT, Seq: 48214, LastSeq: 50000, Text: "it ends with fact 48213"}
	}
	return answer, nil
}

func (f *fakeStation) BackUpHistory(_ context.Context, r *pb.BackUpHistoryRequest) (*pb.BackUpHistoryResponse, error) {
	f.calls = append(f.calls, "backup "+r.GetPath())
	return &pb.BackUpHistoryResponse{Head: &pb.HistoryHead{Seq: 48213, Line: "gauged-head-1 48213"}, HistoryBytes: 4096}, nil
}

func (f *fakeStation) ReloadProcedures(context.Context, *pb.ReloadProceduresRequest) (*pb.ReloadProceduresResponse, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.calls = append(f.calls, "reload")
	if len(f.calls) > 1 {
		return &pb.ReloadProceduresResponse{}, nil
	}
	return &pb.ReloadProceduresResponse{Changed: []*pb.FileVersion{{Kind: pb.FileKind_FILE_KIND_PART_FAMILY, Id: "rings", Hash: "0123456789abcdef"}}}, nil
}
