package evaluate

import (
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
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
func NewBrief() *Brief { return &Brief{doubt.KeptDraws()} }

// Evaluate is the function Evaluate without explanations.
func (b *Brief) Evaluate(p *procedure.Procedure, parts procedure.Parts, in compute.Input) (Evaluation, error) {
	return evaluated(p, parts, in, func(w *work) { w.briefly(b) })
}

// briefly lets an evaluation write nothing down that only explains.
func (w *work) briefly(b *Brief) { w.brief, w.doubts.Kept = b, b.draws }
