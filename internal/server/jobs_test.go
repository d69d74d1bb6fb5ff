package server

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"gauged/internal/gauge"
	"gauged/internal/station"
	"gauged/internal/wire"
	"gauged/internal/words"

	gaugedv1 "gauged/api/gauged/v1"
)

const (
	mm     = gaugedv1.Unit_UNIT_MILLIMETRE
	inches = gaugedv1.Unit_UNIT_INCH
)

func (r *rig) start(gauges map[string]string) *gaugedv1.Job {
	r.t.Helper()
	answer, err := r.jobs.StartJob(r.t.Context(), &gaugedv1.StartJobRequest{
		ProcedureId: "ring", UnitSerial: "U1", By: "M", GaugeIds: gauges,
	})
	if err != nil {
		r.t.Fatal(err)
	}
	return answer.GetJob()
}

// enter types a value in for the measurement that is due.
func (r *rig) enter(job uint64, shown string) *gaugedv1.Job {
	r.t.Helper()
	answer, err := r.jobs.EnterReading(r.t.Context(), &gaugedv1.EnterReadingRequest{JobId: job, Shown: shown, Unit: mm, Instrument: "caliper"})
	if err != nil {
		r.t.Fatal(err)
	}
	return answer.GetJob()
}

// previews asks what other parts would leave, which changes nothing.
func (r *rig) previews(j *gaugedv1.Job) {
	r.t.Helper()
	for _, c := range []struct {
		request *gaugedv1.RecordFittedPartRequest
		want    string
	}{
		{&gaugedv1.RecordFittedPartRequest{}, "R155 1.550 leaves 0.150, fits true, unexpected false, []"},
		{&gaugedv1.RecordFittedPartRequest{Part: "R155", Thickness: "1.63", Unit: mm}, "R155 1.630 leaves 0.070, fits false, unexpected true, [thickness predicted_outside]"},
		{&gaugedv1.RecordFittedPartRequest{Part: "R150"}, "R150 1.500 leaves 0.200, fits true, unexpected true, [other_part]"},
		{&gaugedv1.RecordFittedPartRequest{Part: "X"}, "X  leaves , fits false, unexpected true, [unknown_part]"},
	} {
		c.request.JobId, c.request.ValidateOnly = j.GetId(), true
		answer, err := r.jobs.RecordFittedPart(r.t.Context(), c.request)
		if err != nil {
			r.t.Fatal(err)
		}
		f, codes := answer.GetFits()[0], []string{}
		for _, w := range f.GetWarnings() {
			codes = append(codes, w.GetCode())
		}
		if got := fmt.Sprintf("%s %s leaves %s, fits %v, unexpected %v, %v", f.GetPart().GetPart(), f.GetPart().GetThickness().GetText(), f.GetPlay().GetText(), f.GetFits(), f.GetUnexpected(), codes); got != c.want || f.GetRecommended() != "R155" {
			r.t.Errorf("got  %s (recommended %s)\nwant %s", got, f.GetRecommended(), c.want)
		}
	}
	after, err := r.jobs.GetJob(r.t.Context(), &gaugedv1.GetJobRequest{JobId: j.GetId()})
	if err != nil || after.GetJob().GetLastSeq() != j.GetLastSeq() {
		r.t.Errorf("previews were stored: entry %d after %d, %v", after.GetJob().GetLastSeq(), j.GetLastSeq(), err)
	}
}

func TestWholeJob(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{"depth": "button"}).GetId()
	r.report("button", "25.00")
	r.report("button", "25.01")
	r.enter(id, "23.305")
	got, err := r.jobs.GetJob(t.Context(), &gaugedv1.GetJobRequest{JobId: id})
	if err != nil {
		t.Fatal(err)
	}
	j := got.GetJob()
	if part := j.GetEvaluation().GetFits()[0].GetChoice().GetGrade().GetPart(); part != "R155" || j.GetStage() != gaugedv1.JobStage_JOB_STAGE_CHOOSE {
		t.Fatalf("part %q in stage %v, want R155 to choose", part, j.GetStage())
	}
	if gap := j.GetEvaluation().GetFits()[0].GetGap(); gap.GetText() != "1.700" || gap.GetPicometres() != 1_700_000_000 || gap.GetUnit() != mm {
		t.Errorf("gap = %v", gap)
	}
	r.previews(j)
	if _, err := r.jobs.ChoosePart(t.Context(), &gaugedv1.ChoosePartRequest{JobId: id}); err != nil {
		t.Fatal(err)
	}
	if _, err := r.jobs.RecordFittedPart(t.Context(), &gaugedv1.RecordFittedPartRequest{JobId: id, Thickness: "1.551", Unit: mm, By: "N"}); err != nil {
		t.Fatal(err)
	}
	r.enter(id, "0.15")
	verified, err := r.jobs.VerifyJob(t.Context(), &gaugedv1.VerifyJobRequest{JobId: id})
	if err != nil {
		t.Fatal(err)
	}
	if o := verified.GetJob().GetEvaluation().GetOutcome(); o != gaugedv1.Outcome_OUTCOME_CONFORMS {
		t.Errorf("outcome = %v", o)
	}
	closed, err := r.jobs.CloseJob(t.Context(), &gaugedv1.CloseJobRequest{JobId: id})
	if err != nil {
		t.Fatal(err)
	}
	if j := closed.GetJob(); j.GetStage() != gaugedv1.JobStage_JOB_STAGE_CLOSED || j.GetCloseTime() == nil {
		t.Errorf("closed as %v at %v", j.GetStage(), j.GetCloseTime())
	}
	r.checkStory(id)
}

// checkStory reads back what the history has of the job.
func (r *rig) checkStory(id uint64) {
	r.t.Helper()
	facts, err := r.history.ListJobFacts(r.t.Context(), &gaugedv1.ListJobFactsRequest{JobId: id})
	if err != nil {
		r.t.Fatal(err)
	}
	counts := map[string]int{}
	for _, f := range facts.GetFacts() {
		counts[stepOf(f)]++
	}
	if counts["started"] != 1 || counts["taken"] != 4 || counts["verdict"] == 0 || counts["closed"] != 1 {
		r.t.Errorf("steps = %v", counts)
	}
	replay, err := r.history.ReplayVerdicts(r.t.Context(), &gaugedv1.ReplayVerdictsRequest{})
	if err != nil {
		r.t.Fatal(err)
	}
	if replay.GetJobCount() != 1 || int(replay.GetVerdictCount()) != counts["verdict"] || len(replay.GetDifferences()) != 0 {
		r.t.Errorf("replay = %v", replay)
	}
}

func TestCaptureAndDiscard(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{"*": "line"}).GetId()
	r.Report(station.Report{State: &gauge.StateChange{Gauge: "line", State: gauge.StateLive, Time: reading("line", "1").Time}})
	r.report("line", "25.00")
	captured, err := r.jobs.CaptureReading(t.Context(), &gaugedv1.CaptureReadingRequest{JobId: id})
	if err != nil {
		t.Fatal(err)
	}
	if m := captured.GetReading(); m.GetValue().GetText() != "25.00" || m.GetGaugeId() != "line" || m.GetNumber() != 1 || string(m.GetRaw()) != "25.00\r\n" {
		t.Errorf("reading = %v", m)
	}
	discarded, err := r.jobs.DiscardReading(t.Context(), &gaugedv1.DiscardReadingRequest{JobId: id, Reason: "not seated"})
	if err != nil {
		t.Fatal(err)
	}
	if taken := discarded.GetJob().GetEvaluation().GetMeasurements()[0].GetReadings(); len(taken) != 1 || taken[0].GetDiscardReason() != "not seated" {
		t.Errorf("readings = %v", taken)
	}
}

func TestJobErrors(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{"depth": "button"}).GetId()
	ctx := t.Context()
	call := func(_ any, err error) error { return err }
	for _, c := range []struct {
		err  error
		code codes.Code
		text string
	}{
		{call(r.jobs.GetJob(ctx, &gaugedv1.GetJobRequest{JobId: 9})), codes.NotFound, "there is no job 9"},
		{call(r.jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "none"})), codes.NotFound, `there is no procedure "none": there are ring, runout`},
		{call(r.jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "ring", By: "M"})), codes.InvalidArgument, "a job needs the serial number of the unit"},
		{
			call(r.jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "U2", By: "M", GaugeIds: map[string]string{"*": "button"}})),
			codes.FailedPrecondition, "the button of gauge button feeds job 1 (unit U1), which is still open; close it or set it aside first",
		},
		{call(r.jobs.CaptureReading(ctx, &gaugedv1.CaptureReadingRequest{JobId: id})), codes.FailedPrecondition, "gauge button sends at the press of its button; press it"},
		{call(r.jobs.EnterReading(ctx, &gaugedv1.EnterReadingRequest{JobId: id, Shown: "1,5", Unit: mm})), codes.InvalidArgument, `"1,5" is not a length: the decimal sign must be a point, not a comma`},
		{call(r.jobs.EnterReading(ctx, &gaugedv1.EnterReadingRequest{JobId: id, Shown: "1.5"})), codes.InvalidArgument, `depth: "1.5" has no unit: write it as 1.5 mm, 1.5 in or 1.5 um`},
		{call(r.jobs.DiscardReading(ctx, &gaugedv1.DiscardReadingRequest{JobId: id, Reason: "x"})), codes.FailedPrecondition, "job 1 has no reading that counts"},
		{call(r.jobs.ChoosePart(ctx, &gaugedv1.ChoosePartRequest{JobId: id})), codes.FailedPrecondition, "job 1 is not measured yet; measure before a part is fitted"},
		{call(r.jobs.RecordFittedPart(ctx, &gaugedv1.RecordFittedPartRequest{JobId: id, Thickness: "-1", Unit: mm})), codes.InvalidArgument, "thickness -1 mm: a part is thicker than zero"},
		{call(r.jobs.RecordFittedPart(ctx, &gaugedv1.RecordFittedPartRequest{JobId: id, Part: "R155", ValidateOnly: true})), codes.FailedPrecondition, "job 1 is not measured yet; measure before a part is fitted"},
		{call(r.jobs.RecordFittedPart(ctx, &gaugedv1.RecordFittedPartRequest{JobId: 9})), codes.NotFound, "there is no job 9"},
		{call(r.jobs.VerifyJob(ctx, &gaugedv1.VerifyJobRequest{JobId: id})), codes.FailedPrecondition, "job 1 has no verdict yet: measure depth"},
		{call(r.jobs.CloseJob(ctx, &gaugedv1.CloseJobRequest{JobId: id})), codes.InvalidArgument, "job 1 is not finished (measure depth); give a reason to close it"},
	} {
		wantStatus(t, c.err, c.code, c.text)
	}
	if text := r.log.String(); text != "" {
		t.Errorf("errors that the caller can mend were logged: %s", text)
	}
}

func TestListJobs(t *testing.T) {
	r := newRig(t)
	for range 3 {
		r.start(nil)
	}
	if _, err := r.jobs.CloseJob(t.Context(), &gaugedv1.CloseJobRequest{JobId: 2, Reason: "test"}); err != nil {
		t.Fatal(err)
	}
	for want, request := range map[string]*gaugedv1.ListJobsRequest{
		"[3 2 1]": {},
		"[3 1]":   {OpenOnly: true},
		"[3 2]":   {PageSize: 2},
		"[]":      {UnitSerial: "other"},
	} {
		answer, err := r.jobs.ListJobs(t.Context(), request)
		if err != nil {
			t.Fatal(err)
		}
		ids := []uint64{}
		for _, j := range answer.GetJobs() {
			ids = append(ids, j.GetId())
		}
		wantText(t, ids, want)
	}
	for want, request := range map[string]*gaugedv1.ListJobsRequest{
		`there is no gauge "nobody"`:     {GaugeId: "nobody"},
		`there is no procedure "nobody"`: {ProcedureId: "nobody"},
	} {
		_, err := r.jobs.ListJobs(t.Context(), request)
		if s := status.Convert(err); s.Code() != codes.NotFound || !strings.HasPrefix(s.Message(), want) {
			t.Errorf("%v: %v", request, err)
		}
	}
	if answer, err := r.jobs.ListJobs(t.Context(), &gaugedv1.ListJobsRequest{ProcedureId: "ring", UnitSerial: "other"}); err != nil || len(answer.GetJobs()) != 0 {
		t.Errorf("no job of a procedure that is there: %v, %v", answer, err)
	}
}

func TestWatchJob(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{"depth": "button"}).GetId()
	stream, err := r.jobs.WatchJob(t.Context(), &gaugedv1.WatchJobRequest{JobId: id})
	if err != nil {
		t.Fatal(err)
	}
	next := func() *gaugedv1.Job {
		t.Helper()
		answer, err := stream.Recv()
		if err != nil {
			t.Fatal(err)
		}
		return answer.GetJob()
	}
	if j := next(); j.GetMeasuring() != "depth" {
		t.Errorf("at once: measuring %q", j.GetMeasuring())
	}
	r.report("button", "25.00")
	if j := next(); len(j.GetEvaluation().GetMeasurements()[0].GetReadings()) != 1 {
		t.Errorf("after a reading: %v", j.GetEvaluation())
	}
	r.report("button", "25.01")
	if j := next(); j.GetMeasuring() != "height" {
		t.Errorf("after the second reading: measuring %q", j.GetMeasuring())
	}
	// A reading that is not taken changes only the notice, each time anew.
	for range 2 {
		r.report("button", "25.02")
		if j := next(); words.In(words.English).Tell(wire.FromMessage(j.GetNotice())) != "the reading 25.02 mm of button was not taken: height has no gauge and is typed in" {
			t.Errorf("notice = %q", j.GetNotice())
		}
	}
	if _, err := r.jobs.CloseJob(t.Context(), &gaugedv1.CloseJobRequest{JobId: id, Reason: "test"}); err != nil {
		t.Fatal(err)
	}
	if j := next(); j.GetStage() != gaugedv1.JobStage_JOB_STAGE_CLOSED || j.GetCloseReason() != "test" {
		t.Errorf("closed: %v", j)
	}
	if _, err := stream.Recv(); err == nil || err.Error() != "EOF" {
		t.Errorf("after the job was closed: %v, want EOF", err)
	}
}

func TestWatchJobErrors(t *testing.T) {
	r := newRig(t)
	stream, err := r.jobs.WatchJob(t.Context(), &gaugedv1.WatchJobRequest{JobId: 4})
	if err != nil {
		t.Fatal(err)
	}
	_, err = stream.Recv()
	wantStatus(t, err, codes.NotFound, "there is no job 4")

	id := r.start(nil).GetId()
	ctx, cancel := context.WithCancel(t.Context())
	stream, err = r.jobs.WatchJob(ctx, &gaugedv1.WatchJobRequest{JobId: id})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); err != nil {
		t.Fatal(err)
	}
	cancel()
	_, err = stream.Recv()
	wantStatus(t, err, codes.Canceled, "context canceled")
}

func TestProcedures(t *testing.T) {
	r := newRig(t)
	all, err := r.procedures.ListProcedures(t.Context(), &gaugedv1.ListProceduresRequest{})
	if err != nil {
		t.Fatal(err)
	}
	ids := []string{}
	for _, p := range all.GetProcedures() {
		ids = append(ids, p.GetId())
	}
	wantText(t, ids, "[ring runout]")
	one, err := r.procedures.GetProcedure(t.Context(), &gaugedv1.GetProcedureRequest{ProcedureId: "ring"})
	if err != nil {
		t.Fatal(err)
	}
	if grades := one.GetPartFamilies()[0].GetGrades(); len(grades) != 3 || grades[2].GetThickness().GetText() != "1.600" {
		t.Errorf("grades = %v", grades)
	}
	_, err = r.procedures.GetProcedure(t.Context(), &gaugedv1.GetProcedureRequest{ProcedureId: "none"})
	wantStatus(t, err, codes.NotFound, `there is no procedure "none": there are ring, runout`)
}

// stepOf is the name of a step of a job.
func stepOf(f *gaugedv1.JobFact) string {
	m := f.ProtoReflect()
	if step := m.WhichOneof(m.Descriptor().Oneofs().ByName("step")); step != nil {
		return string(step.Name())
	}
	return ""
}
