package station

import (
	"context"
	"slices"

	"gauged/internal/health/drift"
)

// Reviewed says how the error of a gauge moves from check to check, in metres: at
// every point, and at one of them with the checks that it says it from.
type Reviewed struct {
	Gauge  *drift.Gauge // with the advice on intervals
	At     *drift.Review
	Checks []drift.Check
}

// Review reviews a gauge at a point; without a name that is the one that decides. nil
// where the gauge has no checks, or no such point.
func (s *Station) Review(_ context.Context, gaugeID, point string) (*Reviewed, error) {
	h, err := s.Health(gaugeID)
	if err != nil {
		return nil, err
	}
	g := h.trend.reviewed(false)
	if g == nil {
		return nil, nil
	}
	at := g.Decides
	if point != "" {
		at = slices.IndexFunc(g.Points, func(r *drift.Review) bool { return r.Point == point })
	}
	if at < 0 {
		return nil, nil
	}
	return &Reviewed{Gauge: g, At: g.Points[at], Checks: h.trend.series[at].Checks}, nil
}
