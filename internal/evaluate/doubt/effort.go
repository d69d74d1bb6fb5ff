package doubt

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/uncertainty"
)

// What a check of a file may cost. Each bound is far above what a manual needs.
const (
	mostSampled = 120_000_000 // terms times values computed for probabilities, in all examples
)

// Effort counts what is drawn. It counts and takes no time, so that a file is refused
// everywhere or nowhere.
type Effort struct{ left int }

// NewEffort has all of what a check of one file may cost.
func NewEffort() *Effort { return &Effort{mostSampled} }

// Spent reports that there is none left.
func (e *Effort) Spent() bool { return e.left < 0 }

// sample takes off what it costs to compute a result so many times; false when
// that is more than is left. Without a bound nothing is counted.
func (d *Doubts) sample(x *formula.Expression, times int) bool {
	if d.Effort == nil {
		return true
	}
	if !d.Effort.Spent() {
		d.Effort.left -= times * max(10, d.terms(x, map[string]bool{}))
	}
	return !d.Effort.Spent()
}

// terms counts those of a formula and of the values that it is made of, each once.
func (d *Doubts) terms(x *formula.Expression, seen map[string]bool) int {
	if x == nil {
		return 0
	}
	n := x.Size()
	for _, name := range x.Names() {
		if seen[name] {
			continue
		}
		seen[name] = true
		if of := d.FormulaOf(name); of != nil {
			n += d.terms(of, seen)
		}
	}
	return n
}

// lookedAt is how often uncertainty.Departs computes a model of n inputs.
func lookedAt(inputs []uncertainty.Input) int {
	n := len(inputs)
	return 1 + 6*n + 3*n*n
}
