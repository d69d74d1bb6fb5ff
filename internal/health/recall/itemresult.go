package recall

import (
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// ItemResult is a judged result of a job whose outcome is another one with the error
// of the gauge taken off.
type ItemResult struct {
	Name, Title   string
	Word          procedure.Word // how it is called, as that of Item
	Before, After *gauge.Length  // nil: it was, or is, not judged
	Unit          gauge.Unit     // of both
	Allowed       procedure.Limits
	Was, Is       evaluate.Outcome // empty: it was, or is, not judged
	Probability   *float64         // as that of Item
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
	find := func(in []evaluate.Judgement, j evaluate.Judgement) *evaluate.Judgement {
		i := slices.IndexFunc(in, func(o evaluate.Judgement) bool { return o.Name == j.Name && o.After == j.After })
		if i < 0 {
			return nil
		}
		return &in[i]
	}
	for _, j := range before.Judgements {
		r := ItemResult{Name: j.Name, Title: j.Title, Word: j.Word(), Before: &j.Value, Unit: j.Unit, Allowed: j.Allowed, Was: j.Outcome}
		if now := find(after.Judgements, j); now != nil {
			r.now(*now)
		}
		if j.Mark == "" && r.Was != r.Is {
			all = append(all, r)
		}
	}
	for _, j := range after.Judgements {
		if j.Mark == "" && find(before.Judgements, j) == nil {
			r := ItemResult{Name: j.Name, Title: j.Title, Word: j.Word()}
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
