package server

import (
	"context"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// studyService studies gauges.
type studyService struct {
	gaugedv1.UnimplementedStudyServiceServer
	station *station.Station
}

func (s *studyService) RecordStudy(ctx context.Context, r *gaugedv1.RecordStudyRequest) (*gaugedv1.RecordStudyResponse, error) {
	request, err := wire.StudyRequest(r.GetInput())
	if err != nil {
		return nil, err
	}
	request.By, request.Remark = r.GetBy(), r.GetRemark()
	make := s.station.RecordStudy
	if r.GetValidateOnly() {
		make = s.station.EvaluateStudy
	}
	record, err := make(ctx, request)
	if err != nil {
		return nil, err
	}
	return &gaugedv1.RecordStudyResponse{Study: wire.Study(record, true)}, nil
}

func (s *studyService) ListStudies(ctx context.Context, r *gaugedv1.ListStudiesRequest) (*gaugedv1.ListStudiesResponse, error) {
	p, span, err := onTimedPage(r)
	if err != nil {
		return nil, err
	}
	kind := wire.FromStudyKind(r.GetKind())
	if kind == "" && r.GetKind() != gaugedv1.StudyKind_STUDY_KIND_UNSPECIFIED {
		return nil, gauge.WrongInput("refusal.list.kind", gauge.Count("kind", int32(r.GetKind())))
	}
	records, err := s.station.Studies(ctx, kind, gauge.Query{Gauge: r.GetGaugeId(), Times: span, After: p.number(), Limit: p.limit + 1})
	if err != nil {
		return nil, err
	}
	answer := &gaugedv1.ListStudiesResponse{}
	answer.Studies, answer.NextPageToken = fill(records, p,
		func(record *health.StudyRecord) *gaugedv1.Study { return wire.Study(record, false) }, func(record *health.StudyRecord) uint64 { return record.Seq })
	return answer, nil
}

func (s *studyService) GetStudy(ctx context.Context, r *gaugedv1.GetStudyRequest) (*gaugedv1.GetStudyResponse, error) {
	record, err := s.station.Study(ctx, r.GetStudySeq())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.GetStudyResponse{Study: wire.Study(record, true)}, nil
}
