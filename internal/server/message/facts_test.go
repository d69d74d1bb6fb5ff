package message

import (
	"testing"
	"time"

	"google.golang.org/protobuf/encoding/prototext"
	"google.golang.org/protobuf/proto"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestEveryStepOfAJobIsSent: what a fact of each kind holds is in its message.
func TestEveryStepOfAJobIsSent(t *testing.T) {
	length := gauge.MustLength("1.498", gauge.Millimetre)
	limit, k, per := gauge.MustLength("0.004", gauge.Millimetre), gauge.MustLength("2", gauge.One), gauge.MustLength("11.5", gauge.One)
	for _, c := range []struct {
		kind string
		data any
		want string
	}{
		{
			job.KindStarted,
			job.StartedData{
				UnitSerial: "U-1", ProcedureHash: "p", PartsHash: "a", OtherParts: []string{"b"}, Gauges: map[string]string{"depth": "dial"}, Typed: []string{"mic"}, Warnings: []gauge.Message{gauge.Plain("due")}, Labels: job.Labels{"order": "A-1"},
				Abilities: map[string]gauge.Ability{"depth": {
					Unit: gauge.Millimetre, Error: &limit, Calibration: &gauge.Expanded{Uncertainty: limit, K: k}, Expansion: &gauge.Expansion{PerKelvin: per},
				}},
			},
			`started {
				unit_serial: "U-1" procedure_hash: "p" part_family_hashes: ["a", "b"] gauge_ids {key: "depth" value: "dial"} typed_gauge_ids: "mic" warnings {arguments {text: "due"}} labels {key: "order" value: "A-1"}
				abilities {key: "depth" value {
					error {text: "0.004" unit: UNIT_MILLIMETRE picometres: 4000000} calibration {text: "0.004" unit: UNIT_MILLIMETRE picometres: 4000000} calibration_k: 2 expansion: 11.5
				}}
			}`,
		},
		{job.KindAcknowledged, nil, `cautions_read {}`},
		{job.KindTaken, job.TakenData{Reading: 7, From: 5, Measurement: "depth"}, `taken {reading_seq: 7 from_seq: 5 measurement: "depth"}`},
		{job.KindDiscarded, job.DiscardedData{Reading: 7, Reason: "slipped"}, `discarded {reading_seq: 7 reason: "slipped"}`},
		{job.KindChosen, job.ChosenData{Place: "left", Part: "A", Reason: "why"}, `chosen {place: "left" part: "A" reason: "why"}`},
		{
			job.KindFitted,
			job.FittedData{Place: "left", Part: "A", Thickness: &length, Shown: "1.4980", Unit: gauge.Millimetre},
			`fitted {place: "left" part: "A" thickness {text: "1.4980" unit: UNIT_MILLIMETRE picometres: 1498000000}}`,
		},
		{
			job.KindVerdict,
			evaluate.Evaluation{Outcome: evaluate.Conforms, ProcedureID: "p"},
			`verdict {outcome: OUTCOME_CONFORMS evaluation {outcome: OUTCOME_CONFORMS procedure_id: "p"}}`,
		},
		{job.KindVerdict, map[string]any{"outcome": "conforms", "sums": 3}, `verdict {outcome: OUTCOME_CONFORMS}`},
		{job.KindVerified, nil, `verdict_signed {}`},
		{job.KindRound, job.RoundData{Round: 1, Readings: []uint64{3, 4}, Outcome: evaluate.Undecided}, `round {over: 1 outcome: OUTCOME_UNDECIDED reading_seqs: [3, 4]}`},
		{job.KindAside, job.AsideData{Reason: "ordered", For: "S"}, `set_aside {reason: "ordered" meant_for: "S"}`},
		{
			job.KindResumed,
			job.ResumedData{Gauges: map[string]string{"depth": ""}, Typed: []string{"mic"}, LetGo: []string{"dial"}, Warnings: []gauge.Message{gauge.Plain("due")}},
			`resumed {gauge_ids {key: "depth" value: ""} typed_gauge_ids: "mic" let_go_gauge_ids: "dial" warnings {arguments {text: "due"}}}`,
		},
		{
			job.KindGauges,
			job.GaugesData{Gauges: map[string]string{"depth": "mic"}, Before: map[string]string{"depth": "dial"}, Reason: "dropped", Typed: []string{"mic"}, Warnings: []gauge.Message{gauge.Plain("due")}},
			`gauges_changed {gauge_ids {key: "depth" value: "mic"} gauge_ids_before {key: "depth" value: "dial"} reason: "dropped" typed_gauge_ids: "mic" warnings {arguments {text: "due"}}}`,
		},
		{job.KindSerial, job.SerialData{Serial: "U-2", Before: "U-1", Reason: "typo"}, `unit_serial_corrected {unit_serial: "U-2" before: "U-1" reason: "typo"}`},
		{
			job.KindLabelled,
			job.LabelledData{Labels: job.Labels{"order": "A-2"}, Before: job.Labels{"order": "A-1"}, Reason: "typo"},
			`labelled {labels {key: "order" value: "A-2"} before {key: "order" value: "A-1"} reason: "typo"}`,
		},
		{job.KindClosed, job.ClosedData{Reason: "gave up", Warnings: []gauge.Message{gauge.Plain("due")}}, `closed {reason: "gave up" warnings {arguments {text: "due"}}}`},
	} {
		want := &gaugedv1.JobFact{}
		if err := prototext.Unmarshal([]byte(`seq: 9 by: "M" `+c.want), want); err != nil {
			t.Fatal(c.kind, err)
		}
		fact := gauge.Fact{Seq: 9, Job: &gauge.JobFact{Job: 1, By: "M", Kind: c.kind, Time: time.Time{}, Data: job.Marshal(c.data)}}
		if got := JobFact(&procedure.Procedure{Unit: gauge.Millimetre}, fact); !proto.Equal(got, want) {
			t.Errorf("%s is sent as\n%v\nwant\n%v", c.kind, got, want)
		}
	}
}
