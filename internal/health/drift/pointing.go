package drift

import "gauged/internal/gauge"

// PointSignal is a chart that points at the last check of a point, and why.
type PointSignal struct {
	Chart string        `json:"chart"`
	Point string        `json:"point,omitempty"` // empty where the points have no names
	What  gauge.Message `json:"what"`
}

// Pointing lists what charts point at now, in the order of the points; those that are
// no longer checked are left out.
func (g *Gauge) Pointing() (all []PointSignal) {
	for _, r := range g.Points {
		if r.LeftOut {
			continue
		}
		var signals []Signal
		if r.Charts != nil && r.Charts.Course[len(r.Charts.Course)-1].Judged {
			signals = append(signals, r.Charts.Signals...)
		}
		if r.Spreads != nil {
			signals = append(signals, r.Spreads.Signals...)
		}
		for _, s := range signals {
			if s.Check >= r.lastFrom {
				all = append(all, PointSignal{s.Chart, r.Point, s.What})
			}
		}
	}
	return all
}

// ToShow is the point whose control charts are shown where none is asked for: the one
// that decides, and where its charts are calm the first whose charts point at something.
func (g *Gauge) ToShow() *Review {
	signals := g.Pointing()
	if len(signals) == 0 || g.Worst().Pointed() {
		return g.Worst()
	}
	for _, r := range g.Points {
		if r.Point == signals[0].Point {
			return r
		}
	}
	return g.Worst()
}
