package recall

import (
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
)

// placed are the places of a unit with several whose predicted play is another one with the
// error taken off, and after them what was measured after fitting, as the proof of a place may
// have been read without the gauge, and results whose outcome is another one. It reports whether a place that
// was inside its limits by the sum is not any more. The results are nil where no prediction moves.
func (j PastJob) placed(before, after *evaluate.Evaluation, seqs []uint64) (all []ItemResult, left bool) {
	if len(before.Fits) < 2 || len(after.Fits) != len(before.Fits) {
		return nil, false
	}
	for i := range before.Fits {
		was, is := &before.Fits[i], &after.Fits[i]
		then, now := predicted(was), predicted(is)
		if then == nil || now != nil && *now == *then {
			continue
		}
		place := j.Procedure.Places[i]
		r := ItemResult{Name: place.Name, Title: place.Title, Word: place.Word, Before: then, After: now, Unit: j.Procedure.Unit, Allowed: was.Allowed, Was: bySum(was), Is: bySum(is), Predicted: true}
		if now != nil {
			r.Allowed = is.Allowed
		}
		if p := is.Predicted; p != nil && p.Probability != nil {
			inside := p.Probability.Float()
			r.Probability = &inside
		}
		left = left || r.Was == evaluate.Conforms && r.Is != evaluate.Conforms
		all = append(all, r)
	}
	if len(all) == 0 {
		return nil, false
	}
	for _, r := range results(before, after) {
		switch {
		case r.after:
			r.Without = !j.reads(r.Name, seqs)
		case r.Was == r.Is:
			continue
		}
		all = append(all, r.ItemResult)
	}
	return all, left
}

// bySum is whether the play that the fitted part leaves is inside its limits by the sum;
// empty where it is not known.
func bySum(f *evaluate.Fit) evaluate.Outcome {
	switch play := predicted(f); {
	case play == nil:
		return ""
	case f.Allowed.Contains(*play):
		return evaluate.Conforms
	}
	return evaluate.DoesNotConform
}

// reads reports whether a judged result follows from one of these readings, by their numbers.
func (j PastJob) reads(result string, seqs []uint64) bool {
	in := map[string]bool{result: true} // where the result is a measurement itself
	for _, judge := range slices.Concat(j.Procedure.Judge, j.Procedure.Proof) {
		if judge.Name != result {
			continue
		}
		for _, name := range j.Procedure.StepsOfJudge(judge) {
			in[name] = true
		}
	}
	return slices.ContainsFunc(j.Input.Readings, func(r procedure.Reading) bool { return in[r.Measurement] && slices.Contains(seqs, r.Seq) })
}
