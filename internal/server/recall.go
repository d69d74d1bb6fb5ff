package server

import (
	"context"
	"slices"

	"google.golang.org/grpc"

	"gauged/internal/gauge"
	"gauged/internal/health/recall"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// recallPart is how many jobs are sent in one message: about a megabyte.
const recallPart = 4000

func (s *healthService) Recall(r *gaugedv1.RecallRequest, stream grpc.ServerStreamingServer[gaugedv1.RecallResponse]) error {
	answer, err := s.recall(stream.Context(), r)
	if err != nil {
		return err
	}
	items := answer.GetItems()
	answer.Items = nil
	for chunk := range slices.Chunk(items, recallPart) {
		answer.Items = chunk
		if err := stream.Send(answer); err != nil {
			return err
		}
		answer = &gaugedv1.RecallResponse{}
	}
	if len(items) > 0 {
		return nil
	}
	return stream.Send(answer)
}

func (s *healthService) recall(ctx context.Context, r *gaugedv1.RecallRequest) (*gaugedv1.RecallResponse, error) {
	request := recall.Request{Gauge: r.GetGaugeId()}
	switch {
	case r.GetFromWork() && r.GetGrowing():
		return nil, gauge.WrongInput("refusal.recall.growing-from-work")
	case r.GetFromWork():
		request.Model = recall.CourseFromWork
	case r.GetGrowing():
		request.Model = recall.CourseGrowing
	}
	if r.GetSinceTime() != nil {
		if r.GetSinceTime().CheckValid() != nil {
			return nil, gauge.WrongInput("refusal.list.time", gauge.Text("field", "since_time"))
		}
		request.Since = r.GetSinceTime().AsTime()
	}
	var err error
	if request.Error, err = recallLength("error", r.GetError(), r.GetUnit()); err != nil {
		return nil, err
	}
	if request.Standard, err = recallLength("standard uncertainty", r.GetStandardUncertainty(), r.GetUnit()); err != nil {
		return nil, err
	}
	if request.Points, err = wire.FromRecallPoints(r.GetPoints()); err != nil {
		return nil, err
	}
	recall, err := s.station.Recall(ctx, request)
	if err != nil {
		return nil, err
	}
	return wire.Recall(recall, s.unit(r.GetGaugeId())), nil
}

// recallLength reads a length; nil when none is given.
func recallLength(name, text string, u gaugedv1.Unit) (*gauge.Length, error) {
	if text == "" {
		return nil, nil
	}
	unit := wire.FromUnit(u)
	l, err := gauge.ParseLength(text, unit)
	if err != nil {
		return nil, gauge.WrongInput("refusal.recall.field", gauge.Text("field", name), gauge.Because("why", err))
	}
	if unit.Kind() != gauge.KindLength {
		return nil, gauge.WrongInput("refusal.recall.unit", gauge.Text("field", name), gauge.Text("unit", unit.String()))
	}
	return &l, nil
}
