package evaluate

import (
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/uncertainty"
)

// What a check of a file may cost. Each bound is far above what a manual needs.
const (
	mostSampled = 120_000_000 // terms times values computed for probabilities, in all examples
)

// Effort evaluates inputs as Evaluate does and counts what that costs, all together. It
// counts and takes no time, so that a file is refused everywhere or nowhere.
type Effort struct{ left int }

// NewEffort has all of what a check of one file may cost.
func NewEffort() *Effort { return &Effort{mostSampled} }

// Evaluate is the function Evaluate; once the effort is spent, no more than it costs
// without probabilities.
func (e *Effort) Evaluate(p *procedure.Procedure, parts procedure.Parts, in compute.Input) (Evaluation, error) {
	w, err := newWork(p, parts, in)
	if err != nil {
		return Evaluation{}, err
	}
	w.effort = e
	return w.done()
}

// Spent reports that there is none left.
func (e *Effort) Spent() bool { return e != nil && e.left < 0 }

// sample takes off what it costs to compute a result so many times; false when
// that is more than is left. Without a bound nothing is counted.
func (w *work) sample(x *formula.Expression, times int) bool {
	if w.effort == nil {
		return true
	}
	if !w.effort.Spent() {
		w.effort.left -= times * max(10, w.terms(x, map[string]bool{}))
	}
	return !w.effort.Spent()
}

// terms counts those of a formula and of the values that it is made of, each once.
func (w *work) terms(x *formula.Expression, seen map[string]bool) int {
	if x == nil {
		return 0
	}
	n := x.Size()
	for _, name := range x.Names() {
		if seen[name] {
			continue
		}
		seen[name] = true
		if of := w.FormulaOf(name); of != nil {
			n += w.terms(of, seen)
		}
	}
	return n
}

// lookedAt is how often uncertainty.Departs computes a model of n inputs.
func lookedAt(inputs []uncertainty.Input) int {
	n := len(inputs)
	return 1 + 6*n + 3*n*n
}
