package evaluate

import (
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/uncertainty"
)

// Brief evaluates many inputs for what they come to. It writes down nothing that
// only explains: no arithmetic in words, no budgets, no findings. Outcome,
// values, limits, judgements and probabilities are those of Evaluate, to the
// last digit; a Monte Carlo run is drawn once and kept. It belongs to one
// goroutine.
type Brief struct{ draws *uncertainty.Draws }

// NewBrief keeps nothing yet.
func NewBrief() *Brief { return &Brief{uncertainty.NewDraws(draws, seed)} }

// Evaluate is the function Evaluate without explanations.
func (b *Brief) Evaluate(p *procedure.Procedure, parts procedure.Parts, in compute.Input) (Evaluation, error) {
	w, err := newWork(p, parts, in)
	if err != nil {
		return Evaluation{}, err
	}
	w.brief = b
	return w.done()
}

// secondOpinion takes the kept draws where Evaluate draws a sample.
func (b *Brief) secondOpinion(a *assessed) {
	if a.draws != nil || a.bent != nil || a.fewReadings() {
		return
	}
	if _, ok := b.draws.Dominant(a.budget); ok {
		a.draws = b.draws
	}
}
