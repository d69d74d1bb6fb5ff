package server

import (
	"context"
	"errors"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/server/message"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// jobService runs jobs.
type jobService struct {
	gaugedv1.UnimplementedJobServiceServer
	station *station.Station
	info    Info
}

func (s *jobService) StartJob(ctx context.Context, r *gaugedv1.StartJobRequest) (*gaugedv1.StartJobResponse, error) {
	j, err := s.station.StartJob(ctx, station.StartRequest{
		Procedure: r.GetProcedureId(), UnitSerial: r.GetUnitSerial(), Technician: r.GetBy(), Gauges: r.GetGaugeIds(),
		Labels: r.GetLabels(), Confirmed: r.GetUnitSerialConfirmed(),
	})
	if err != nil {
		return nil, err
	}
	return &gaugedv1.StartJobResponse{Job: message.Job(j)}, nil
}

func (s *jobService) CaptureReading(ctx context.Context, r *gaugedv1.CaptureReadingRequest) (*gaugedv1.CaptureReadingResponse, error) {
	j, f, err := s.station.Capture(ctx, station.CaptureRequest{
		Job: r.GetJobId(), Measurement: r.GetMeasurement(), Gauge: r.GetGaugeId(), By: r.GetBy(),
	})
	if err != nil {
		return nil, err
	}
	return &gaugedv1.CaptureReadingResponse{Job: message.Job(j), Reading: message.Reading(f)}, nil
}

// CaptureMotion tells how far a capture has come, and ends with the job.
func (s *jobService) CaptureMotion(r *gaugedv1.CaptureMotionRequest, stream gaugedv1.JobService_CaptureMotionServer) error {
	ctx, cancel := context.WithCancelCause(stream.Context())
	defer cancel(nil)
	request := station.CaptureRequest{Job: r.GetJobId(), Measurement: r.GetMeasurement(), Gauge: r.GetGaugeId(), By: r.GetBy()}
	if repeated, err := s.repeated(ctx); repeated != nil || err != nil {
		return errors.Join(err, sendJob(stream, repeated))
	}
	j, _, err := s.station.CaptureMotion(ctx, request, func(m station.Motion) {
		progress := &gaugedv1.CaptureMotionResponse_Progress{Progress: message.MotionProgress(m)}
		if err := stream.Send(&gaugedv1.CaptureMotionResponse{Event: progress}); err != nil {
			cancel(err)
		}
	})
	if err != nil {
		return err
	}
	return sendJob(stream, j)
}

// sendJob sends what a capture ends with; nil: nothing.
func sendJob(stream gaugedv1.JobService_CaptureMotionServer, j *job.Job) error {
	if j == nil {
		return nil
	}
	return stream.Send(&gaugedv1.CaptureMotionResponse{Event: &gaugedv1.CaptureMotionResponse_Job{Job: message.Job(j)}})
}

// repeated is the job of a request that was carried out before; nil: it was not.
func (s *jobService) repeated(ctx context.Context) (*job.Job, error) {
	err := s.station.Repeated(ctx)
	repeated := (*station.RepeatedError)(nil)
	if !errors.As(err, &repeated) {
		return nil, err
	}
	stored, err := s.station.StoredBy(ctx, repeated.Request)
	return stored.Job, err
}

func (s *jobService) EnterReading(ctx context.Context, r *gaugedv1.EnterReadingRequest) (*gaugedv1.EnterReadingResponse, error) {
	j, f, err := s.station.Enter(ctx, station.EnterRequest{
		Job: r.GetJobId(), Measurement: r.GetMeasurement(), Shown: r.GetShown(), Unit: wire.FromUnit(r.GetUnit()),
		Instrument: r.GetInstrument(), By: r.GetBy(),
	})
	if err != nil {
		return nil, err
	}
	return &gaugedv1.EnterReadingResponse{Job: message.Job(j), Reading: message.Reading(f)}, nil
}

func (s *jobService) DiscardReading(ctx context.Context, r *gaugedv1.DiscardReadingRequest) (*gaugedv1.DiscardReadingResponse, error) {
	j, err := s.station.Discard(ctx, r.GetJobId(), r.GetReadingSeq(), r.GetReason(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.DiscardReadingResponse{Job: message.Job(j)}, nil
}

func (s *jobService) ChoosePart(ctx context.Context, r *gaugedv1.ChoosePartRequest) (*gaugedv1.ChoosePartResponse, error) {
	j, err := s.station.Choose(ctx, station.ChooseRequest{
		Job: r.GetJobId(), Place: r.GetPlace(), Part: r.GetPart(), Reason: r.GetReason(), By: r.GetBy(),
	})
	if err != nil {
		return nil, err
	}
	return &gaugedv1.ChoosePartResponse{Job: message.Job(j)}, nil
}

// RecordFittedPart says what a part would leave, too, where it is only tried.
func (s *jobService) RecordFittedPart(ctx context.Context, r *gaugedv1.RecordFittedPartRequest) (*gaugedv1.RecordFittedPartResponse, error) {
	fit := station.FitRequest{
		Job: r.GetJobId(), Place: r.GetPlace(), Part: r.GetPart(), Thickness: r.GetThickness(), Unit: wire.FromUnit(r.GetUnit()), By: r.GetBy(),
	}
	answer := &gaugedv1.RecordFittedPartResponse{}
	if r.GetValidateOnly() {
		fits, j, err := s.station.Foretell(ctx, fit)
		if err != nil {
			return nil, err
		}
		answer.Fits = wire.PredictedFits(j.Procedure, fits)
	}
	j, err := s.station.Fit(ctx, fit)
	if err != nil {
		return nil, err
	}
	answer.Job = message.Job(j)
	return answer, nil
}

func (s *jobService) AcknowledgeCautions(ctx context.Context, r *gaugedv1.AcknowledgeCautionsRequest) (*gaugedv1.AcknowledgeCautionsResponse, error) {
	j, err := s.station.Acknowledge(ctx, r.GetJobId(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.AcknowledgeCautionsResponse{Job: message.Job(j)}, nil
}

func (s *jobService) VerifyJob(ctx context.Context, r *gaugedv1.VerifyJobRequest) (*gaugedv1.VerifyJobResponse, error) {
	j, err := s.station.Verify(ctx, r.GetJobId(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.VerifyJobResponse{Job: message.Job(j)}, nil
}

func (s *jobService) BeginRound(ctx context.Context, r *gaugedv1.BeginRoundRequest) (*gaugedv1.BeginRoundResponse, error) {
	j, err := s.station.NextRound(ctx, r.GetJobId(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.BeginRoundResponse{Job: message.Job(j)}, nil
}

func (s *jobService) CloseJob(ctx context.Context, r *gaugedv1.CloseJobRequest) (*gaugedv1.CloseJobResponse, error) {
	j, err := s.station.CloseJob(ctx, r.GetJobId(), r.GetReason(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.CloseJobResponse{Job: message.Job(j)}, nil
}

func (s *jobService) SetJobAside(ctx context.Context, r *gaugedv1.SetJobAsideRequest) (*gaugedv1.SetJobAsideResponse, error) {
	j, err := s.station.SetAside(ctx, r.GetJobId(), r.GetReason(), r.GetMeantFor(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.SetJobAsideResponse{Job: message.Job(j)}, nil
}

func (s *jobService) ResumeJob(ctx context.Context, r *gaugedv1.ResumeJobRequest) (*gaugedv1.ResumeJobResponse, error) {
	j, err := s.station.TakeUp(ctx, station.ResumeRequest{Job: r.GetJobId(), By: r.GetBy(), Gauges: r.GetGaugeIds()})
	if err != nil {
		return nil, err
	}
	return &gaugedv1.ResumeJobResponse{Job: message.Job(j)}, nil
}

func (s *jobService) CorrectUnitSerial(ctx context.Context, r *gaugedv1.CorrectUnitSerialRequest) (*gaugedv1.CorrectUnitSerialResponse, error) {
	j, err := s.station.CorrectSerial(ctx, r.GetJobId(), r.GetUnitSerial(), r.GetReason(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.CorrectUnitSerialResponse{Job: message.Job(j)}, nil
}

func (s *jobService) SetJobLabels(ctx context.Context, r *gaugedv1.SetJobLabelsRequest) (*gaugedv1.SetJobLabelsResponse, error) {
	j, err := s.station.SetLabels(ctx, r.GetJobId(), r.GetLabels(), r.GetReason(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.SetJobLabelsResponse{Job: message.Job(j)}, nil
}

func (s *jobService) GetJob(ctx context.Context, r *gaugedv1.GetJobRequest) (*gaugedv1.GetJobResponse, error) {
	j, err := s.station.Job(ctx, r.GetJobId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.GetJobResponse{Job: message.Job(j)}, nil
}

func (s *jobService) ListJobs(ctx context.Context, r *gaugedv1.ListJobsRequest) (*gaugedv1.ListJobsResponse, error) {
	p, err := onPage(r, usualJobs, mostJobs)
	if err != nil {
		return nil, err
	}
	if err := job.Labels(r.GetLabels()).Possible(); err != nil {
		return nil, err
	}
	q := gauge.JobQuery{
		Open: r.GetOpenOnly(), Aside: r.GetAsideOnly(), Unit: r.GetUnitSerial(), Procedure: r.GetProcedureId(), Outcome: string(wire.FromOutcome(r.GetOutcome())),
		Gauge: r.GetGaugeId(), Labels: r.GetLabels(), By: r.GetBy(), Before: p.number(), Limit: p.limit + 1,
	}
	if q.Outcome == "" && r.GetOutcome() != gaugedv1.Outcome_OUTCOME_UNSPECIFIED {
		return nil, gauge.WrongInput("refusal.list.outcome", gauge.Count("outcome", int32(r.GetOutcome())))
	}
	if q.Times, err = spanOf(r); err != nil {
		return nil, err
	}
	jobs, err := s.station.Jobs(ctx, q)
	if err != nil {
		return nil, err
	}
	if len(jobs) == 0 {
		if err := s.asksOfKnown(ctx, q); err != nil {
			return nil, err
		}
	}
	answer := &gaugedv1.ListJobsResponse{}
	answer.Jobs, answer.NextPageToken = fill(jobs, p, message.Job, func(j *job.Job) uint64 { return j.ID })
	return answer, nil
}

// asksOfKnown refuses a list of the jobs of a gauge or a procedure that is neither there now
// nor in any job.
func (s *jobService) asksOfKnown(ctx context.Context, q gauge.JobQuery) error {
	if q.Gauge != "" && !s.station.Seen(q.Gauge) {
		_, err := s.station.Gauge(q.Gauge)
		if err = s.unlessIn(ctx, gauge.JobQuery{Gauge: q.Gauge, Limit: 1}, err); err != nil {
			return err
		}
	}
	if q.Procedure == "" {
		return nil
	}
	_, _, err := s.station.Library().Procedure(q.Procedure)
	return s.unlessIn(ctx, gauge.JobQuery{Procedure: q.Procedure, Limit: 1}, err)
}

// unlessIn is an error, unless a job is found.
func (s *jobService) unlessIn(ctx context.Context, q gauge.JobQuery, missing error) error {
	if missing == nil {
		return nil
	}
	jobs, err := s.station.Jobs(ctx, q)
	switch {
	case err != nil:
		return err
	case len(jobs) > 0:
		return nil
	}
	return missing
}

// WatchJob sends the job at once and after each change. Several changes in one
// commit, or while the client is slow, come as one.
func (s *jobService) WatchJob(r *gaugedv1.WatchJobRequest, stream gaugedv1.JobService_WatchJobServer) error {
	var sent *job.Job
	for {
		changed := s.station.Changed()
		j, err := s.station.Job(stream.Context(), r.GetJobId())
		if err != nil {
			return err
		}
		if j != sent { // a job never changes: each fact and each notice gives a new one
			if err := stream.Send(&gaugedv1.WatchJobResponse{Job: message.Job(j)}); err != nil {
				return err
			}
			sent = j
		}
		if j.Stage == job.StageClosed {
			return nil
		}
		select {
		case <-changed:
		case <-stream.Context().Done():
			return stream.Context().Err()
		}
	}
}
