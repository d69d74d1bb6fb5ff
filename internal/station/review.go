package station

import (
	"context"

	"gauged/internal/health"
	"gauged/internal/health/drift"
)

// Review reviews the checks of a gauge at a point; without a name that is the one that
// decides. nil where the gauge has no checks, or no such point.
func (s *Station) Review(_ context.Context, gaugeID, point string) (*health.Reviewed, error) {
	h, err := s.Health(gaugeID)
	if err != nil {
		return nil, err
	}
	return h.trend.Review(point), nil
}

// Trend says how the error of the gauge moves at each point, without the run lengths
// of the charts, in metres; nil without checks.
func (h *Health) Trend() *drift.Gauge {
	if h.review == nil {
		return nil
	}
	return h.review()
}

// ChartNow reports which charts point at the last check; nil before there is a baseline.
func (h *Health) ChartNow() map[string]bool {
	if g := h.Trend(); g != nil {
		return g.ChartNow()
	}
	return nil
}

// Pointing lists the charts that point at the last check, with their points and why.
func (h *Health) Pointing() []drift.PointSignal {
	if g := h.Trend(); g != nil {
		return g.Pointing()
	}
	return nil
}

// noChecks is why there is neither a rate nor an advice.
const noChecks = "there are no checks"

// Advice is how long until the next check, by the methods of ILAC-G24 / OIML D 10, in
// days and in uses; a use is a job or a check. Of all points the one whose check is
// due first decides. Zero returns end no interval. refused says why a method gives none.
func (h *Health) Advice() (advice []drift.Advice, refused []string) {
	g := h.Trend()
	if g == nil {
		return nil, []string{noChecks}
	}
	return g.Advice, g.AdviceRefused
}
