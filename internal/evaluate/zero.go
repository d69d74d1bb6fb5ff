package evaluate

import (
	"slices"

	"gauged/internal/evaluate/suspect"
)

// twoZeros asks back where a result, of what was measured before fitting or after, is made
// of readings that have no common zero.
func (w *work) twoZeros(after bool) (again bool) {
	if w.In.AnyZero {
		return false
	}
	apart := suspect.TwoZeros(w.Job, after)
	for _, a := range apart {
		w.point(FindingTwoZeros, a.Says)
		for i := range w.e.Measurements {
			m := &w.e.Measurements[i]
			m.Complete = m.Complete && !slices.Contains(a.Steps, m.Name)
		}
	}
	return len(apart) > 0
}
