package recall

import (
	"cmp"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// changed says what became of a verdict: as Result.Change has it for verdicts,
// and for what else an evaluation may come to.
func changed(before, after *evaluate.Evaluation) Change {
	was, is := before.Outcome, after.Outcome
	switch {
	case was == is && predictedInside(before) && !predictedInside(after):
		return Doubtful // nothing was measured after fitting, and the sum no longer vouches for it
	case was == is, was == evaluate.Undecided && is == evaluate.Conforms:
		return Kept
	case is == evaluate.DoesNotConform, is == evaluate.WrongPart,
		was == evaluate.DoesNotConform && is == evaluate.Conforms,
		was == evaluate.Conforms && (is == evaluate.FitPart || is == evaluate.NothingFits): // nothing was fitted, as it was within limits
		return Flipped
	}
	return Doubtful // also when the readings cannot be believed any more
}

// predictedInside reports whether a unit that was not measured after fitting ends
// inside its limits by the sum, as far as it is known.
func predictedInside(e *evaluate.Evaluation) bool {
	if e.Outcome != evaluate.VerifyFit {
		return true
	}
	for _, f := range e.EachFit() {
		if play := predicted(f); play != nil && !f.Allowed.Contains(*play) {
			return false
		}
	}
	return true
}

// predicted is the play that the fitted part leaves by the sum; nil when it is
// not known, or when nothing limits it.
func predicted(f *evaluate.Fit) *gauge.Length {
	if f.Gap == nil || f.Fitted == nil || f.Fitted.Thickness == nil || !f.Allowed.Limited() {
		return nil
	}
	play := *f.Gap - *f.Fitted.Thickness
	return &play
}

// closing is what a unit is judged by, or what is nearest to it.
type closing struct {
	what        string
	word        procedure.Word // how it is called
	value       *gauge.Length  // in unit
	unit        gauge.Unit
	allowed     procedure.Limits
	probability *evaluate.Probability
}

// closing finds the closing dimension of an evaluation of the job.
func (j PastJob) closing(e *evaluate.Evaluation) closing {
	c := closing{what: "gap", word: procedure.WordResult, value: e.Gap, unit: j.Procedure.Unit}
	called := cmp.Or(j.Procedure.Word, procedure.WordResult)
	play := predicted(&e.Fit)
	switch {
	case e.Verification != nil:
		c.what, c.word, c.value = "verified", called, &e.Verification.Measured
		c.judged(e)
	case play != nil:
		c.what, c.word, c.value, c.allowed = "predicted", called, play, e.Allowed
		for _, one := range e.Candidates {
			if one.Part == e.Fitted.Part && !e.Fitted.Measured {
				c.probability = one.Probability
			}
		}
	case !j.Procedure.ChoosesPart() && e.Gap != nil:
		c.word = called
		c.judged(e)
	case j.Procedure.Choose.Aim == procedure.AimTable && j.Families[j.Procedure.Parts].Unit.Kind() != gauge.KindLength:
		c.unit = j.Families[j.Procedure.Parts].Unit // such as a torque, by which the table is looked up
	}
	return c
}

// judged takes up the judgement of the closing dimension, which stands last.
func (c *closing) judged(e *evaluate.Evaluation) {
	if n := len(e.Judgements); n > 0 {
		last := e.Judgements[n-1]
		c.allowed, c.probability = last.Allowed, last.Probability
	}
}
