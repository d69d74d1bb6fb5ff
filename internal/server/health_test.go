package server

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestHealthOverTheWire: a check of the readings that a gauge has sent, its
// result, the gauge after it, and its standing.
func TestHealthOverTheWire(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	ctx := t.Context()
	begun, err := c.BeginCheck(ctx, &gaugedv1.BeginCheckRequest{GaugeId: "button", By: "quality", MasterIds: []string{"zero"}})
	if err != nil {
		t.Fatal(err)
	}
	r.report("button", "0.002")
	list, err := gaugedv1.NewHistoryServiceClient(r.conn).ListReadings(ctx, &gaugedv1.ListReadingsRequest{GaugeId: "button"})
	if err != nil || len(list.GetReadings()) == 0 {
		t.Fatal(list, err)
	}
	seq := list.GetReadings()[len(list.GetReadings())-1].GetSeq()
	request := &gaugedv1.RecordCheckRequest{
		GaugeId: "button", By: "quality", Temperature: "21.5", TemperatureTolerance: "0.5",
		Found: []*gaugedv1.CheckPoint{{MasterId: "zero", ReadingSeqs: []uint64{seq}}}, BegunSeq: begun.GetBegunSeq(),
	}
	answer, err := c.RecordCheck(ctx, request)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.RecordCheck(ctx, request); status.Code(err) != codes.FailedPrecondition {
		t.Errorf("the same readings again: %v", err)
	}
	found := answer.GetCheck().GetFound()
	if found.GetError().GetPicometres() != 2_000_000 || found.GetVerdict() != gaugedv1.CheckVerdict_CHECK_VERDICT_NO_LIMIT || answer.GetGauge().GetCheckCount() != 1 {
		t.Errorf("%v", answer)
	}
	checks, err := c.ListChecks(ctx, &gaugedv1.ListChecksRequest{GaugeId: "button"})
	if err != nil || len(checks.GetChecks()) != 1 || checks.GetChecks()[0].GetBy() != "quality" {
		t.Errorf("%v, %v", checks, err)
	}
	if _, err := c.SetStanding(ctx, &gaugedv1.SetStandingRequest{GaugeId: "button", Standing: gaugedv1.Standing_STANDING_SUSPECT, Reason: "fell down", By: "quality"}); err != nil {
		t.Error(err)
	}
	signs, err := c.FindSigns(ctx, &gaugedv1.FindSignsRequest{GaugeId: "button"})
	if err != nil || len(signs.GetSigns()) < 2 || signs.GetSigns()[0].GetRefused() == nil {
		t.Errorf("%v, %v", signs, err)
	}
	health, err := c.ListHealth(ctx, &gaugedv1.ListHealthRequest{})
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range health.GetGauges() {
		if g.GetGaugeId() == "button" && (g.GetStanding() != gaugedv1.Standing_STANDING_SUSPECT || english(g.GetStandingReason()) != "fell down" || g.GetRateRefused() == nil) {
			t.Errorf("%v", g)
		}
	}
	for text, change := range map[string]func(*gaugedv1.RecordCheckRequest){
		`temperature: "warm" is not a temperature: it is not a plain decimal number`: func(r *gaugedv1.RecordCheckRequest) { r.Temperature = "warm" },
		`tolerance of the temperature: "-1" is no number of kelvin, 0 or more`:       func(r *gaugedv1.RecordCheckRequest) { r.TemperatureTolerance = "-1" },
		"a tolerance without a temperature says nothing":                             func(r *gaugedv1.RecordCheckRequest) { r.Temperature = "" },
	} {
		wrong := &gaugedv1.RecordCheckRequest{GaugeId: "button", By: "q", Temperature: "21.5", TemperatureTolerance: "0.5", Found: request.Found}
		change(wrong)
		_, err := c.RecordCheck(ctx, wrong)
		if st := status.Convert(err); st.Code() != codes.InvalidArgument || st.Message() != text {
			t.Errorf("got %v, want %s", err, text)
		}
	}
}

// TestTypedCheckOverTheWire: a gauge without a connection is checked with typed values,
// its zero return is a check that passes none, and it has advice and counts.
func TestTypedCheckOverTheWire(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	ctx := t.Context()
	typed := func(shown string) *gaugedv1.TypedReading {
		return &gaugedv1.TypedReading{Shown: shown, Unit: gaugedv1.Unit_UNIT_MILLIMETRE}
	}
	zero, err := c.RecordZeroReturn(ctx, &gaugedv1.RecordZeroReturnRequest{GaugeId: "micrometer", By: "quality", Typed: typed("0.001"), Remark: "wiped"})
	if err != nil || !zero.GetCheck().GetZeroReturn() || zero.GetGauge().GetLastCheck() != nil || zero.GetGauge().GetLastZeroReturn().GetRemark() != "wiped" {
		t.Fatalf("%v, %v", zero, err)
	}
	answer, err := c.RecordCheck(ctx, &gaugedv1.RecordCheckRequest{
		GaugeId: "micrometer", By: "quality", Found: []*gaugedv1.CheckPoint{{MasterId: "zero", Typed: []*gaugedv1.TypedReading{typed("0.001"), typed("0.002")}}},
	})
	if err != nil || answer.GetCheck().GetFound().GetVerdict() != gaugedv1.CheckVerdict_CHECK_VERDICT_PASS || answer.GetGauge().GetCheckCount() != 2 {
		t.Fatalf("%v, %v", answer, err)
	}
	mistaken, err := c.RecordCheck(ctx, &gaugedv1.RecordCheckRequest{
		GaugeId: "micrometer", By: "quality", Found: []*gaugedv1.CheckPoint{{MasterId: "zero", Typed: []*gaugedv1.TypedReading{typed("0.900"), typed("0.900")}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	voided, err := c.VoidCheck(ctx, &gaugedv1.VoidCheckRequest{GaugeId: "micrometer", CheckSeq: mistaken.GetCheck().GetSeq(), Reason: "wrong master", By: "chief"})
	if err != nil || voided.GetGauge().GetCheckCount() != 2 || voided.GetGauge().GetStanding() != gaugedv1.Standing_STANDING_IN_SERVICE {
		t.Fatalf("%v, %v", voided, err)
	}
	checks, err := c.ListChecks(ctx, &gaugedv1.ListChecksRequest{GaugeId: "micrometer"})
	if err != nil || len(checks.GetChecks()) != 3 || checks.GetChecks()[2].GetVoided().GetReason() != "wrong master" || checks.GetChecks()[1].GetVoided() != nil {
		t.Fatalf("%v, %v", checks, err)
	}
	standings, err := c.ListStandings(ctx, &gaugedv1.ListStandingsRequest{})
	if changes := standings.GetChanges(); err != nil || len(changes) != 2 || changes[0].GetGaugeId() != "micrometer" || changes[0].GetStanding() != gaugedv1.Standing_STANDING_SUSPECT || changes[1].GetBy() != "chief" {
		t.Errorf("%v", changes)
	}
	job := r.start(map[string]string{"*": "micrometer"})
	jobs := gaugedv1.NewJobServiceClient(r.conn)
	entered, err := jobs.EnterReading(ctx, &gaugedv1.EnterReadingRequest{JobId: job.GetId(), Shown: "25.40", Unit: gaugedv1.Unit_UNIT_MILLIMETRE})
	if err != nil || entered.GetReading().GetGaugeId() != "micrometer" {
		t.Fatalf("%v, %v", entered, err)
	}
	list, err := c.ListHealth(ctx, &gaugedv1.ListHealthRequest{})
	if err != nil {
		t.Fatal(err)
	}
	g := list.GetGauges()[len(list.GetGauges())-1]
	plan := g.GetPlan()
	if g.GetJobsSinceCheck() != 1 || g.GetReadingsSinceCheck() != 3 || len(g.GetAdviceRefused()) == 0 || plan.GetBeforeJobWithin().AsDuration() != 8*time.Hour ||
		!plan.GetAfterEachJob() || plan.GetZeroReturnWithin().GetText() != "0.02" {
		t.Errorf("%v", g)
	}
	if _, err := c.SetStanding(ctx, &gaugedv1.SetStandingRequest{GaugeId: "micrometer", Standing: gaugedv1.Standing_STANDING_SUSPECT, Reason: "fell down", By: "q"}); err != nil {
		t.Fatal(err)
	}
	shown, err := jobs.GetJob(ctx, &gaugedv1.GetJobRequest{JobId: job.GetId()})
	if err != nil || len(shown.GetJob().GetWarnings()) != 1 || !strings.HasPrefix(english(shown.GetJob().GetWarnings()[0]), "gauge micrometer is suspect: fell down") {
		t.Errorf("%q, %v", shown.GetJob().GetWarnings(), err)
	}
	_, err = jobs.EnterReading(ctx, &gaugedv1.EnterReadingRequest{JobId: job.GetId(), Shown: "25.40", Unit: gaugedv1.Unit_UNIT_MILLIMETRE})
	if st := status.Convert(err); st.Code() != codes.FailedPrecondition || st.Message() != "gauge micrometer is suspect: fell down: take another gauge" {
		t.Errorf("got %v", err)
	}
	_, err = c.RecordZeroReturn(ctx, &gaugedv1.RecordZeroReturnRequest{GaugeId: "button", By: "q"})
	if st := status.Convert(err); st.Code() != codes.FailedPrecondition {
		t.Errorf("got %v", err)
	}
}

// recallOf is the first message of a recall.
func recallOf(t *testing.T, c gaugedv1.HealthServiceClient, request *gaugedv1.RecallRequest) (*gaugedv1.RecallResponse, error) {
	t.Helper()
	stream, err := c.Recall(t.Context(), request)
	if err != nil {
		return nil, err
	}
	return stream.Recv()
}

// TestRecallOverTheWire: a job measured with a gauge that shows too much.
func TestRecallOverTheWire(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	job := r.start(map[string]string{"*": "button"})
	r.report("button", "25.43")
	answer, err := recallOf(t, c, &gaugedv1.RecallRequest{GaugeId: "button", Error: "0.03", Unit: gaugedv1.Unit_UNIT_MILLIMETRE})
	if err != nil || len(answer.GetItems()) != 1 || answer.GetItems()[0].GetJobId() != job.GetId() || answer.GetError().GetPicometres() != 30_000_000 {
		t.Errorf("%v, %v", answer, err)
	}
	for want, request := range map[string]*gaugedv1.RecallRequest{
		`error: "much" is not a length: it is not a plain decimal number`: {GaugeId: "button", Error: "much", Unit: gaugedv1.Unit_UNIT_MILLIMETRE},
		"error: N is no unit of length":                                   {GaugeId: "button", Error: "1", Unit: gaugedv1.Unit_UNIT_NEWTON},
		"since_time is no time of the years 1 to 9999":                    {GaugeId: "button", Error: "0.03", Unit: gaugedv1.Unit_UNIT_MILLIMETRE, SinceTime: &timestamppb.Timestamp{Seconds: 1e17}},
		`point 1: reading: "" is not a length: there are no digits`:       {GaugeId: "button", Points: []*gaugedv1.RecallPoint{{Error: "1", Unit: gaugedv1.Unit_UNIT_MILLIMETRE}}},
	} {
		if _, err := recallOf(t, c, request); status.Convert(err).Message() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

// TestRecallOfACurve: what is taken off is the error where the gauge was read, between
// two points and beyond them.
func TestRecallOfACurve(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	r.start(map[string]string{"*": "button"})
	r.report("button", "25.43")
	const unit = gaugedv1.Unit_UNIT_MILLIMETRE
	points := []*gaugedv1.RecallPoint{
		{MasterId: "small", Reading: "20", Error: "0.02", Unit: unit}, {MasterId: "large", Reading: "30", Error: "0.06", StandardUncertainty: "0.001", Unit: unit},
	}
	answer, err := recallOf(t, c, &gaugedv1.RecallRequest{GaugeId: "button", Points: points})
	if err != nil || len(answer.GetItems()) != 1 || answer.GetItems()[0].GetBeyond() || answer.GetBeyondCount() != 0 || answer.GetError().GetPicometres() != 60_000_000 {
		t.Fatalf("%v, %v", answer, err)
	}
	if p := answer.GetPoints(); len(p) != 2 || p[1].GetMasterId() != "large" || p[1].GetReading() != "30" || p[1].GetStandardUncertainty() != "0.0010" {
		t.Errorf("%v", p)
	}
	points[1].Reading = "25"
	if answer, err = recallOf(t, c, &gaugedv1.RecallRequest{GaugeId: "button", Points: points}); err != nil || answer.GetBeyondCount() != 1 || !answer.GetItems()[0].GetBeyond() {
		t.Errorf("beyond: %v, %v", answer, err)
	}
}

// TestRecallStreams: the first message has the head, all have the jobs, and what
// contradicts itself is refused.
func TestRecallStreams(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	job := r.start(map[string]string{"*": "button"})
	r.report("button", "25.43")
	receive := func(request *gaugedv1.RecallRequest) (*gaugedv1.RecallResponse, error) {
		stream, err := c.Recall(t.Context(), request)
		if err != nil {
			return nil, err
		}
		first, err := stream.Recv()
		if err != nil {
			return nil, err
		}
		if _, err := stream.Recv(); !errors.Is(err, io.EOF) {
			t.Errorf("after the first message: %v", err)
		}
		return first, nil
	}
	given := &gaugedv1.RecallRequest{GaugeId: "button", Error: "30", StandardUncertainty: "1.5", Unit: gaugedv1.Unit_UNIT_MICROMETRE}
	answer, err := receive(given)
	if err != nil {
		t.Fatal(err)
	}
	if items := answer.GetItems(); len(items) != 1 || items[0].GetJobId() != job.GetId() || items[0].GetChange() != gaugedv1.RecallChange_RECALL_CHANGE_KEPT {
		t.Errorf("%v", answer)
	}
	if answer.GetModel() != gaugedv1.RecallModel_RECALL_MODEL_CONSTANT || answer.GetStandardUncertainty().GetPicometres() != 1_500_000 || answer.GetUntilTime() == nil || answer.GetCheck() != nil {
		t.Errorf("%v", answer)
	}
	given.SinceTime = timestamppb.Now() // after the start of the job
	if answer, err := receive(given); err != nil || len(answer.GetItems()) != 0 || answer.GetError().GetPicometres() != 30_000_000 {
		t.Errorf("without a job: %v, %v", answer, err)
	}
	for want, request := range map[string]*gaugedv1.RecallRequest{
		"an error either grew evenly or is what the jobs tell: leave one of them out":                                        {GaugeId: "button", FromWork: true, Growing: true},
		"no job of the last 400 days compares gauge button with another one: give the error that was found, shown less true": {GaugeId: "button", FromWork: true},
		`standard uncertainty: "little" is not a length: it is not a plain decimal number`:                                   {GaugeId: "button", Error: "1", StandardUncertainty: "little", Unit: gaugedv1.Unit_UNIT_MICROMETRE},
		"an error that the jobs tell is not given as well: leave one of them out":                                            {GaugeId: "button", Error: "1", FromWork: true, Unit: gaugedv1.Unit_UNIT_MICROMETRE},
	} {
		if _, err := receive(request); status.Convert(err).Message() != want || status.Code(err) != codes.InvalidArgument {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

// TestOneClock: calls tell the time by the station's clock, as a test or a demo sets it.
func TestOneClock(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) < 10 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		source, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasSuffix(file, "_test.go") && strings.Contains(string(source), "time.Now()") {
			t.Errorf("%s has a clock of its own", file)
		}
	}
}

// TestCheckOfAMissingReading: a check of a number that is no reading says so; it is no
// fault of the daemon.
func TestCheckOfAMissingReading(t *testing.T) {
	r := newRig(t)
	r.report("line", "0.001")
	for _, seq := range []uint64{1, 999_999} { // a fact that is no reading, and none at all
		_, err := gaugedv1.NewHealthServiceClient(r.conn).RecordCheck(t.Context(), &gaugedv1.RecordCheckRequest{
			GaugeId: "line", By: "ada", Found: []*gaugedv1.CheckPoint{{MasterId: "zero", ReadingSeqs: []uint64{seq}}},
		})
		wantStatus(t, err, codes.NotFound, fmt.Sprintf("there is no reading %d", seq))
	}
}
