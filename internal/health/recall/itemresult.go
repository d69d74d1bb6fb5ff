package recall

import (
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// ItemResult is a judged result of a job whose outcome is another one with the error
// of the gauge taken off; or, of a unit with several places, a place whose prediction is
// another one, and what was measured after fitting beside it.
type ItemResult struct {
	Name, Title   string
	Word          procedure.Word // how it is called, as that of Item
	Before, After *gauge.Length  // nil: it was, or is, not judged
	Unit          gauge.Unit     // of both
	Allowed       procedure.Limits
	Was, Is       evaluate.Outcome // empty: it was, or is, not judged
	Probability   *float64         // as that of Item
	Predicted     bool             // what the sum says of the part that was fitted at the place Name
	Without       bool             // no reading of the gauge is in it: it stands
}

// judged is a result of two evaluations.
type judged struct {
	ItemResult
	after bool // it was measured after fitting
}

// Correction is After less Before; nil where one of them is.
func (r ItemResult) Correction() *gauge.Length { return less(r.After, r.Before) }

// less is a - b; nil where one of them is.
func less(a, b *gauge.Length) *gauge.Length {
	if a == nil || b == nil {
		return nil
	}
	d := *a - *b
	return &d
}

// changedResults are the judged results, marks aside, whose outcome is another one.
func changedResults(before, after *evaluate.Evaluation) (all []ItemResult) {
	for _, r := range results(before, after) {
		if r.Was != r.Is {
			all = append(all, r.ItemResult)
		}
	}
	return all
}

// results are the judged results, marks aside, of both evaluations.
func results(before, after *evaluate.Evaluation) (all []judged) {
	find := func(in []evaluate.Judgement, j evaluate.Judgement) *evaluate.Judgement {
		i := slices.IndexFunc(in, func(o evaluate.Judgement) bool { return o.Name == j.Name && o.After == j.After })
		if i < 0 {
			return nil
		}
		return &in[i]
	}
	for _, j := range before.Judgements {
		r := judged{ItemResult{Name: j.Name, Title: j.Title, Word: j.Word(), Before: &j.Value, Unit: j.Unit, Allowed: j.Allowed, Was: j.Outcome}, j.After}
		if now := find(after.Judgements, j); now != nil {
			r.now(*now)
		}
		if j.Mark == "" {
			all = append(all, r)
		}
	}
	for _, j := range after.Judgements {
		if j.Mark == "" && find(before.Judgements, j) == nil {
			r := judged{ItemResult{Name: j.Name, Title: j.Title, Word: j.Word()}, j.After}
			r.now(j)
			all = append(all, r)
		}
	}
	return all
}

// now takes up what a result comes to with the error taken off.
func (r *ItemResult) now(j evaluate.Judgement) {
	r.After, r.Unit, r.Allowed, r.Is = &j.Value, j.Unit, j.Allowed, j.Outcome
	if j.Probability != nil {
		p := j.Probability.Float()
		r.Probability = &p
	}
}

// Note says in a table what a line of a recall stands on; empty: on readings of the gauge.
func Note(choseOnly, predicted, without bool) string {
	switch {
	case choseOnly:
		return "chose only"
	case predicted:
		return "by the sum"
	case without:
		return "without gauge"
	}
	return ""
}
