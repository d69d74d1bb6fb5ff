package evaluate

import (
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// Known is what is known of the gauges whose readings make one result.
type Known struct {
	Of       string   // the result, as its line of arithmetic and its budget are called
	Measured []string // the measurements that make it, in the order of the procedure
	Unstated []string // those of them whose gauge's error is not stated
	Stated   bool     // something is stated of one of these gauges
}

// KnownOf tells it of the gap of each place and of each result that has limits. An
// error means what it means to Evaluate.
func KnownOf(p *procedure.Procedure, parts procedure.Parts, in compute.Input) ([]Known, error) {
	w, err := newWork(p, parts, in)
	if err != nil {
		return nil, err
	}
	w.measure(p.Measure, false) // the marks say which case it is
	w.measure(p.Verify, true)
	gaps := map[*formula.Expression]bool{}
	var all []Known
	add := func(of string, x *formula.Expression, limits procedure.Bounds) {
		steps := w.Entering(x, limits.MinOf, limits.MaxOf)
		r := w.doubts.RulingOf(steps)
		known := Known{Of: of, Unstated: r.Unstated, Stated: r.Stated}
		for _, s := range steps {
			known.Measured = append(known.Measured, s.Name)
		}
		all = append(all, known)
	}
	places := p.EachPlace()
	if len(places) == 0 {
		places = []procedure.Place{p.Place}
	}
	for _, place := range places {
		if place.Gap != nil {
			gaps[place.Gap] = true
			add(place.GapName(), place.Gap, place.Allowed)
		}
	}
	for _, r := range w.results() {
		if !gaps[r.x] {
			add(r.name, r.x, r.limits)
		}
	}
	return all, nil
}
