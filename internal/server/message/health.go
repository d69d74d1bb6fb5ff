package message

import (
	"maps"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/drift"
	"gauged/internal/health/jobs"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

var standings = []wire.Pair[health.Standing, gaugedv1.Standing]{
	wire.Means(health.Standing(""), gaugedv1.Standing_STANDING_UNSPECIFIED),
	wire.Means(health.InService, gaugedv1.Standing_STANDING_IN_SERVICE),
	wire.Means(health.Suspect, gaugedv1.Standing_STANDING_SUSPECT),
	wire.Means(health.Away, gaugedv1.Standing_STANDING_OUT_FOR_CALIBRATION),
	wire.Means(health.Retired, gaugedv1.Standing_STANDING_RETIRED),
	wire.Means(health.Unknown, gaugedv1.Standing_STANDING_UNKNOWN),
}

// Standing returns whether a gauge may be used.
func Standing(s health.Standing) gaugedv1.Standing { return wire.Contract(standings, s) }

// FromStanding is the reverse; a word that is not known is empty.
func FromStanding(s gaugedv1.Standing) health.Standing {
	standing, _ := wire.Own(standings, s)
	return standing
}

// StandingChange returns a change of the standing of a gauge.
func StandingChange(gaugeID string, c health.StandingChange) *gaugedv1.StandingChange {
	return &gaugedv1.StandingChange{GaugeId: gaugeID, Seq: c.Seq, Time: wire.Time(c.Time), By: c.By, Standing: Standing(c.Standing), Reason: wire.Message(c.Why)}
}

// Health returns how far a gauge can be trusted, as of now.
func Health(gaugeID string, h *health.Gauge, u gauge.Unit, now time.Time) *gaugedv1.GaugeHealth {
	m := &gaugedv1.GaugeHealth{
		GaugeId: gaugeID, Standing: Standing(h.Standing), StandingReason: wire.Message(h.Why), StandingSinceTime: wire.Time(h.Since),
		Plan: wire.Plan(h.Plan, u), Overdue: h.Overdue(now), DueReason: wire.Message(h.DueNow(gaugeID, now)), CheckCount: uint64(h.Checks),
		RecallReason: wire.Message(h.RecallWanted(gaugeID)),
	}
	if due := h.Due(); due.Unix() > 0 {
		m.DueTime = wire.Time(due)
	}
	if s := h.ToRecall(); s != nil {
		m.RecallCheckSeq = s.Seq
	}
	if h.Last != nil {
		m.LastCheck = wire.Check(h.Last, u)
	}
	if h.LastZero != nil {
		m.LastZeroReturn = wire.Check(h.LastZero, u)
	}
	for _, name := range slices.Sorted(maps.Keys(h.ChartNow())) {
		m.Charts = append(m.Charts, wire.Chart(name))
	}
	for _, s := range h.Pointing() {
		m.Signals = append(m.Signals, &gaugedv1.ChartSignal{Chart: wire.Chart(s.Chart), Point: s.Point, What: wire.Message(s.What)})
	}
	m.JobsSinceCheck = uint64(h.Use.SinceCheck())
	advice, without := h.Advice()
	for _, a := range advice {
		m.Advice = append(m.Advice, wire.Advice(a))
	}
	m.AdviceRefused = wire.Messages(without)
	if trend := h.Trend(); trend != nil {
		addRate(m, trend.Worst(), u)
	} else {
		m.RateRefused = wire.Message(without[0])
	}
	return m
}

// addRate adds how the error moves at the master that decides.
func addRate(m *gaugedv1.GaugeHealth, worst *drift.Review, u gauge.Unit) {
	rate := worst.ByTime
	if rate == nil {
		m.RateRefused = wire.Message(worst.ByTimeRefused)
		return
	}
	m.Rate = &gaugedv1.DriftRate{Point: worst.Point, RatePerDay: wire.Estimate(rate.Rate, u), StandardErrorPerDay: wire.Estimate(rate.RateError, u), Significant: rate.Significant, Doubt: wire.Message(rate.Doubt)}
	if reach := rate.Reach; reach != nil && reach.Significant {
		m.Rate.LimitReachedTime, m.Rate.LimitReachedEarlyTime = wire.Time(worst.Date(reach.X)), wire.Time(worst.Date(reach.Early))
	}
}

// WorkError returns the error of a gauge as the jobs show it, in a unit.
func WorkError(w jobs.WorkError, u gauge.Unit) *gaugedv1.WorkError {
	return &gaugedv1.WorkError{Error: wire.Estimate(w.Error, u), StandardUncertainty: wire.Estimate(w.Standard, u), Alarm: w.Alarm, SuspectGaugeIds: w.Suspects}
}

// UnitOf is that in which the lengths of a gauge are shown.
func UnitOf(s *station.Station, id string) gauge.Unit {
	if g, err := s.Gauge(id); err == nil {
		return g.Unit
	}
	return gauge.UnitUnknown
}
