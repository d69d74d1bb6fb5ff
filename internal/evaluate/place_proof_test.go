package evaluate

import "testing"

// TestPlaceProof: a result belongs to the place with the longest name that its own begins
// or ends with; one of no place speaks of all parts together.
func TestPlaceProof(t *testing.T) {
	e := Evaluation{Fits: []Fit{{Place: "left"}, {Place: "front_left"}, {Place: "rear"}}}
	judged := func(name string, o Outcome) Judgement { return Judgement{Name: name, Outcome: o, After: true} }
	for _, c := range []struct {
		judgements []Judgement
		want       [3]PlaceProof
	}{
		{[]Judgement{judged("play_front_left", DoesNotConform), judged("left_play", Conforms)}, [3]PlaceProof{PlacePassed, PlaceFailed, PlaceTogether}},
		{[]Judgement{judged("rear", Undecided), judged("left", Advised)}, [3]PlaceProof{PlacePassed, PlaceTogether, PlaceFailed}},
		{[]Judgement{judged("left", Conforms), judged("total", DoesNotConform)}, [3]PlaceProof{PlaceTogether, PlaceTogether, PlaceTogether}},
		{[]Judgement{{Name: "left", Outcome: Conforms}, {Name: "total", Outcome: DoesNotConform}}, [3]PlaceProof{PlaceTogether, PlaceTogether, PlaceTogether}},
	} {
		e.Judgements = c.judgements
		for i, f := range e.Fits {
			if got := e.PlaceProof(f.Place); got != c.want[i] {
				t.Errorf("%v: %s %s, want %s", c.judgements, f.Place, got, c.want[i])
			}
		}
	}
	one := Evaluation{Judgements: []Judgement{judged("anything", DoesNotConform)}}
	if got := one.PlaceProof(""); got != PlaceFailed {
		t.Errorf("the one place: %s", got)
	}
}
