package wire

import (
	"cmp"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health/recall"
)

var errorModels = []Pair[recall.Course, gaugedv1.RecallModel]{
	{"", gaugedv1.RecallModel_RECALL_MODEL_UNSPECIFIED},
	{recall.CourseConstant, gaugedv1.RecallModel_RECALL_MODEL_CONSTANT},
	{recall.CourseGrowing, gaugedv1.RecallModel_RECALL_MODEL_GROWING},
	{recall.CourseFromWork, gaugedv1.RecallModel_RECALL_MODEL_FROM_WORK},
}

var recallChanges = []Pair[recall.Change, gaugedv1.RecallChange]{
	{recall.Flipped, gaugedv1.RecallChange_RECALL_CHANGE_TURNED},
	{recall.Doubtful, gaugedv1.RecallChange_RECALL_CHANGE_UNDECIDED},
	{recall.Kept, gaugedv1.RecallChange_RECALL_CHANGE_KEPT},
}

// Recall returns what past verdicts come to; u is the unit of the gauge. An error
// that the jobs tell has more digits than anybody wants; it is shown rounded.
func Recall(r recall.List, u gauge.Unit) *gaugedv1.RecallResponse {
	largest := r.Largest()
	off := Exact(largest.Error, u)
	if r.Model == recall.CourseFromWork {
		off = rounded(largest.Error, u)
	}
	m := &gaugedv1.RecallResponse{
		TurnedCount: uint32(r.Flipped), UndecidedCount: uint32(r.Undecided), Error: off, StandardUncertainty: rounded(largest.Standard(), u),
		BeyondCount: uint32(r.Beyond), ByLimitsCount: uint32(r.ByLimits),
		SinceTime: Time(r.Since), UntilTime: Time(r.Until), Model: Contract(errorModels, r.Model), Adjusted: r.Adjusted(), GoodAgainTime: Time(r.Ended),
	}
	if r.Check != nil {
		m.Check = Check(r.Check, u)
	}
	for _, p := range r.Curve {
		if len(r.Curve) > 1 || p.Name != "" || p.At != 0 {
			m.Points = append(m.Points, recallPoint(p, u))
		}
	}
	for _, item := range r.Items {
		m.Items = append(m.Items, recallItem(item))
	}
	return m
}

func recallPoint(p recall.Point, u gauge.Unit) *gaugedv1.RecallPoint {
	m := &gaugedv1.RecallPoint{MasterId: p.Name, Reading: Exact(p.At, u).GetText(), Error: Exact(p.Error, u).GetText(), Unit: Unit(inUnit(u))}
	if s := p.Standard(); s > 0 {
		m.StandardUncertainty = rounded(s, u).GetText()
	}
	return m
}

// FromRecallPoints are points that are asked for.
func FromRecallPoints(points []*gaugedv1.RecallPoint) (all []recall.Point, err error) {
	for i, p := range points {
		unit := FromUnit(p.GetUnit())
		one := recall.Point{Name: p.GetMasterId()}
		var standard gauge.Length
		for _, l := range []struct {
			what, text string
			to         *gauge.Length
			wanted     bool
		}{{"reading", p.GetReading(), &one.At, true}, {"error", p.GetError(), &one.Error, true}, {"standard uncertainty", p.GetStandardUncertainty(), &standard, false}} {
			if l.text == "" && !l.wanted {
				continue
			}
			if *l.to, err = gauge.ParseLength(l.text, unit); err != nil {
				return nil, gauge.WrongInput("refusal.recall.point", gauge.Count("point", i+1), gauge.Text("field", l.what), gauge.Because("why", err))
			}
		}
		if unit.Kind() != gauge.KindLength {
			return nil, gauge.WrongInput("refusal.recall.point-unit", gauge.Count("point", i+1), gauge.Text("unit", unit.String()))
		}
		one.Own = standard.Metres()
		all = append(all, one)
	}
	return all, nil
}

func recallItem(i recall.Item) *gaugedv1.RecallItem {
	w := writer{i.Unit, func(l gauge.Length) string { return l.TextIn(i.Unit) }}
	m := &gaugedv1.RecallItem{
		JobId: i.Job, UnitSerial: i.UnitSerial, StartTime: Time(i.Started), CloseTime: Time(i.Closed),
		Measured: w.optional(i.Measured), Corrected: w.optional(i.Corrected), Allowed: w.limits(i.Allowed),
		OutcomeBefore: Outcome(i.Before), OutcomeAfter: Outcome(i.After), Probability: i.Probability, Change: Contract(recallChanges, i.Change), Beyond: i.Beyond,
		Correction: w.optional(i.Correction()), ChoseOnly: i.ChoseOnly, ClosingDimension: Contract(closings, cmp.Or(i.Word, procedure.WordResult)),
	}
	for _, r := range i.Results {
		w := writer{r.Unit, func(l gauge.Length) string { return l.TextIn(r.Unit) }}
		m.Results = append(m.Results, &gaugedv1.RecallResult{
			Name: r.Name, Title: r.Title, Measured: w.optional(r.Before), Corrected: w.optional(r.After), Correction: w.optional(r.Correction()),
			Allowed: w.limits(r.Allowed), OutcomeBefore: Outcome(r.Was), OutcomeAfter: Outcome(r.Is), Probability: r.Probability, ClosingDimension: Contract(closings, cmp.Or(r.Word, procedure.WordResult)),
			Predicted: r.Predicted, WithoutGauge: r.Without,
		})
	}
	return m
}
