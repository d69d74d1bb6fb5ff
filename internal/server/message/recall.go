package message

import (
	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

// Recall returns what past verdicts come to; u is the unit of the gauge.
func Recall(r station.Recall, u gauge.Unit) *gaugedv1.RecallResponse {
	m := &gaugedv1.RecallResponse{
		Flipped: uint32(r.Flipped), Undecided: uint32(r.Undecided), Error: exact(r.Error, u), Since: timestamp(r.Since),
	}
	for _, item := range r.Items {
		m.Items = append(m.Items, recallItem(item))
	}
	return m
}

func recallItem(i station.RecallItem) *gaugedv1.RecallItem {
	w := writer{i.Unit, func(l gauge.Length) string { return evaluate.TextIn(l, i.Unit) }}
	return &gaugedv1.RecallItem{
		JobId: i.Job, UnitSerial: i.UnitSerial, Started: timestamp(i.Started), Closed: timestamp(i.Closed),
		Measured: w.optional(i.Measured), Corrected: w.optional(i.Corrected), Allowed: w.limits(i.Allowed),
		Before: Outcome(i.Before), After: Outcome(i.After), Probability: i.Probability,
	}
}
