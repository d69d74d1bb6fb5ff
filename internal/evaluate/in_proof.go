package evaluate

import (
	"slices"

	"gauged/internal/evaluate/procedure"
)

// OnlyChose reports whether the verdict of an evaluation stands on a proof that none of
// these readings, by their numbers, is in.
func OnlyChose(p *procedure.Procedure, e *Evaluation, readings []procedure.Reading, seqs []uint64) bool {
	if !e.Outcome.Decided() || !e.proven() {
		return false
	}
	in := p.InProof()
	return !slices.ContainsFunc(readings, func(r procedure.Reading) bool { return slices.Contains(seqs, r.Seq) && in[r.Measurement] })
}

// proven reports whether the verdict was given by what was measured after fitting.
func (e *Evaluation) proven() bool {
	return e.Verification != nil || slices.ContainsFunc(e.Judgements, func(one Judgement) bool { return one.After })
}

// Missed reports whether a proof that came to it does not let the unit go: it fails, or it
// is undecided.
func (o Outcome) Missed() bool { return o == DoesNotConform || o == Undecided }

// Decided reports whether a verdict stands.
func (o Outcome) Decided() bool {
	switch o {
	case Conforms, DoesNotConform, Undecided, Calculated, WrongPart:
		return true
	}
	return false
}
