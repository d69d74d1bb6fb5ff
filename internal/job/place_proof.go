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
	PlaceFailed   PlaceProof = "failed"   // a result of this place is outside
	PlaceTogether PlaceProof = "together" // a result that belongs to no single place is outside

	PlaceUndecided         PlaceProof = "undecided"          // a result of this place is undecided, none is outside
	PlaceTogetherUndecided PlaceProof = "together-undecided" // a result that belongs to no single place is undecided, none is outside
)

// PlaceProof says how the proof of a place ended where the whole is not right. With one
// place every result is its own. With several a result belongs to the place whose name its
// own begins or ends with: play_left to left.
func (j *Job) PlaceProof(place string) PlaceProof {
	e := &j.Evaluation
	if len(e.Fits) < 2 {
		return missedBy(e.Outcome, PlaceFailed, PlaceUndecided)
	}
	var own, together []evaluate.Outcome
	for _, g := range e.Judgements {
		switch of := placeOf(e.Fits, g.Name); {
		case !g.After:
		case of == place:
			own = append(own, g.Outcome)
		case of == "":
			together = append(together, g.Outcome)
		}
	}
	switch missed := evaluate.Outcome.Missed; {
	case slices.ContainsFunc(own, missed):
		return missedBy(worst(own), PlaceFailed, PlaceUndecided)
	case slices.ContainsFunc(together, missed):
		return missedBy(worst(together), PlaceTogether, PlaceTogetherUndecided)
	case len(own) > 0 && e.Proved():
		return PlacePassed
	}
	return missedBy(e.Outcome, PlaceTogether, PlaceTogetherUndecided)
}

// worst is that one fails, else undecided.
func worst(of []evaluate.Outcome) evaluate.Outcome {
	if slices.Contains(of, evaluate.DoesNotConform) {
		return evaluate.DoesNotConform
	}
	return evaluate.Undecided
}

// missedBy is what an outcome is called that is one of the two.
func missedBy(o evaluate.Outcome, failed, undecided PlaceProof) PlaceProof {
	if o == evaluate.Undecided {
		return undecided
	}
	return failed
}

// Together reports whether it is of a result that belongs to no single place.
func (p PlaceProof) Together() bool { return p == PlaceTogether || p == PlaceTogetherUndecided }

// Undecided reports whether it is within its uncertainty of a limit, and not outside.
func (p PlaceProof) Undecided() bool { return p == PlaceUndecided || p == PlaceTogetherUndecided }

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
