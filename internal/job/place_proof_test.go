package job

import (
	"testing"

	"gauged/internal/evaluate"
)

// TestPlaceProof: a result belongs to the place with the longest name that its own begins
// or ends with; one of no place speaks of all parts together.
func TestPlaceProof(t *testing.T) {
	e := Job{Evaluation: evaluate.Evaluation{Fits: []evaluate.Fit{{Place: "left"}, {Place: "front_left"}, {Place: "rear"}}}}
	judged := func(name string, o evaluate.Outcome) evaluate.Judgement {
		return evaluate.Judgement{Name: name, Outcome: o, After: true}
	}
	for _, c := range []struct {
		judgements []evaluate.Judgement
		want       [3]PlaceProof
	}{
		{[]evaluate.Judgement{judged("play_front_left", evaluate.DoesNotConform), judged("left_play", evaluate.Conforms)}, [3]PlaceProof{PlacePassed, PlaceFailed, PlaceTogether}},
		{[]evaluate.Judgement{judged("rear", evaluate.Undecided), judged("left", evaluate.Advised)}, [3]PlaceProof{PlacePassed, PlaceTogether, PlaceUndecided}},
		{[]evaluate.Judgement{judged("rear", evaluate.Undecided), judged("left", evaluate.DoesNotConform)}, [3]PlaceProof{PlaceFailed, PlaceTogether, PlaceUndecided}},
		{[]evaluate.Judgement{judged("left", evaluate.Conforms), judged("total", evaluate.Undecided)}, [3]PlaceProof{PlaceTogetherUndecided, PlaceTogetherUndecided, PlaceTogetherUndecided}},
		{[]evaluate.Judgement{judged("left", evaluate.Conforms), judged("total", evaluate.DoesNotConform)}, [3]PlaceProof{PlaceTogether, PlaceTogether, PlaceTogether}},
		{[]evaluate.Judgement{{Name: "left", Outcome: evaluate.Conforms}, {Name: "total", Outcome: evaluate.DoesNotConform}}, [3]PlaceProof{PlaceTogether, PlaceTogether, PlaceTogether}},
	} {
		e.Evaluation.Judgements = c.judgements
		for i, f := range e.Evaluation.Fits {
			if got := e.PlaceProof(f.Place); got != c.want[i] {
				t.Errorf("%v: %s %s, want %s", c.judgements, f.Place, got, c.want[i])
			}
		}
	}
	for o, want := range map[evaluate.Outcome]PlaceProof{evaluate.DoesNotConform: PlaceFailed, evaluate.Undecided: PlaceUndecided} {
		one := Job{Evaluation: evaluate.Evaluation{Outcome: o, Judgements: []evaluate.Judgement{judged("anything", o)}}}
		if got := one.PlaceProof(""); got != want {
			t.Errorf("the one place, %s: %s", o, got)
		}
	}
}
