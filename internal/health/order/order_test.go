package order

import (
	"fmt"
	"strings"
	"testing"

	"gauged/internal/health/study"
	"gauged/internal/words"
)

// TestOrder: each person measures all parts before the next one does, in an order
// that the seed repeats and that differs from round to round.
func TestOrder(t *testing.T) {
	plan := Plan{Kind: study.CrossedKind, Parts: "5", Persons: []string{"Ann", "Ben"}, Trials: 3, Seed: 7}
	steps, err := plan.Steps()
	if err != nil || len(steps) != 30 {
		t.Fatal(len(steps), err)
	}
	again, err := plan.Steps()
	if err != nil || fmt.Sprint(again) != fmt.Sprint(steps) {
		t.Error("the same seed gives another order")
	}
	rounds := map[string]bool{}
	for i := 0; i < len(steps); i += 5 {
		var parts []string
		seen := map[string]bool{}
		for _, s := range steps[i : i+5] {
			parts = append(parts, s.Part)
			seen[s.Part] = true
			if s.Person != steps[i].Person || s.Trial != steps[i].Trial || s.Trial != fmt.Sprint(i/10+1) {
				t.Errorf("step %d: %+v", i, s)
			}
		}
		if len(seen) != 5 {
			t.Errorf("round %d measures %v", i/5, parts)
		}
		rounds[strings.Join(parts, " ")] = true
	}
	if len(rounds) < 4 {
		t.Errorf("only %d orders in 6 rounds", len(rounds))
	}
	plan.Seed, plan.Kind = 0, study.NestedKind
	steps, err = plan.Steps()
	if err != nil || steps[0].Part != "Ann-1" || steps[4].Part != "Ann-5" || steps[5].Part != "Ben-1" {
		t.Errorf("%+v, %v", steps[:6], err)
	}
}

func TestOrderOfMasters(t *testing.T) {
	steps, err := Plan{Kind: study.LinearityKind, Masters: []string{"a", "b", "c"}}.Steps()
	if err != nil || len(steps) != 9 || steps[0] != (Step{Master: "a", Trial: "1"}) || steps[8] != (Step{Master: "c", Trial: "3"}) {
		t.Errorf("%+v, %v", steps, err)
	}
	steps, err = Plan{Kind: study.CapabilityKind, Reference: "5", Tolerance: "0.1"}.Steps()
	if err != nil || len(steps) != 25 || steps[24] != (Step{Reference: "5", Trial: "25"}) {
		t.Errorf("%+v, %v", steps, err)
	}
}

func TestNoStudyComesOfIt(t *testing.T) {
	for _, c := range []struct {
		plan Plan
		want string
	}{
		{Plan{Kind: study.OneWayKind}, `"one-way" is no kind of study that is measured at the bench: use crossed, nested, bias, linearity, stability or capability`},
		{Plan{Kind: study.CrossedKind, Trials: -1}, "-1 trials: use 1 to 1000"},
		{Plan{Kind: study.CrossedKind, Parts: "x"}, "say who measures: one person at least"},
		{Plan{Kind: study.CrossedKind, Parts: "a, a"}, `parts "a, a": give each part a name of its own`},
		{Plan{Kind: study.CrossedKind, Parts: ""}, `parts "": give each part a name of its own`},
		{Plan{Kind: study.CrossedKind, Parts: "0"}, "0 parts: use 1 to 1000"},
		{Plan{Kind: study.CrossedKind, Parts: "2", Persons: []string{"A", "A"}}, `persons "A,A": give each person a name of its own`},
		{Plan{Kind: study.NestedKind, Parts: "a,b", Persons: []string{"A"}, Masters: []string{"m"}}, "a nested study has parts and persons, and no masters"},
		{Plan{Kind: study.CrossedKind, Parts: "10", Persons: []string{"A"}, Trials: 1}, "10 parts and 1 trial: a crossed study needs 2 of each at least, better 10 parts and 3 trials"},
		{Plan{Kind: study.CrossedKind, Parts: "1000", Persons: []string{"A", "B"}, Trials: 1000}, "these are more than 10000 readings, which is more than one study has"},
		{Plan{Kind: study.BiasKind}, "say what is measured: masters of the station, or a reference value"},
		{Plan{Kind: study.BiasKind, Masters: []string{"a", "a"}}, `masters "a,a": name each master once`},
		{Plan{Kind: study.BiasKind, Reference: "1", Persons: []string{"A"}}, "a study of bias knows no persons"},
		{Plan{Kind: study.StabilityKind, Reference: "1", Trials: 7}, "7 readings: a study of stability needs 8 at least"},
		{Plan{Kind: study.LinearityKind, Masters: []string{"a", "b"}}, "a study of linearity needs 3 masters at least, better 5, over the range of the gauge"},
		{Plan{Kind: study.CapabilityKind, Masters: []string{"a"}}, "the indices compare the gauge with a tolerance: give its width"},
	} {
		_, err := c.plan.Steps()
		if err == nil {
			t.Errorf("%+v can be measured", c.plan)
		} else if got := words.In(words.English).Error(err); got != c.want {
			t.Errorf("%+v\ngot  %s\nwant %s", c.plan, got, c.want)
		}
	}
}
