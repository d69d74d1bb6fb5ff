package job

import (
	"slices"
	"strings"

	"gauged/internal/evaluate"
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
func (j *Job) PlaceProof(place string) PlaceProof {
	e := &j.Evaluation
	if len(e.Fits) < 2 {
		return PlaceFailed
	}
	missed := func(o evaluate.Outcome) bool { return o == evaluate.DoesNotConform || o == evaluate.Undecided }
	passed, together := false, !e.Proved()
	for _, g := range e.Judgements {
		of := placeOf(e.Fits, g.Name)
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
func placeOf(fits []evaluate.Fit, result string) (place string) {
	for _, f := range fits {
		named := result == f.Place || strings.HasSuffix(result, "_"+f.Place) || strings.HasPrefix(result, f.Place+"_")
		if named && len(f.Place) > len(place) {
			place = f.Place
		}
	}
	return place
}

// Telling are the results that the verdict stands on: of a proof those measured after
// fitting, else all.
func (j *Job) Telling() []evaluate.Judgement {
	e := &j.Evaluation
	if !e.Proved() {
		return e.Judgements
	}
	return slices.DeleteFunc(slices.Clone(e.Judgements), func(g evaluate.Judgement) bool { return !g.After })
}

// ResultTitle is what people call a result: its title, else that of the measurement that it
// is; empty where it has only a name.
func (j *Job) ResultTitle(g evaluate.Judgement) string {
	if g.Title != "" {
		return g.Title
	}
	step, _, _ := j.Procedure.Step(g.Name)
	return step.Title
}

// FindingSays is what a finding says, with a result that is a measurement called as that is.
func (j *Job) FindingSays(f evaluate.Finding) gauge.Message {
	m := f.Says
	m.Args = slices.Clone(m.Args)
	for i, a := range m.Args {
		if step, _, ok := j.Procedure.Step(a.Text); ok && a.Name == "name" && step.Title != "" {
			m.Args[i] = gauge.Text("name", step.Title)
		}
	}
	return m
}
