package message

import (
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/recall"
	"gauged/internal/health/study"
	"gauged/internal/job"
	"gauged/internal/station"

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
		func(o gaugedv1.Outcome) (evaluate.Outcome, bool) { return own(outcomes, o) })
	checkWords(t, gauge.States, gaugedv1.GaugeState(0).Descriptor().Values(), State,
		func(n protoreflect.EnumNumber) gaugedv1.GaugeState { return gaugedv1.GaugeState(n) },
		func(s gaugedv1.GaugeState) (gauge.State, bool) { return own(states, s) })
	checkWords(t, study.Kinds, gaugedv1.StudyKind(0).Descriptor().Values(), StudyKind,
		func(n protoreflect.EnumNumber) gaugedv1.StudyKind { return gaugedv1.StudyKind(n) },
		func(k gaugedv1.StudyKind) (study.Kind, bool) { return own(studyKinds, k) })
	checkWords(t, study.Words, gaugedv1.StudyWord(0).Descriptor().Values(), StudyWord,
		func(n protoreflect.EnumNumber) gaugedv1.StudyWord { return gaugedv1.StudyWord(n) },
		func(w gaugedv1.StudyWord) (study.Word, bool) { return own(studyWords, w) })
	checkWords(t, []recall.Course{recall.CourseConstant, recall.CourseGrowing, recall.CourseFromWork}, gaugedv1.RecallModel(0).Descriptor().Values(),
		func(m recall.Course) gaugedv1.RecallModel { return contract(errorModels, m) },
		func(n protoreflect.EnumNumber) gaugedv1.RecallModel { return gaugedv1.RecallModel(n) },
		func(m gaugedv1.RecallModel) (recall.Course, bool) { return own(errorModels, m) })
	checkWords(t, []gauge.Status{gauge.StatusOK, gauge.StatusLowBattery}, gaugedv1.ReadingStatus(0).Descriptor().Values(), Status,
		func(n protoreflect.EnumNumber) gaugedv1.ReadingStatus { return gaugedv1.ReadingStatus(n) }, FromStatus)
	checkWords(t, gauge.Units(), gaugedv1.Unit(0).Descriptor().Values(), Unit,
		func(n protoreflect.EnumNumber) gaugedv1.Unit { return gaugedv1.Unit(n) },
		func(u gaugedv1.Unit) (gauge.Unit, bool) {
			unit := FromUnit(u)
			return unit, unit.Known() || u == gaugedv1.Unit_UNIT_UNSPECIFIED
		})
	checkWords(t, []job.Stage{
		job.StageMeasure, job.StageChoose, job.StageFit,
		job.StageVerify, job.StageDecided, job.StageClosed,
	}, gaugedv1.JobStage(0).Descriptor().Values(), Stage,
		func(n protoreflect.EnumNumber) gaugedv1.JobStage { return gaugedv1.JobStage(n) },
		func(s gaugedv1.JobStage) (job.Stage, bool) { return own(stages, s) })
}

func TestEveryReasonIsSentAsItIs(t *testing.T) {
	if len(gauge.Reasons) == 0 {
		t.Fatal("there are no reasons")
	}
	status := station.GaugeStatus{GaugeInfo: station.GaugeInfo{ID: "g"}, Rejected: map[gauge.Reason]uint64{}}
	for i, reason := range gauge.Reasons {
		status.Rejected[reason] = uint64(i + 1)
		if got := Reject(gauge.Fact{Reject: &gauge.Reject{Reason: reason}}).GetReason(); got != string(reason) {
			t.Errorf("reason %s is sent as %s", reason, got)
		}
	}
	for i, reason := range gauge.Reasons {
		if got := Gauge(status).GetRejected()[string(reason)]; got != uint64(i+1) {
			t.Errorf("count of %s = %d, want %d", reason, got, i+1)
		}
	}
}
