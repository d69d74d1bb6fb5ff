package evaluate

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/uncertainty"
)

// What a check of a file may cost. Each bound is far above what a manual needs.
const (
	mostSampled = 120_000_000 // terms times values computed for probabilities, in all examples
)

// effort counts what the examples of a file cost. It counts and takes no time,
// so that a file is refused everywhere or nowhere.
type effort struct{ left int }

// spent reports that there is none left.
func (e *effort) spent() bool { return e != nil && e.left < 0 }

// sample takes off what it costs to compute a result so many times; false when
// that is more than is left. Without a bound nothing is counted.
func (w *work) sample(x *formula.Expression, times int) bool {
	if w.effort == nil {
		return true
	}
	if !w.effort.spent() {
		w.effort.left -= times * max(10, w.terms(x, map[string]bool{}))
	}
	return !w.effort.spent()
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
