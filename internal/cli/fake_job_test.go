package cli

import (
	"cmp"
	"context"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/clitest"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

func (f *fakeStation) StartJob(_ context.Context, r *pb.StartJobRequest) (*pb.StartJobResponse, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.job = clitest.MeasuringJob()
	f.job.UnitSerial, f.job.By, f.job.GaugeIds = r.GetUnitSerial(), r.GetBy(), r.GetGaugeIds()
	f.job.Labels = r.GetLabels()
	f.job.Evaluation.Measurements[0].Readings = nil
	f.job.Evaluation.Measurements[0].Value = nil
	f.job.LastSeq, f.seq = 40, 40
	f.calls = append(f.calls, "start")
	return &pb.StartJobResponse{Job: proto.CloneOf(f.job)}, nil
}

func (f *fakeStation) AcknowledgeCautions(_ context.Context, r *pb.AcknowledgeCautionsRequest) (*pb.AcknowledgeCautionsResponse, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.job.CautionsAcknowledgedBy = cmp.Or(r.GetBy(), f.job.GetBy())
	return &pb.AcknowledgeCautionsResponse{Job: proto.CloneOf(f.job)}, nil
}

func (f *fakeStation) CaptureReading(context.Context, *pb.CaptureReadingRequest) (*pb.CaptureReadingResponse, error) {
	reading := &pb.Reading{}
	j, err := f.change("capture", func(j *pb.Job) error {
		if len(f.shown) == 0 {
			return status.Error(codes.FailedPrecondition, "dial-2 has not given a reading for 3 s: press its button or look at its cable")
		}
		reading.Seq, reading.GaugeId, reading.Value = f.seq+1, show.GaugeOf(j, j.GetMeasuring()), clitest.MM(f.shown[0])
		err := f.take(j, reading.GetGaugeId(), f.shown[0])
		f.shown = f.shown[1:]
		return err
	})
	return &pb.CaptureReadingResponse{Job: j, Reading: reading}, err
}

func (f *fakeStation) EnterReading(_ context.Context, r *pb.EnterReadingRequest) (*pb.EnterReadingResponse, error) {
	if r.GetUnit() != pb.Unit_UNIT_MILLIMETRE {
		return nil, status.Error(codes.InvalidArgument, "the procedure output-shaft is in mm: read the gauge in mm")
	}
	reading := &pb.Reading{Value: clitest.MM(r.GetShown()), By: r.GetBy()}
	j, err := f.change("enter", func(j *pb.Job) error {
		reading.Seq = f.seq + 1
		return f.take(j, "typed", r.GetShown())
	})
	return &pb.EnterReadingResponse{Job: j, Reading: reading}, err
}

func (f *fakeStation) DiscardReading(_ context.Context, r *pb.DiscardReadingRequest) (*pb.DiscardReadingResponse, error) {
	j, err := f.change("discard", func(j *pb.Job) error {
		var last *pb.TakenReading
		for _, m := range j.GetEvaluation().GetMeasurements() {
			for _, reading := range m.GetReadings() {
				if r.GetReadingSeq() == reading.GetSeq() || r.GetReadingSeq() == 0 {
					last = reading
				}
			}
		}
		if last == nil {
			return status.Errorf(codes.NotFound, "job 3 has no reading %d", r.GetReadingSeq())
		}
		last.DiscardReason = r.GetReason()
		f.settle(j)
		return nil
	})
	return &pb.DiscardReadingResponse{Job: j}, err
}

func (f *fakeStation) ChoosePart(_ context.Context, r *pb.ChoosePartRequest) (*pb.ChoosePartResponse, error) {
	j, err := f.change("choose", func(j *pb.Job) error {
		chosen := cmp.Or(r.GetPart(), j.GetEvaluation().GetFits()[0].GetChoice().GetGrade().GetPart())
		j.Stage, j.ChosenParts = pb.JobStage_JOB_STAGE_FIT, []*pb.ChosenPart{{Part: chosen}}
		return nil
	})
	return &pb.ChoosePartResponse{Job: j}, err
}

func (f *fakeStation) RecordFittedPart(_ context.Context, r *pb.RecordFittedPartRequest) (*pb.RecordFittedPartResponse, error) {
	if r.GetValidateOnly() {
		return foretell(r), nil
	}
	j, err := f.change("fit", func(j *pb.Job) error {
		fitted := clitest.VerifyJob().GetEvaluation().GetFits()[0].GetFitted()
		fitted.Part = r.GetPart()
		if len(j.GetChosenParts()) > 0 {
			fitted.Part = cmp.Or(r.GetPart(), j.GetChosenParts()[0].GetPart())
		}
		if r.GetThickness() != "" {
			fitted.Thickness = clitest.MM(r.GetThickness())
		}
		e := j.GetEvaluation()
		e.GetFits()[0].Fitted, e.Verification, e.Findings, j.Verified = fitted, nil, nil, false
		e.Measurements = append(e.GetMeasurements()[:2:2], &pb.Measurement{Name: "play", Repeats: 1, AfterFitting: true})
		e.Outcome, j.Stage, j.Measuring = pb.Outcome_OUTCOME_VERIFY, pb.JobStage_JOB_STAGE_VERIFY, "play"
		return nil
	})
	return &pb.RecordFittedPartResponse{Job: j}, err
}

// foretell expects the recommended ring as thick as it should be.
func foretell(r *pb.RecordFittedPartRequest) *pb.RecordFittedPartResponse {
	fit := &pb.PredictedFit{Part: &pb.FittedPart{Part: r.GetPart()}, Fits: true}
	if r.GetPart() == "R-186" {
		fit.Unexpected, fit.Message = true, clitest.Tell("R-186 of 1.860 mm would leave play 0.140 mm; the probability that it ends inside is 93 %; recommended is R-194")
		fit.Warnings = []*pb.Finding{{Code: "other_part", Message: clitest.Tell("R-186 was fitted, recommended was R-194")}}
	}
	return &pb.RecordFittedPartResponse{Fits: []*pb.PredictedFit{fit}}
}

func (f *fakeStation) VerifyJob(context.Context, *pb.VerifyJobRequest) (*pb.VerifyJobResponse, error) {
	j, err := f.change("verify", func(j *pb.Job) error {
		if j.GetStage() != pb.JobStage_JOB_STAGE_DECIDED {
			return status.Error(codes.FailedPrecondition, "job 3 has no verdict yet: measure play")
		}
		j.Verified = true
		return nil
	})
	return &pb.VerifyJobResponse{Job: j}, err
}

func (f *fakeStation) SetJobAside(_ context.Context, r *pb.SetJobAsideRequest) (*pb.SetJobAsideResponse, error) {
	j, err := f.change("aside", func(j *pb.Job) error {
		j.Stage, j.Measuring = pb.JobStage_JOB_STAGE_ASIDE, ""
		j.Aside = &pb.JobAside{Reason: r.GetReason(), MeantFor: r.GetMeantFor(), By: j.GetBy(), Time: clitest.At(59)}
		return nil
	})
	return &pb.SetJobAsideResponse{Job: j}, err
}

func (f *fakeStation) ResumeJob(_ context.Context, r *pb.ResumeJobRequest) (*pb.ResumeJobResponse, error) {
	j, err := f.change("resume", func(j *pb.Job) error {
		j.By, j.Aside = r.GetBy(), nil
		for measurement, id := range r.GetGaugeIds() {
			j.GaugeIds[measurement] = id
		}
		return nil
	})
	return &pb.ResumeJobResponse{Job: j}, err
}

func (f *fakeStation) SetJobLabels(_ context.Context, r *pb.SetJobLabelsRequest) (*pb.SetJobLabelsResponse, error) {
	j, err := f.change("label", func(j *pb.Job) error {
		j.Labels = r.GetLabels()
		return nil
	})
	return &pb.SetJobLabelsResponse{Job: j}, err
}

func (f *fakeStation) CorrectUnitSerial(_ context.Context, r *pb.CorrectUnitSerialRequest) (*pb.CorrectUnitSerialResponse, error) {
	j, err := f.change("serial", func(j *pb.Job) error {
		j.EarlierUnitSerials, j.UnitSerial = append(j.GetEarlierUnitSerials(), j.GetUnitSerial()), r.GetUnitSerial()
		return nil
	})
	return &pb.CorrectUnitSerialResponse{Job: j}, err
}

func (f *fakeStation) CloseJob(_ context.Context, r *pb.CloseJobRequest) (*pb.CloseJobResponse, error) {
	j, err := f.change("close", func(j *pb.Job) error {
		j.Stage, j.CloseReason, j.CloseTime = pb.JobStage_JOB_STAGE_CLOSED, r.GetReason(), clitest.At(59)
		return nil
	})
	return &pb.CloseJobResponse{Job: j}, err
}

func (f *fakeStation) GetJob(_ context.Context, r *pb.GetJobRequest) (*pb.GetJobResponse, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if r.GetJobId() != f.job.GetId() {
		return nil, status.Errorf(codes.NotFound, "there is no job %d\nlook at the list", r.GetJobId())
	}
	return &pb.GetJobResponse{Job: proto.CloneOf(f.job)}, nil
}

func (f *fakeStation) GetJobDocument(_ context.Context, r *pb.GetJobDocumentRequest) (*pb.GetJobDocumentResponse, error) {
	if r.GetLanguage() == "xx" {
		return nil, status.Error(codes.InvalidArgument, "there is no such language")
	}
	return &pb.GetJobDocumentResponse{MediaType: "application/pdf", FileName: "job-3.pdf", Content: []byte(r.GetForm().String() + " " + r.GetLanguage() + "\xff\n")}, nil
}

func (f *fakeStation) ListJobs(context.Context, *pb.ListJobsRequest) (*pb.ListJobsResponse, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return &pb.ListJobsResponse{Jobs: []*pb.Job{proto.CloneOf(f.job)}}, nil
}

func (f *fakeStation) WatchJob(_ *pb.WatchJobRequest, stream grpc.ServerStreamingServer[pb.WatchJobResponse]) error {
	for {
		f.mu.Lock()
		j, changed := proto.CloneOf(f.job), f.changed
		f.mu.Unlock()
		if err := stream.Send(&pb.WatchJobResponse{Job: j}); err != nil {
			return err
		}
		if j.GetStage() == pb.JobStage_JOB_STAGE_CLOSED {
			return nil
		}
		select {
		case <-changed:
		case <-stream.Context().Done():
			return stream.Context().Err()
		}
	}
}
