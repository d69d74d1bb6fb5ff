package evaluate

import (
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// reserved is the last one of a grade for a place that has no other.
type reserved struct {
	place *procedure.Place
	grade procedure.Grade
}

// worked evaluates. Where nothing is left for a place because an earlier one takes the last
// of a grade, it tries what comes of it when that one is reserved. It returns the evaluation
// that leaves the fewest places without a part, and of equals the first.
func worked(p *procedure.Procedure, parts procedure.Parts, in compute.Input, setUp func(*work)) (best *work, err error) {
	var all []reserved
	for {
		w, err := newWork(p, parts, in)
		if err != nil {
			return nil, err
		}
		setUp(w)
		w.reserved = all
		if w.e, err = w.done(); err != nil {
			return nil, err
		}
		if best == nil || len(w.unfilled()) < len(best.unfilled()) {
			best = w
		}
		last, found := w.lastTaken()
		if !found || w.P.Together != nil || len(all) == len(w.fits) {
			return best, nil
		}
		all = append(slices.Clip(all), last)
	}
}

// unfilled are the places for which nothing fits.
func (w *work) unfilled() (places []*fitting) {
	for _, f := range w.fits {
		if f.outcome == NothingFits {
			places = append(places, f)
		}
	}
	return places
}

// lastTaken is a grade that is right for a place for which nothing is left, and whose last
// one goes to an earlier place that is open still.
func (w *work) lastTaken() (last reserved, found bool) {
	for _, f := range w.unfilled() {
		for _, c := range f.fit.Candidates {
			to, taken := f.goesTo(c.Grade)
			fitted := slices.ContainsFunc(w.In.Fitted, func(in procedure.Fitted) bool { return in.Place == to })
			already := slices.ContainsFunc(w.reserved, func(r reserved) bool { return r.place.Name == f.place.Name && r.grade.Part == c.Part })
			if c.Fits && c.Out() && taken && !fitted && !already {
				return reserved{f.place, c.Grade}, true
			}
		}
	}
	return last, false
}
