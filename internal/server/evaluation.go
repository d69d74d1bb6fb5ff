package server

import (
	"context"
	"slices"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/station"
	"gauged/internal/wire"
)

// evaluationService evaluates readings that are given, or streamed.
type evaluationService struct {
	gaugedv1.UnimplementedEvaluationServiceServer
	station *station.Station
	intake  *intake
}

// Evaluate computes from the given readings alone, and from what is known of the gauges now.
func (s *evaluationService) Evaluate(ctx context.Context, r *gaugedv1.EvaluateRequest) (*gaugedv1.EvaluateResponse, error) {
	p, family, err := s.station.Library().Procedure(r.GetProcedureId())
	if err != nil {
		return nil, err
	}
	in, err := input(p, r)
	if err != nil {
		return nil, err
	}
	if in.Bound, in.Gauges, err = s.station.Bind(ctx, p, r.GetGaugeIds()); err != nil {
		return nil, err
	}
	e, err := evaluate.Evaluate(p, family, in)
	if err != nil {
		return nil, gauge.WrongInput("refusal.evaluate.impossible", gauge.Because("why", err))
	}
	return &gaugedv1.EvaluateResponse{Evaluation: wire.Evaluation(p, e)}, nil
}

func input(p *procedure.Procedure, r *gaugedv1.EvaluateRequest) (compute.Input, error) {
	var in compute.Input
	for i, given := range r.GetReadings() {
		unit := wire.FromUnit(given.GetUnit())
		reading, err := p.Typed(given.GetMeasurement(), given.GetShown(), unit)
		if err != nil {
			return in, gauge.WrongInput("refusal.evaluate.reading", gauge.Count("number", i+1), gauge.Because("why", err))
		}
		reading.Discarded = given.GetDiscardReason()
		reading.Gauge = given.GetInstrument()
		in.Readings = append(in.Readings, reading)
	}
	for _, given := range r.GetFitted() {
		f, err := fitted(p, given.GetPlace(), given.GetPart(), given.GetThickness())
		if err != nil {
			return in, err
		}
		in.Fitted = append(in.Fitted, f)
	}
	return in, nil
}

// fitted reads what was fitted at a place.
func fitted(p *procedure.Procedure, place, part, thickness string) (procedure.Fitted, error) {
	f := procedure.Fitted{Place: place, Part: part}
	_, known := p.PlaceNamed(place)
	switch {
	case !p.ChoosesPart():
		return f, gauge.WrongInput("refusal.part.no-place", gauge.Text("procedure", p.ID))
	case !known:
		return f, gauge.WrongInput("refusal.evaluate.place", gauge.Text("procedure", p.ID), gauge.Text("place", place))
	case part == "":
		return f, gauge.WrongInput("refusal.evaluate.which-part")
	case thickness == "":
		return f, nil
	}
	l, err := gauge.ParseLength(thickness, p.Unit)
	if err != nil {
		return f, gauge.WrongInput("refusal.part.thickness", gauge.Because("why", err))
	}
	if l <= 0 {
		return f, gauge.WrongInput("refusal.part.too-thin", gauge.Shown("thickness", thickness, p.Unit))
	}
	f.Thickness = &l
	return f, nil
}

// StreamEvaluations takes readings like IngestReadings. Besides it sends each
// open job that one of the stream's gauges belongs to: as it stands when the
// gauge's first reading of this stream is stored, and after each change.
func (s *evaluationService) StreamEvaluations(stream gaugedv1.EvaluationService_StreamEvaluationsServer) error {
	acknowledge := func(a *gaugedv1.IngestReadingsResponse) error {
		return stream.Send(&gaugedv1.StreamEvaluationsResponse{Event: &gaugedv1.StreamEvaluationsResponse_Acknowledged{Acknowledged: a}})
	}
	jobs := &followedJobs{station: s.station, gauges: map[string]bool{}, sent: map[uint64]uint64{}}
	return s.intake.take(stream.Context(), func() (batch, error) { return stream.Recv() }, acknowledge, &following{
		changed: s.station.Changed,
		stored:  jobs.add,
		send: func(ctx context.Context) error {
			changed, err := jobs.news(ctx)
			if err != nil {
				return err
			}
			for _, j := range changed {
				e := &gaugedv1.JobEvaluation{JobId: j.ID, Evaluation: wire.Evaluation(j.Procedure, j.Evaluation)}
				if err := stream.Send(&gaugedv1.StreamEvaluationsResponse{Event: &gaugedv1.StreamEvaluationsResponse_Evaluation{Evaluation: e}}); err != nil {
					return err
				}
			}
			return nil
		},
	})
}

// followedJobs are the open jobs of the gauges that one stream feeds.
type followedJobs struct {
	station *station.Station
	gauges  map[string]bool
	sent    map[uint64]uint64 // number of the last change that was sent, by job
}

func (f *followedJobs) add(readings []station.Ingested) {
	for _, r := range readings {
		f.gauges[r.Gauge] = true
	}
}

// news returns the jobs that have changed since they were sent. A job that was
// closed comes a last time, as it ended.
func (f *followedJobs) news(ctx context.Context) ([]*job.Job, error) {
	open := f.station.Open()
	for id := range f.sent {
		if slices.ContainsFunc(open, func(j *job.Job) bool { return j.ID == id }) {
			continue
		}
		j, err := f.station.Job(ctx, id)
		if err != nil {
			return nil, err
		}
		open = append(open, j)
	}
	var changed []*job.Job
	for _, j := range open {
		if f.feeds(j) && f.sent[j.ID] < j.LastSeq {
			f.sent[j.ID] = j.LastSeq
			changed = append(changed, j)
		}
		if j.Stage == job.StageClosed {
			delete(f.sent, j.ID)
		}
	}
	return changed, nil
}

func (f *followedJobs) feeds(j *job.Job) bool {
	for _, id := range j.Gauges {
		if f.gauges[id] {
			return true
		}
	}
	return false
}
