package evaluate

import (
	"fmt"
	"maps"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// placeRank says which outcome of one place outweighs that of another.
var placeRank = []Outcome{complete, Conforms, FitPart, Undecided, TooMany, NothingFits, MeasureAgain}

// eachPlace works out the part of every place, in their order: see leaveFor. One place that cannot be filled outweighs
// the others. A place whose sum needs what was really fitted at an earlier one
// waits for it.
func (w *work) eachPlace() error {
	places := w.P.EachPlace()
	if len(w.P.Places) > 0 {
		w.e.Fits = make([]Fit, len(places))
	}
	w.e.Outcome = complete
	fits := make([]*fitting, len(places))
	for i, fit := range w.e.EachFit() {
		fit.Place, fit.Title = places[i].Name, places[i].Title
		fits[i] = &fitting{work: w, place: &places[i], family: w.familyOf(&places[i]), fit: fit, outcome: FitPart}
	}
	w.fits = fits
	if w.P.Together != nil {
		if err := w.allTogether(fits); err != nil {
			return err
		}
	} else if err := w.oneByOne(fits); err != nil {
		return err
	}
	missing, any := false, false
	for _, f := range fits {
		if slices.Index(placeRank, f.outcome) > slices.Index(placeRank, w.e.Outcome) {
			w.e.Outcome = f.outcome
		}
		if !f.fit.Kept {
			missing, any = missing || f.fit.Fitted == nil, true
		}
	}
	if any && !missing {
		w.e.Outcome = VerifyFit
	}
	return nil
}

// oneByOne chooses the part of one place after the other.
func (w *work) oneByOne(fits []*fitting) error {
	whole := w.stock
	for i, f := range fits {
		w.stock = maps.Clone(whole)
		w.leaveFor(f, fits[:i])
		f.family = w.familyOf(f.place)
		if f.fit.Waits = w.waits(f.place); f.fit.Waits != "" {
			continue
		}
		if err := f.part(); err != nil {
			return fmt.Errorf("%s%w", f.place.Prefix(), err)
		}
		f.whatWasFitted()
	}
	return nil
}

// whatWasFitted takes up which part was fitted here, for places that use it.
func (w *fitting) whatWasFitted() {
	for _, f := range w.In.Fitted {
		if f.Place == w.place.Name {
			w.fitted(f)
		}
	}
	if w.fit.Fitted == nil {
		return
	}
	if in := w.partIn(w.fit); in != nil {
		w.count(formula.FittedName(w.place.Name), in)
	}
}

// waits names the earlier place that must be fitted before this one is worked
// out; empty when there is none.
func (w *work) waits(p *procedure.Place) string {
	for _, name := range p.Names() {
		if place, ok := formula.PlaceOf(formula.NameFitted, name); ok && w.V.Of[name] == nil {
			return place
		}
	}
	return ""
}
