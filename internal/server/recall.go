package server

import (
	"context"
	"fmt"

	"gauged/internal/gauge"
	"gauged/internal/server/message"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

func (s *healthService) Recall(ctx context.Context, r *gaugedv1.RecallRequest) (*gaugedv1.RecallResponse, error) {
	request := station.RecallRequest{Gauge: r.GetGaugeId(), Growing: r.GetGrowing()}
	if r.GetSince() != nil {
		request.Since = r.GetSince().AsTime()
	}
	if r.GetError() != "" {
		unit := message.FromUnit(r.GetUnit())
		off, err := gauge.ParseLength(r.GetError(), unit)
		if err != nil {
			return nil, fmt.Errorf("%w: error: %w", station.ErrInput, err)
		}
		if unit.Kind() != gauge.KindLength {
			return nil, fmt.Errorf("%w: error: %v is no unit of length", station.ErrInput, unit)
		}
		request.Error = &off
	}
	recall, err := s.station.Recall(ctx, request)
	if err != nil {
		return nil, err
	}
	return message.Recall(recall, s.unit(r.GetGaugeId())), nil
}
