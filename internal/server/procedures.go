package server

import (
	"context"
	"slices"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// procedureService shows the procedures in force.
type procedureService struct {
	gaugedv1.UnimplementedProcedureServiceServer
	station *station.Station
	files   Files
}

func (s *procedureService) ListProcedures(_ context.Context, r *gaugedv1.ListProceduresRequest) (*gaugedv1.ListProceduresResponse, error) {
	p, err := onPage(r, usualPage, mostOnPage)
	if err != nil {
		return nil, err
	}
	all := s.station.Library().Procedures() // by id; one that is gone since ends no list
	all = slices.DeleteFunc(slices.Clone(all), func(x *procedure.Procedure) bool { return x.ID <= p.after })
	answer := &gaugedv1.ListProceduresResponse{}
	answer.Procedures, answer.NextPageToken = fill(all, p, wire.Procedure, func(x *procedure.Procedure) string { return x.ID })
	return answer, nil
}

func (s *procedureService) GetProcedure(_ context.Context, r *gaugedv1.GetProcedureRequest) (*gaugedv1.GetProcedureResponse, error) {
	p, f, err := s.station.Library().Procedure(r.GetProcedureId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.GetProcedureResponse{Procedure: wire.Procedure(p), PartFamilies: wire.Families(p, f)}, nil
}

func (s *procedureService) ReloadProcedures(ctx context.Context, _ *gaugedv1.ReloadProceduresRequest) (*gaugedv1.ReloadProceduresResponse, error) {
	if s.files == nil {
		return nil, gauge.Refused("refusal.files.no-files")
	}
	changed, err := s.files.Reload(ctx)
	if err != nil {
		return nil, err
	}
	answer := &gaugedv1.ReloadProceduresResponse{}
	for _, f := range changed {
		answer.Changed = append(answer.Changed, &gaugedv1.FileVersion{Kind: wire.FileKind(f.Kind), Id: f.ID, Hash: f.Hash})
	}
	return answer, nil
}
