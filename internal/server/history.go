package server

import (
	"context"
	"slices"

	"google.golang.org/protobuf/proto"

	"gauged/internal/gauge"
	"gauged/internal/server/message"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

// historyService reads the history.
type historyService struct {
	gaugedv1.UnimplementedHistoryServiceServer
	station *station.Station
}

func (s *historyService) ListReadings(ctx context.Context, r *gaugedv1.ListReadingsRequest) (*gaugedv1.ListReadingsResponse, error) {
	readings, next, err := page(ctx, r, s.station.Readings, message.Reading)
	return &gaugedv1.ListReadingsResponse{Readings: readings, NextAfterSeq: next}, err
}

func (s *historyService) ListRejects(ctx context.Context, r *gaugedv1.ListRejectsRequest) (*gaugedv1.ListRejectsResponse, error) {
	rejects, next, err := page(ctx, r, s.station.Rejects, message.Reject)
	return &gaugedv1.ListRejectsResponse{Rejects: rejects, NextAfterSeq: next}, err
}

// pageRequest is what both kinds of page are asked for with.
type pageRequest interface {
	GetGaugeId() string
	GetAfterSeq() uint64
	GetLimit() uint32
}

// page returns a page of facts, and where the next one begins: 0 when there is
// none. Long entries make it shorter than was asked for.
func page[M proto.Message](ctx context.Context, r pageRequest,
	read func(ctx context.Context, gaugeID string, after uint64, limit int) ([]gauge.Fact, error), convert func(gauge.Fact) M,
) (messages []M, next uint64, err error) {
	p := onPage(r.GetLimit(), usualPage, mostOnPage)
	facts, err := read(ctx, r.GetGaugeId(), r.GetAfterSeq(), p.limit+1)
	if err != nil {
		return nil, 0, err
	}
	messages, next = fill(facts, p, convert, numberOf)
	return messages, next, nil
}

func numberOf(f gauge.Fact) uint64 { return f.Seq }

func (s *historyService) ListJobFacts(ctx context.Context, r *gaugedv1.ListJobFactsRequest) (*gaugedv1.ListJobFactsResponse, error) {
	facts, err := s.station.JobFacts(ctx, r.GetJobId())
	if err != nil {
		return nil, err
	}
	from := slices.IndexFunc(facts, func(f gauge.Fact) bool { return f.Seq > r.GetAfterSeq() })
	answer := &gaugedv1.ListJobFactsResponse{}
	if from >= 0 {
		answer.Facts, answer.NextAfterSeq = fill(facts[from:], onPage(r.GetLimit(), usualPage, mostOnPage), message.JobFact, numberOf)
	}
	return answer, nil
}

func (s *historyService) GetFile(ctx context.Context, r *gaugedv1.GetFileRequest) (*gaugedv1.GetFileResponse, error) {
	f, err := s.station.File(ctx, r.GetHash())
	if err != nil {
		return nil, err
	}
	return message.File(f), nil
}

func (s *historyService) ReplayVerdicts(ctx context.Context, r *gaugedv1.ReplayVerdictsRequest) (*gaugedv1.ReplayVerdictsResponse, error) {
	replay, err := s.station.ReplayVerdicts(ctx, r.GetJobId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.ReplayVerdictsResponse{
		Jobs: uint32(replay.Jobs), Verdicts: uint32(replay.Verdicts), Differences: replay.Differences,
	}, nil
}
