package evaluate

import (
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
)

// Effort evaluates inputs as Evaluate does and counts what is drawn for them, all
// together.
type Effort struct{ left *doubt.Effort }

// NewEffort has all of what a check of one file may cost.
func NewEffort() *Effort { return &Effort{doubt.NewEffort()} }

// Evaluate is the function Evaluate; once the effort is spent, without what is drawn.
func (e *Effort) Evaluate(p *procedure.Procedure, parts procedure.Parts, in compute.Input) (Evaluation, error) {
	return evaluated(p, parts, in, func(w *work) { w.doubts.Effort = e.left })
}

// Spent reports that there is none left.
func (e *Effort) Spent() bool { return e.left.Spent() }
