package server

import (
	"context"
	"encoding/hex"
	"slices"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/server/message"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// longestID is how many characters the id of a request may have.
const longestID = 64

// asked takes up how a call is made: for trial, or under the id of its request.
func asked(ctx context.Context, method string, request any) (context.Context, error) {
	if r, ok := request.(interface{ GetValidateOnly() bool }); ok && r.GetValidateOnly() {
		return station.Trial(ctx), nil
	}
	r, ok := request.(interface {
		proto.Message
		GetRequestId() string
	})
	if !ok || r.GetRequestId() == "" {
		return ctx, nil
	}
	id := r.GetRequestId()
	if len(id) > longestID || strings.ContainsFunc(id, func(c rune) bool { return c <= ' ' || c > '~' }) {
		return ctx, gauge.WrongInput("refusal.request.id", gauge.Text("id", id), gauge.Count("most", longestID))
	}
	sum, err := sumOf(method, r, "request_id")
	if err != nil {
		return ctx, gauge.AsInput(err)
	}
	return station.Under(ctx, id, hex.EncodeToString(sum[:])), nil
}

// again answers a request that was carried out before, with what it stored as that stands
// now.
func (s *Server) again(ctx context.Context, request any, r gauge.Request) (any, error) {
	stored, err := s.station.StoredBy(ctx, r)
	if err != nil {
		return nil, err
	}
	if stored.Job != nil {
		if answer := jobAgain(request, message.Job(stored.Job), stored); answer != nil {
			return answer, nil
		}
	}
	if stored.Gauge != "" {
		if answer, err := s.gaugeAgain(ctx, request, stored); answer != nil || err != nil {
			return answer, err
		}
	}
	if _, ok := request.(*gaugedv1.ReloadProceduresRequest); ok {
		answer := &gaugedv1.ReloadProceduresResponse{}
		for _, f := range stored.Facts {
			if f.Release != nil {
				answer.Changed = append(answer.Changed, &gaugedv1.FileVersion{Kind: wire.FileKind(f.Release.Kind), Id: f.Release.Name, Hash: f.Release.Hash})
			}
		}
		return answer, nil
	}
	return nil, refused(codes.Internal, gauge.Say("refusal.request.no-answer", gauge.Text("id", r.ID), gauge.Count("first", r.First), gauge.Count("last", r.Last)))
}

func jobAgain(request any, j *gaugedv1.Job, stored station.Stored) any {
	switch request.(type) {
	case *gaugedv1.StartJobRequest:
		return &gaugedv1.StartJobResponse{Job: j}
	case *gaugedv1.AcknowledgeCautionsRequest:
		return &gaugedv1.AcknowledgeCautionsResponse{Job: j}
	case *gaugedv1.CaptureReadingRequest:
		return &gaugedv1.CaptureReadingResponse{Job: j, Reading: message.Reading(stored.Reading)}
	case *gaugedv1.EnterReadingRequest:
		return &gaugedv1.EnterReadingResponse{Job: j, Reading: message.Reading(stored.Reading)}
	case *gaugedv1.DiscardReadingRequest:
		return &gaugedv1.DiscardReadingResponse{Job: j}
	case *gaugedv1.ChoosePartRequest:
		return &gaugedv1.ChoosePartResponse{Job: j}
	case *gaugedv1.RecordFittedPartRequest:
		return &gaugedv1.RecordFittedPartResponse{Job: j}
	case *gaugedv1.VerifyJobRequest:
		return &gaugedv1.VerifyJobResponse{Job: j}
	case *gaugedv1.BeginRoundRequest:
		return &gaugedv1.BeginRoundResponse{Job: j}
	case *gaugedv1.SetJobAsideRequest:
		return &gaugedv1.SetJobAsideResponse{Job: j}
	case *gaugedv1.ResumeJobRequest:
		return &gaugedv1.ResumeJobResponse{Job: j}
	case *gaugedv1.CorrectUnitSerialRequest:
		return &gaugedv1.CorrectUnitSerialResponse{Job: j}
	case *gaugedv1.SetJobLabelsRequest:
		return &gaugedv1.SetJobLabelsResponse{Job: j}
	case *gaugedv1.CloseJobRequest:
		return &gaugedv1.CloseJobResponse{Job: j}
	}
	return nil
}

func (s *Server) gaugeAgain(ctx context.Context, request any, stored station.Stored) (any, error) {
	service := &healthService{station: s.station}
	first := stored.Facts[slices.IndexFunc(stored.Facts, func(f gauge.Fact) bool { return f.Gauge != nil })].Seq
	switch request.(type) {
	case *gaugedv1.BeginCheckRequest:
		return &gaugedv1.BeginCheckResponse{BegunSeq: first}, nil
	case *gaugedv1.LeaveCheckRequest:
		return &gaugedv1.LeaveCheckResponse{Count: uint32(stored.Left)}, nil
	case *gaugedv1.RecordStudyRequest:
		record, err := s.station.Study(ctx, first)
		if err != nil {
			return nil, err
		}
		return &gaugedv1.RecordStudyResponse{Study: wire.Study(record, true)}, nil
	}
	h, err := service.health(ctx, stored.Gauge)
	if err != nil {
		return nil, err
	}
	switch request.(type) {
	case *gaugedv1.VoidCheckRequest:
		return &gaugedv1.VoidCheckResponse{Gauge: h}, nil
	case *gaugedv1.DecideRecallRequest:
		return &gaugedv1.DecideRecallResponse{Gauge: h}, nil
	case *gaugedv1.SetStandingRequest:
		return &gaugedv1.SetStandingResponse{Gauge: h}, nil
	}
	checks, err := s.station.AllChecks(ctx, stored.Gauge)
	if err != nil {
		return nil, err
	}
	var made []*gaugedv1.MasterCheck // in the order in which they were stored
	for _, f := range stored.Facts {
		if f.Gauge != nil && f.Gauge.Kind == health.KindChecked {
			i := slices.IndexFunc(checks, func(c *check.Record) bool { return c.Seq == f.Seq })
			made = append(made, wire.Check(checks[i], service.unit(stored.Gauge)))
		}
	}
	switch request.(type) {
	case *gaugedv1.RecordCheckRequest:
		return &gaugedv1.RecordCheckResponse{Check: made[0], Gauge: h}, nil
	case *gaugedv1.RecordZeroReturnRequest:
		return &gaugedv1.RecordZeroReturnResponse{Check: made[0], Gauge: h}, nil
	case *gaugedv1.ImportChecksRequest:
		return &gaugedv1.ImportChecksResponse{Checks: made, Gauge: h}, nil
	}
	return nil, nil
}
