package evaluate

import (
	"slices"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// PlaceProof is what a proof that is not right says of the part at one place.
type PlaceProof string

// What a proof says of a part.
const (
	PlacePassed   PlaceProof = "passed"   // the results of this place are right, those of another are not
	PlaceFailed   PlaceProof = "failed"   // a result of this place is not right
	PlaceTogether PlaceProof = "together" // a result that belongs to no single place is not right
)

// PlaceProof says how the proof of a place ended where the whole is not right. With one
// place every result is its own. With several a result belongs to the place whose name its
// own begins or ends with: play_left to left.
func (e *Evaluation) PlaceProof(place string) PlaceProof {
	if len(e.Fits) < 2 {
		return PlaceFailed
	}
	missed := func(o Outcome) bool { return o == DoesNotConform || o == Undecided }
	passed, together := false, !e.Proved()
	for _, g := range e.Judgements {
		of := e.placeOf(g.Name)
		switch {
		case !g.After:
		case of == place && missed(g.Outcome):
			return PlaceFailed
		case of == place:
			passed = true
		case of == "" && missed(g.Outcome):
			together = true
		}
	}
	if passed && !together {
		return PlacePassed
	}
	return PlaceTogether
}

// placeOf is the place that a result is named after, of several the one with the longest
// name; empty for none.
func (e *Evaluation) placeOf(result string) (place string) {
	for _, f := range e.Fits {
		named := result == f.Place || strings.HasSuffix(result, "_"+f.Place) || strings.HasPrefix(result, f.Place+"_")
		if named && len(f.Place) > len(place) {
			place = f.Place
		}
	}
	return place
}

// Telling are the results that the verdict stands on: of a proof those measured after
// fitting, else all.
func (e *Evaluation) Telling() []Judgement {
	if !e.Proved() {
		return e.Judgements
	}
	return slices.DeleteFunc(slices.Clone(e.Judgements), func(g Judgement) bool { return !g.After })
}

// CalledIn is what people call a result: its title, else that of the measurement that it
// is; empty where it has only a name.
func (j Judgement) CalledIn(p *procedure.Procedure) string {
	if j.Title != "" {
		return j.Title
	}
	step, _, _ := p.Step(j.Name)
	return step.Title
}

// SaysIn is what a finding says, with a result that is a measurement called as that is.
func (f Finding) SaysIn(p *procedure.Procedure) gauge.Message {
	m := f.Says
	m.Args = slices.Clone(m.Args)
	for i, a := range m.Args {
		if step, _, ok := p.Step(a.Text); ok && a.Name == "name" && step.Title != "" {
			m.Args[i] = gauge.Text("name", step.Title)
		}
	}
	return m
}
