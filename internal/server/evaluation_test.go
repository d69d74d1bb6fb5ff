package server

import (
	"fmt"
	"slices"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	gaugedv1 "gauged/api/gauged/v1"
)

func ringReadings() []*gaugedv1.GivenReading {
	return []*gaugedv1.GivenReading{
		{Measurement: "depth", Shown: "25.00", Unit: mm},
		{Measurement: "depth", Shown: "27.00", Unit: mm, DiscardReason: "not seated"},
		{Measurement: "depth", Shown: "25.01", Unit: mm},
		{Measurement: "height", Shown: "23.305", Unit: mm},
	}
}

func TestEvaluate(t *testing.T) {
	r := newRig(t)
	newest := r.Newest()
	answer, err := r.evaluation.Evaluate(t.Context(), &gaugedv1.EvaluateRequest{ProcedureId: "ring", Readings: ringReadings()})
	if err != nil {
		t.Fatal(err)
	}
	e := answer.GetEvaluation()
	if e.GetOutcome() != gaugedv1.Outcome_OUTCOME_FIT_PART || e.GetFits()[0].GetChoice().GetGrade().GetPart() != "R155" || e.GetFits()[0].GetGap().GetText() != "1.700" {
		t.Errorf("evaluation = %v", e)
	}
	answer, err = r.evaluation.Evaluate(t.Context(), &gaugedv1.EvaluateRequest{
		ProcedureId: "ring", Fitted: []*gaugedv1.GivenPart{{Part: "R155", Thickness: "1.552"}},
		Readings: append(ringReadings(), &gaugedv1.GivenReading{Measurement: "end_play", Shown: "0.25", Unit: mm}),
	})
	if err != nil {
		t.Fatal(err)
	}
	e = answer.GetEvaluation()
	if e.GetOutcome() != gaugedv1.Outcome_OUTCOME_DOES_NOT_CONFORM || e.GetVerification().GetPredicted().GetText() != "0.148" {
		t.Errorf("evaluation after fitting = %v", e)
	}
	if r.Newest() != newest {
		t.Error("a stateless evaluation stored something")
	}
}

// TestEvaluateAsTheJob: with the gauges of a job the same readings give the same evaluation, with what is
// known of the gauges.
func TestEvaluateAsTheJob(t *testing.T) {
	r := newRig(t)
	gauges := map[string]string{"*": "micrometer"}
	j := r.start(gauges)
	for _, shown := range []string{"25.00", "25.01", "23.305"} {
		j = r.enter(j.GetId(), shown)
	}
	given := slices.DeleteFunc(ringReadings(), func(g *gaugedv1.GivenReading) bool { return g.GetDiscardReason() != "" })
	answer, err := r.evaluation.Evaluate(t.Context(), &gaugedv1.EvaluateRequest{ProcedureId: "ring", Readings: given, GaugeIds: gauges})
	if err != nil {
		t.Fatal(err)
	}
	got, want := answer.GetEvaluation(), j.GetEvaluation()
	for i, m := range want.GetMeasurements() {
		for k := range m.GetReadings() {
			got.GetMeasurements()[i].GetReadings()[k].Seq, m.GetReadings()[k].Seq = 0, 0
			got.GetMeasurements()[i].GetReadings()[k].GaugeId, m.GetReadings()[k].GaugeId = "", ""
		}
	}
	if len(want.GetBudgets()) == 0 || !proto.Equal(got, want) {
		t.Errorf("Evaluate says\n%v\nthe job\n%v", got, want)
	}
	_, err = r.evaluation.Evaluate(t.Context(), &gaugedv1.EvaluateRequest{ProcedureId: "ring", GaugeIds: map[string]string{"*": "micrometre"}})
	if status.Code(err) != codes.NotFound {
		t.Error(err)
	}
}

// TestEvaluateInstruments: readings of one gauge share its error, those of two do not,
// whatever their measurements are bound to.
func TestEvaluateInstruments(t *testing.T) {
	r := newRig(t)
	u := func(depth, height string) (uncertainty string, from string) {
		t.Helper()
		given := ringReadings()
		for _, g := range given {
			g.Instrument = depth
		}
		given[len(given)-1].Instrument = height
		answer, err := r.evaluation.Evaluate(t.Context(), &gaugedv1.EvaluateRequest{ProcedureId: "ring", Readings: given, GaugeIds: map[string]string{"*": "micrometer"}})
		if err != nil {
			t.Fatal(err)
		}
		readings := answer.GetEvaluation().GetMeasurements()[1].GetReadings()
		return fmt.Sprint(answer.GetEvaluation().GetBudgets()[0].GetExpandedUncertainty()), readings[0].GetGaugeId()
	}
	bound, from := u("", "")
	if bound == "" || from != "" {
		t.Errorf("%q of %q", bound, from)
	}
	if named, from := u("micrometer", "micrometer"); named != bound || from != "micrometer" {
		t.Errorf("named it is %s of %q, bound %s", named, from, bound)
	}
	apart, from := u("", "the other micrometer")
	if apart == bound || from != "the other micrometer" {
		t.Errorf("of two gauges it is %s of %q, of one %s", apart, from, bound)
	}
	if both, _ := u("a caliper", "a caliper"); both != bound {
		t.Errorf("of one caliper it is %s, of one micrometer %s", both, bound)
	}
}

func TestEvaluateErrors(t *testing.T) {
	r := newRig(t)
	one := func(m *gaugedv1.GivenReading) []*gaugedv1.GivenReading { return []*gaugedv1.GivenReading{m} }
	for _, c := range []struct {
		request *gaugedv1.EvaluateRequest
		code    codes.Code
		text    string
	}{
		{&gaugedv1.EvaluateRequest{ProcedureId: "none"}, codes.NotFound, `there is no procedure "none": there are ring, runout`},
		{
			&gaugedv1.EvaluateRequest{ProcedureId: "ring", Readings: one(&gaugedv1.GivenReading{Measurement: "depth", Shown: "25", Unit: inches})}, codes.InvalidArgument,
			"reading 1: 25 in was not taken: procedure ring measures in millimetres only; switch the gauge to millimetres and read again, or use a gauge that shows millimetres",
		},
		{&gaugedv1.EvaluateRequest{ProcedureId: "ring", Readings: one(&gaugedv1.GivenReading{Measurement: "depth", Shown: "25"})}, codes.InvalidArgument, `reading 1: depth: "25" has no unit: write it as 25 mm, 25 in or 25 um`},
		{&gaugedv1.EvaluateRequest{ProcedureId: "ring", Readings: one(&gaugedv1.GivenReading{Measurement: "depth", Shown: "0.35", Unit: gaugedv1.Unit_UNIT_NEWTON_METRE})}, codes.InvalidArgument, "reading 1: 0.35 N m was not taken: depth is a length in mm"},
		{&gaugedv1.EvaluateRequest{ProcedureId: "ring", Readings: one(&gaugedv1.GivenReading{Measurement: "width", Shown: "25", Unit: mm})}, codes.InvalidArgument, `reading 1: procedure ring has no measurement "width"`},
		{&gaugedv1.EvaluateRequest{ProcedureId: "ring", Fitted: []*gaugedv1.GivenPart{{Thickness: "1.5"}}}, codes.InvalidArgument, "a thickness of the fitted part is given, but not which part it is"},
		{&gaugedv1.EvaluateRequest{ProcedureId: "ring", Fitted: []*gaugedv1.GivenPart{{Part: "R150", Thickness: "thin"}}}, codes.InvalidArgument, `thickness: "thin" is not a length: it is not a plain decimal number`},
		{&gaugedv1.EvaluateRequest{ProcedureId: "ring", Fitted: []*gaugedv1.GivenPart{{Part: "R150", Thickness: "0"}}}, codes.InvalidArgument, "thickness 0 mm: a part is thicker than zero"},
		{&gaugedv1.EvaluateRequest{ProcedureId: "runout", Fitted: []*gaugedv1.GivenPart{{Part: "R150"}}}, codes.InvalidArgument, "procedure runout fits no part"},
	} {
		_, err := r.evaluation.Evaluate(t.Context(), c.request)
		wantStatus(t, err, c.code, c.text)
	}
}

func TestStreamEvaluations(t *testing.T) {
	r := newRig(t)
	mine := r.start(map[string]string{"depth": "pressed"}).GetId()
	r.start(map[string]string{"*": "line"})
	stream, err := r.evaluation.StreamEvaluations(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	press := func(seq uint64, shown string) {
		t.Helper()
		m := &gaugedv1.IngestedReading{SourceSeq: seq, GaugeId: "pressed", Shown: shown, Unit: mm}
		if err := stream.Send(&gaugedv1.StreamEvaluationsRequest{Source: "bench", Readings: []*gaugedv1.IngestedReading{m}}); err != nil {
			t.Fatal(err)
		}
	}
	through := func(want uint64) {
		t.Helper()
		answer, err := stream.Recv()
		if err != nil || answer.GetAcknowledged() == nil || answer.GetAcknowledged().GetDurableThroughSeq() != want {
			t.Fatalf("answer = %v, %v, want durable through %d", answer, err, want)
		}
	}
	evaluated := func() *gaugedv1.Evaluation {
		t.Helper()
		answer, err := stream.Recv()
		if err != nil || answer.GetEvaluation().GetJobId() != mine {
			t.Fatalf("answer = %v, %v, want an evaluation of job %d", answer, err, mine)
		}
		return answer.GetEvaluation().GetEvaluation()
	}
	press(1, "25.00")
	through(0)
	through(1)
	if n := len(evaluated().GetMeasurements()[0].GetReadings()); n != 1 {
		t.Errorf("%d readings, want 1", n)
	}
	press(2, "25.01")
	through(2)
	if v := evaluated().GetMeasurements()[0].GetValue().GetText(); v != "25.005" {
		t.Errorf("depth = %s, want 25.005", v)
	}
	// A change that somebody makes here is told there too, and the end as well.
	r.enter(mine, "23.305")
	if part := evaluated().GetFits()[0].GetChoice().GetGrade().GetPart(); part != "R155" {
		t.Errorf("part = %s, want R155", part)
	}
	if _, err := r.jobs.CloseJob(t.Context(), &gaugedv1.CloseJobRequest{JobId: mine, Reason: "test"}); err != nil {
		t.Fatal(err)
	}
	evaluated()
	press(3, "25.02")
	through(3)
}
