package message

import (
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// Reading returns a stored reading; the fact must be one.
func Reading(f gauge.Fact) *gaugedv1.Reading {
	r := f.Reading
	m := &gaugedv1.Reading{
		Seq: f.Seq, GaugeId: r.Gauge, Number: r.Number, Time: wire.Time(r.Time),
		Value: wire.Quantity(r.Value, r.Shown, r.Unit), Status: wire.Status(r.Status), Raw: r.Raw,
		Source: r.Source, SourceSeq: r.SourceSeq, By: r.EnteredBy,
	}
	low, high, interval := strings.Cut(r.Shown, formula.IntervalSign)
	if upper, err := gauge.ParseLength(high, r.Unit); interval && err == nil {
		m.Value, m.Upper = wire.Quantity(r.Value, low, r.Unit), wire.Quantity(upper, high, r.Unit)
	}
	return m
}

// StateChange returns a stored change of a gauge's state; the fact must be one.
func StateChange(f gauge.Fact) *gaugedv1.StateChange {
	return &gaugedv1.StateChange{
		Seq: f.Seq, GaugeId: f.State.Gauge, Time: wire.Time(f.State.Time),
		State: wire.State(f.State.State), Reason: wire.Message(f.State.Reason),
	}
}

// Reject returns a stored rejected frame; the fact must be one.
func Reject(f gauge.Fact) *gaugedv1.Reject {
	r := f.Reject
	return &gaugedv1.Reject{
		Seq: f.Seq, GaugeId: r.Gauge, Time: wire.Time(r.Time),
		Reason: wire.RejectReason(r.Reason), Detail: wire.Message(r.Detail), Raw: r.Raw,
	}
}

// File returns a file version.
func File(f gauge.File) *gaugedv1.GetFileResponse {
	return &gaugedv1.GetFileResponse{Kind: wire.FileKind(f.Kind), Id: f.Name, Content: f.Content, FirstSeenTime: wire.Time(f.Time)}
}

// Gauge returns a gauge as it stands.
func Gauge(g station.GaugeStatus) *gaugedv1.Gauge {
	m := &gaugedv1.Gauge{
		Id: g.ID, Title: g.Title, Connection: g.Connection, Layout: g.Layout, Mode: wire.Mode(g.Mode),
		State: wire.State(g.State), StateSinceTime: wire.Time(g.Since), StateReason: wire.Message(g.Reason), ReadingCount: g.Readings,
	}
	if n := g.Garbled.Frames; n > 0 {
		m.GarbledCount, m.GarbledReason, m.GarbledDetail = n, wire.RejectReason(g.Garbled.Last.Reason), wire.Message(g.Garbled.Last.Detail)
	}
	if g.Outside {
		m.Mode = wire.Mode(wire.ModeOutside)
	}
	if g.Resolution != 0 {
		m.Resolution = wire.Exact(g.Resolution, g.Unit)
	}
	if g.Last.Reading != nil {
		m.LastReading = Reading(g.Last)
	}
	for _, reason := range gauge.Reasons {
		if n := g.Rejected[reason]; n > 0 {
			m.Rejected = append(m.Rejected, &gaugedv1.RejectCount{Reason: wire.RejectReason(reason), Frames: n})
		}
	}
	return m
}
