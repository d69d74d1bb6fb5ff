package server

import (
	"context"

	"gauged/internal/server/message"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

// procedureService shows the procedures in force.
type procedureService struct {
	gaugedv1.UnimplementedProcedureServiceServer
	station *station.Station
}

func (s *procedureService) ListProcedures(context.Context, *gaugedv1.ListProceduresRequest) (*gaugedv1.ListProceduresResponse, error) {
	answer := &gaugedv1.ListProceduresResponse{}
	for _, p := range s.station.Library().Procedures() {
		answer.Procedures = append(answer.Procedures, message.Procedure(p))
	}
	return answer, nil
}

func (s *procedureService) GetProcedure(_ context.Context, r *gaugedv1.GetProcedureRequest) (*gaugedv1.GetProcedureResponse, error) {
	p, f, err := s.station.Library().Procedure(r.GetId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.GetProcedureResponse{Procedure: message.Procedure(p), Parts: message.Family(f)}, nil
}
