package wire

import (
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/recall"
	"gauged/internal/health/study"

	gaugedv1 "gauged/api/gauged/v1"
)

// checkWords walks every value of both sides there and back.
func checkWords[Own, Contract comparable](t *testing.T, all []Own, values protoreflect.EnumValueDescriptors, there func(Own) Contract, number func(protoreflect.EnumNumber) Contract, back func(Contract) (Own, bool)) {
	t.Helper()
	seen := map[Contract]bool{}
	for _, own := range all {
		contract := there(own)
		if contract == number(0) {
			t.Errorf("%v has no word in the contract", own)
		}
		if seen[contract] {
			t.Errorf("%v shares %v with another", own, contract)
		}
		seen[contract] = true
		if again, ok := back(contract); !ok || again != own {
			t.Errorf("%v comes back as %v, %t", own, again, ok)
		}
	}
	if values.Len() != len(all)+1 {
		t.Errorf("the contract has %d values, want %d and the unspecified one", values.Len(), len(all))
	}
	for i := range values.Len() {
		contract := number(values.Get(i).Number())
		own, ok := back(contract)
		if !ok || there(own) != contract {
			t.Errorf("%v comes back as %v, %t", contract, there(own), ok)
		}
	}
	if own, ok := back(number(999)); ok {
		t.Errorf("a number outside the contract is taken for %v", own)
	}
}

func TestEveryWordHasItsCounterpart(t *testing.T) {
	checkWords(t, evaluate.Outcomes, gaugedv1.Outcome(0).Descriptor().Values(), Outcome,
		func(n protoreflect.EnumNumber) gaugedv1.Outcome { return gaugedv1.Outcome(n) },
		func(o gaugedv1.Outcome) (evaluate.Outcome, bool) { return Own(outcomes, o) })
	checkWords(t, gauge.States, gaugedv1.GaugeState(0).Descriptor().Values(), State,
		func(n protoreflect.EnumNumber) gaugedv1.GaugeState { return gaugedv1.GaugeState(n) },
		func(s gaugedv1.GaugeState) (gauge.State, bool) { return Own(states, s) })
	checkWords(t, study.Kinds, gaugedv1.StudyKind(0).Descriptor().Values(), StudyKind,
		func(n protoreflect.EnumNumber) gaugedv1.StudyKind { return gaugedv1.StudyKind(n) },
		func(k gaugedv1.StudyKind) (study.Kind, bool) { return Own(studyKinds, k) })
	checkWords(t, study.Words, gaugedv1.StudyWord(0).Descriptor().Values(), StudyWord,
		func(n protoreflect.EnumNumber) gaugedv1.StudyWord { return gaugedv1.StudyWord(n) },
		func(w gaugedv1.StudyWord) (study.Word, bool) { return Own(studyWords, w) })
	checkWords(t, []recall.Course{recall.CourseConstant, recall.CourseGrowing, recall.CourseFromWork}, gaugedv1.RecallModel(0).Descriptor().Values(),
		func(m recall.Course) gaugedv1.RecallModel { return Contract(errorModels, m) },
		func(n protoreflect.EnumNumber) gaugedv1.RecallModel { return gaugedv1.RecallModel(n) },
		func(m gaugedv1.RecallModel) (recall.Course, bool) { return Own(errorModels, m) })
	checkWords(t, []gauge.Status{gauge.StatusOK, gauge.StatusLowBattery}, gaugedv1.ReadingStatus(0).Descriptor().Values(), Status,
		func(n protoreflect.EnumNumber) gaugedv1.ReadingStatus { return gaugedv1.ReadingStatus(n) }, FromStatus)
	checkWords(t, gauge.Units(), gaugedv1.Unit(0).Descriptor().Values(), Unit,
		func(n protoreflect.EnumNumber) gaugedv1.Unit { return gaugedv1.Unit(n) },
		func(u gaugedv1.Unit) (gauge.Unit, bool) {
			unit := FromUnit(u)
			return unit, unit.Known() || u == gaugedv1.Unit_UNIT_UNSPECIFIED
		})
}
