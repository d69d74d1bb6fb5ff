package evaluate

import (
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// tooNarrow refuses limits between which nothing can be decided, before anything
// is measured.
func (w *work) tooNarrow() {
	if len(w.In.Readings) > 0 {
		return
	}
	for _, n := range w.narrow() {
		w.e.Outcome = Undecided
		w.point(FindingTooNarrow, gauge.Say("found.at_place", gauge.Text("place", n.Result), gauge.Nested("said", n.Says)))
	}
}

// Narrow is a result whose limits are so near to each other that nothing can be decided
// between them.
type Narrow struct {
	Result, Place string
	Says          gauge.Message
}

// NarrowOf lists them, with what a procedure states of instruments and constants.
func NarrowOf(p *procedure.Procedure) []Narrow {
	w := withoutParts(p, compute.Input{})
	w.briefly(NewBrief()) // nothing is written down
	w.TakeConstants()
	return w.narrow()
}

func (w *work) narrow() (all []Narrow) {
	for _, r := range w.results() {
		if says, narrow := w.doubts.Narrow(r.x, r.limits, r.unit); narrow {
			all = append(all, Narrow{r.name, r.place, says})
		}
	}
	return all
}
