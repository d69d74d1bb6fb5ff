package message

import (
	"gauged/internal/evaluate"
	"gauged/internal/fleet/recall"
	"gauged/internal/gauge"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

var errorModels = []pair[station.ErrorModel, gaugedv1.RecallModel]{
	{"", gaugedv1.RecallModel_RECALL_MODEL_UNSPECIFIED},
	{station.ErrorConstant, gaugedv1.RecallModel_RECALL_MODEL_CONSTANT},
	{station.ErrorGrowing, gaugedv1.RecallModel_RECALL_MODEL_GROWING},
	{station.ErrorFromWork, gaugedv1.RecallModel_RECALL_MODEL_FROM_WORK},
}

var recallChanges = []pair[recall.Change, gaugedv1.RecallChange]{
	{recall.Flipped, gaugedv1.RecallChange_RECALL_CHANGE_TURNED},
	{recall.Doubtful, gaugedv1.RecallChange_RECALL_CHANGE_UNDECIDED},
	{recall.Kept, gaugedv1.RecallChange_RECALL_CHANGE_KEPT},
}

// Recall returns what past verdicts come to; u is the unit of the gauge. An error
// that the jobs tell has more digits than anybody wants; it is shown rounded.
func Recall(r station.Recall, u gauge.Unit) *gaugedv1.RecallResponse {
	off := exact(r.Error, u)
	if r.Model == station.ErrorFromWork {
		off = rounded(r.Error, u)
	}
	m := &gaugedv1.RecallResponse{
		Flipped: uint32(r.Flipped), Undecided: uint32(r.Undecided), Error: off, StandardUncertainty: rounded(r.Standard, u),
		Since: timestamp(r.Since), Until: timestamp(r.Until), Model: contract(errorModels, r.Model), Adjusted: r.Adjusted,
	}
	if r.Check != nil {
		m.Check = Check(r.Check, u)
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
		Before: Outcome(i.Before), After: Outcome(i.After), Probability: i.Probability, Change: contract(recallChanges, i.Change),
	}
}
