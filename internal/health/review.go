package health

import (
	"slices"
	"sync/atomic"

	"gauged/internal/gauge"
	"gauged/internal/health/drift"
)

// Reviewed says how the error of a gauge moves from check to check, in metres: at
// every point, and at one of them with the checks that it says it from.
type Reviewed struct {
	Gauge  *drift.Gauge // with the advice on intervals
	At     *drift.Review
	Checks []drift.Check
	Others []drift.Series // the other points that are still checked, with their checks
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
	reviewed := &Reviewed{Gauge: g, At: g.Points[at], Checks: t.series[at].Checks}
	for i, s := range t.series {
		if i != at && !g.Points[i].LeftOut {
			reviewed.Others = append(reviewed.Others, s)
		}
	}
	return reviewed
}

// review is what a trend says, computed when it is first asked for. Who asks at the same
// time computes the same.
type review struct {
	of   *Trend
	said atomic.Pointer[drift.Gauge]
}

func (r *review) says() *drift.Gauge {
	if said := r.said.Load(); said != nil {
		return said
	}
	said := r.of.Gauge(true)
	r.said.Store(said)
	return said
}

// Review reviews the checks of the gauge at a point, as Trend.Review does.
func (h *Gauge) Review(point string) *Reviewed { return h.trend.Review(point) }

// Uses are how much the gauge had been used at each of its checks that count, by their
// numbers in the history.
func (h *Gauge) Uses() map[uint64]float64 { return h.trend.Uses() }

// Trend says how the error of the gauge moves at each point, without the run lengths
// of the charts, in metres; nil without checks.
func (h *Gauge) Trend() *drift.Gauge {
	if h.review == nil {
		return nil
	}
	return h.review.says()
}

// ChartNow reports which charts point at the last check; nil before there is a baseline.
func (h *Gauge) ChartNow() map[string]bool {
	if g := h.Trend(); g != nil {
		return g.ChartNow()
	}
	return nil
}

// Pointing lists the charts that point at the last check, with their points and why.
func (h *Gauge) Pointing() []drift.PointSignal {
	if g := h.Trend(); g != nil {
		return g.Pointing()
	}
	return nil
}

// noChecks is why there is neither a rate nor an advice.
var noChecks = gauge.Say("trend.no_checks")

// Advice is how long until the next check, by the methods of ILAC-G24 / OIML D 10, in
// days and in uses; a use is a job or a check. Of all points the one whose check is
// due first decides. Zero returns end no interval. refused says why a method gives none.
func (h *Gauge) Advice() (advice []drift.Advice, refused []gauge.Message) {
	g := h.Trend()
	if g == nil {
		return nil, []gauge.Message{noChecks}
	}
	return g.Advice, g.AdviceRefused
}
