package server

import (
	"context"
	"slices"

	"google.golang.org/protobuf/proto"

	"gauged/internal/gauge"
	"gauged/internal/server/message"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// historyService reads the history.
type historyService struct {
	gaugedv1.UnimplementedHistoryServiceServer
	station *station.Station
}

func (s *historyService) ListReadings(ctx context.Context, r *gaugedv1.ListReadingsRequest) (*gaugedv1.ListReadingsResponse, error) {
	readings, next, err := entries(ctx, r, s.station.Readings, message.Reading)
	return &gaugedv1.ListReadingsResponse{Readings: readings, NextPageToken: next, HistoryHead: headAfter(s.station, next)}, err
}

func (s *historyService) ListRejects(ctx context.Context, r *gaugedv1.ListRejectsRequest) (*gaugedv1.ListRejectsResponse, error) {
	rejects, next, err := entries(ctx, r, s.station.Rejects, message.Reject)
	return &gaugedv1.ListRejectsResponse{Rejects: rejects, NextPageToken: next, HistoryHead: headAfter(s.station, next)}, err
}

func (s *historyService) ListStateChanges(ctx context.Context, r *gaugedv1.ListStateChangesRequest) (*gaugedv1.ListStateChangesResponse, error) {
	changes, next, err := entries(ctx, r, s.station.States, message.StateChange)
	return &gaugedv1.ListStateChangesResponse{Changes: changes, NextPageToken: next, HistoryHead: headAfter(s.station, next)}, err
}

// entryRequest asks for entries of the history.
type entryRequest interface {
	listRequest
	timedRequest
	GetGaugeId() string
	GetAfterSeq() uint64
}

// entries returns a page of facts, and what leads to the next one. Long entries make it
// shorter than was asked for.
func entries[M proto.Message](ctx context.Context, r entryRequest,
	read func(context.Context, gauge.Query) ([]gauge.Fact, error), convert func(gauge.Fact) M,
) (messages []M, next string, err error) {
	p, span, err := onTimedPage(r)
	if err != nil {
		return nil, "", err
	}
	facts, err := read(ctx, gauge.Query{Gauge: r.GetGaugeId(), Times: span, After: max(r.GetAfterSeq(), p.number()), Limit: p.limit + 1, Bytes: maxPage})
	if err != nil {
		return nil, "", err
	}
	messages, next = fill(facts, p, convert, numberOf)
	return messages, next, nil
}

func numberOf(f gauge.Fact) uint64 { return f.Seq }

func (s *historyService) ListJobFacts(ctx context.Context, r *gaugedv1.ListJobFactsRequest) (*gaugedv1.ListJobFactsResponse, error) {
	p, span, err := onTimedPage(r)
	if err != nil {
		return nil, err
	}
	facts, err := s.station.JobFacts(ctx, r.GetJobId())
	if err != nil {
		return nil, err
	}
	j, err := s.station.Job(ctx, r.GetJobId())
	if err != nil {
		return nil, err
	}
	after := max(r.GetAfterSeq(), p.number())
	facts = slices.DeleteFunc(facts, func(f gauge.Fact) bool { return f.Seq <= after || !span.Has(f.Job.Time) })
	answer := &gaugedv1.ListJobFactsResponse{}
	answer.Facts, answer.NextPageToken = fill(facts, p, func(f gauge.Fact) *gaugedv1.JobFact { return message.JobFact(j.Procedure, f) }, numberOf)
	answer.HistoryHead = headAfter(s.station, answer.NextPageToken)
	return answer, nil
}

// headAfter is the head of the history after the last page of a list; nil: there are more.
func headAfter(s *station.Station, next string) *gaugedv1.HistoryHead {
	if next != "" {
		return nil
	}
	return wire.Head(s.Head())
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
		JobCount: uint32(replay.Jobs), VerdictCount: uint32(replay.Verdicts), Differences: replay.Differences,
	}, nil
}

func (s *historyService) VerifyHistory(ctx context.Context, r *gaugedv1.VerifyHistoryRequest) (*gaugedv1.VerifyHistoryResponse, error) {
	v, signed, err := s.station.VerifyHistory(ctx, r.GetHead())
	if err != nil {
		return nil, err
	}
	return wire.Verification(v, signed), nil
}

func (s *historyService) BackUpHistory(ctx context.Context, r *gaugedv1.BackUpHistoryRequest) (*gaugedv1.BackUpHistoryResponse, error) {
	head, bytes, err := s.station.BackUpHistory(ctx, r.GetPath())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.BackUpHistoryResponse{Head: wire.Head(head), HistoryBytes: uint64(bytes)}, nil
}
