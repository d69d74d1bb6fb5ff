package station

import (
	"context"

	"gauged/internal/health"
)

// Review reviews the checks of a gauge at a point; without a name that is the one that
// decides. nil where the gauge has no checks, or no such point.
func (s *Station) Review(_ context.Context, gaugeID, point string) (*health.Reviewed, error) {
	h, err := s.Health(gaugeID)
	if err != nil {
		return nil, err
	}
	return h.Review(point), nil
}
