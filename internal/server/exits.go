package server

import (
	"context"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/exits"
	"gauged/internal/server/message"
)

// exitService leads what is handed on to other systems.
type exitService struct {
	gaugedv1.UnimplementedExitServiceServer
	exits *exits.Exits
}

func (s *exitService) ListExits(_ context.Context, r *gaugedv1.ListExitsRequest) (*gaugedv1.ListExitsResponse, error) {
	p, err := onPage(r, usualPage, mostOnPage)
	if err != nil {
		return nil, err
	}
	id := func(e exits.Status) string { return e.ID }
	all, err := rest(s.exits.All(), p, id)
	if err != nil {
		return nil, err
	}
	answer := &gaugedv1.ListExitsResponse{}
	answer.Exits, answer.NextPageToken = fill(all, p, message.Exit, id)
	return answer, nil
}

func (s *exitService) PauseExit(ctx context.Context, r *gaugedv1.PauseExitRequest) (*gaugedv1.PauseExitResponse, error) {
	status, err := s.exits.Pause(ctx, r.GetExitId(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.PauseExitResponse{Exit: message.Exit(status)}, nil
}

func (s *exitService) ResumeExit(ctx context.Context, r *gaugedv1.ResumeExitRequest) (*gaugedv1.ResumeExitResponse, error) {
	status, err := s.exits.Resume(ctx, r.GetExitId(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.ResumeExitResponse{Exit: message.Exit(status)}, nil
}

func (s *exitService) ListDeadLetters(ctx context.Context, r *gaugedv1.ListDeadLettersRequest) (*gaugedv1.ListDeadLettersResponse, error) {
	p, err := onPage(r, usualPage, mostOnPage)
	if err != nil {
		return nil, err
	}
	letters, err := s.exits.Letters(ctx, r.GetExitId(), p.number(), p.limit+1)
	if err != nil {
		return nil, err
	}
	answer := &gaugedv1.ListDeadLettersResponse{}
	answer.DeadLetters, answer.NextPageToken = fill(letters, p, message.DeadLetter, func(l exits.Dead) uint64 { return l.Seq })
	return answer, nil
}

func (s *exitService) SendDeadLetters(ctx context.Context, r *gaugedv1.SendDeadLettersRequest) (*gaugedv1.SendDeadLettersResponse, error) {
	n, err := s.exits.SendAgain(ctx, r.GetExitId(), r.GetSeqs(), r.GetBy())
	return &gaugedv1.SendDeadLettersResponse{Count: n}, err
}
