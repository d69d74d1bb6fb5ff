package health

import (
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
func (t *Trend) Review(point string) *Reviewed {
	g := t.Gauge(false)
	if g == nil {
		return nil
	}
	at := g.Decides
	if point != "" {
		at = slices.IndexFunc(g.Points, func(r *drift.Review) bool { return r.Point == point })
	}
	if at < 0 {
		return nil
	}
	return &Reviewed{Gauge: g, At: g.Points[at], Checks: t.series[at].Checks}
}
