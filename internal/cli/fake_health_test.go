package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
	"gauged/internal/gauge"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

func testPoint(master, mean, reference, err string) *pb.CheckPointResult {
	return &pb.CheckPointResult{MasterId: master, Mean: clitest.MM(mean), Reference: clitest.MM(reference), Error: clitest.MM(err), ExpandedUncertainty: clitest.MM("0.0012"), Repeats: 2, K: 2.086, DegreesOfFreedom: 20}
}

func testCheck(verdict pb.CheckVerdict) *pb.MasterCheck {
	zero, block := testPoint("zero", "0.0010", "0.0000", "0.0010"), testPoint("block-25", "25.0060", "25.0001", "0.0059")
	zero.Verdict, zero.Probability = pb.CheckVerdict_CHECK_VERDICT_PASS, proto.Float64(0.9999)
	block.Verdict, block.Probability = verdict, proto.Float64(0.002)
	return &pb.MasterCheck{
		Seq: 88, Time: clitest.At(88), By: "quality", Occasion: "periodic",
		Found: &pb.CheckResult{Points: []*pb.CheckPointResult{zero, block}, Error: clitest.MM("0.0035"), Worst: block, Decides: block, Limit: clitest.MM("0.0040"), Verdict: verdict},
	}
}

func testHealth() *pb.ListHealthResponse {
	day := func(n int) *timestamppb.Timestamp {
		return timestamppb.New(time.Date(2026, 3, n, 12, 0, 0, 0, time.UTC))
	}
	return &pb.ListHealthResponse{
		Gauges: []*pb.GaugeHealth{
			{
				GaugeId: "dial-2", Standing: pb.Standing_STANDING_SUSPECT, StandingReason: wire.Message(gauge.Say("turn.failed", gauge.Nested("check", gauge.Say("turn.check", gauge.Moment("when", day(9).AsTime()))))), StandingSinceTime: day(9),
				Plan: &pb.CheckPlan{EveryDays: 30, MasterIds: []string{"zero", "block-25"}, Repeats: 2, BeforeEachJob: true, AfterEachJob: true, Blocks: true, ZeroReturnWithin: clitest.MM("0.02")}, DueTime: day(30), CheckCount: 12,
				LastCheck:      testCheck(pb.CheckVerdict_CHECK_VERDICT_FAIL),
				Rate:           &pb.DriftRate{RatePerDay: clitest.MM("0.000120"), StandardErrorPerDay: clitest.MM("0.0000300"), Significant: true, LimitReachedEarlyTime: day(20), LimitReachedTime: day(25)},
				Charts:         []pb.ControlChart{pb.ControlChart_CONTROL_CHART_CUSUM, pb.ControlChart_CONTROL_CHART_EWMA, pb.ControlChart_CONTROL_CHART_INDIVIDUALS},
				Signals:        []*pb.ChartSignal{{Chart: pb.ControlChart_CONTROL_CHART_CUSUM, Point: "block-25", What: wire.Message(gauge.Plain("upper sum above its limit"))}},
				JobsSinceCheck: 7, ReadingsSinceCheck: 1, AdviceRefused: wire.Messages([]gauge.Message{gauge.Say("advice.in_unit", gauge.Word("unit", "advice.in_uses"), gauge.Nested("why", gauge.Say("advice.one_check")))}),
				Advice: []*pb.IntervalAdvice{
					{Unit: pb.IntervalUnit_INTERVAL_UNIT_DAYS, Method: pb.IntervalMethod_INTERVAL_METHOD_STAIRCASE, Change: pb.IntervalChange_INTERVAL_CHANGE_REDUCE, Next: 21, Reasons: wire.Messages([]gauge.Message{gauge.Plain("the error as found is outside the limit")})},
					{Unit: pb.IntervalUnit_INTERVAL_UNIT_DAYS, Method: pb.IntervalMethod_INTERVAL_METHOD_CONTROL_CHART, Change: pb.IntervalChange_INTERVAL_CHANGE_CHECK_NOW, Reasons: wire.Messages([]gauge.Message{gauge.Plain("the band is across the limit"), gauge.Plain("the rate is not significant")})},
				},
				Work: &pb.WorkError{Error: clitest.MM("0.00620"), StandardUncertainty: clitest.MM("0.00110"), Alarm: true},
			},
			{GaugeId: "depth-1", Standing: pb.Standing_STANDING_IN_SERVICE, Overdue: true, RateRefused: wire.Message(gauge.Say("trend.no_checks"))},
			{
				GaugeId: "mic", Standing: pb.Standing_STANDING_IN_SERVICE, StandingReason: wire.Message(gauge.Plain("I trust it")), StandingSinceTime: day(10), Overdue: true, RateRefused: wire.Message(gauge.Say("trend.no_checks")),
				DueReason: wire.Message(gauge.Say("due.by_hand", gauge.Text("gauge", "mic"), gauge.Nested("check", gauge.Say("turn.check", gauge.Moment("when", day(9).AsTime()))),
					gauge.Moment("when", day(10).AsTime()), gauge.Text("by", "ann"), gauge.Text("why", "I trust it"))),
			},
		},
	}
}

func (f *fakeStation) ListHealth(context.Context, *pb.ListHealthRequest) (*pb.ListHealthResponse, error) {
	return testHealth(), nil
}

func (f *fakeStation) GetHealth(_ context.Context, r *pb.GetHealthRequest) (*pb.GetHealthResponse, error) {
	for _, g := range testHealth().GetGauges() {
		if g.GetGaugeId() == r.GetGaugeId() {
			return &pb.GetHealthResponse{Gauge: g}, nil
		}
	}
	return &pb.GetHealthResponse{Gauge: &pb.GaugeHealth{GaugeId: r.GetGaugeId()}}, nil
}

func (f *fakeStation) ListMasters(context.Context, *pb.ListMastersRequest) (*pb.ListMastersResponse, error) {
	day := func(n int) *timestamppb.Timestamp {
		return timestamppb.New(time.Date(2026, 3, n, 12, 0, 0, 0, time.UTC))
	}
	return &pb.ListMastersResponse{Masters: []*pb.Master{{Id: "block-25", Title: "Gauge block", Value: clitest.MM("25.0001"), DueTime: day(31)}, {Id: "block-50", Value: clitest.MM("50"), DueTime: day(1), Overdue: true}, {Id: "zero", Value: clitest.MM("0")}}}, nil
}

func (f *fakeStation) ListStandings(context.Context, *pb.ListStandingsRequest) (*pb.ListStandingsResponse, error) {
	head := &pb.HistoryHead{Line: "gauged-head-1 48213 2026-03-02T07:00:00Z bench-1 9f86d081884c7d65 00"}
	return &pb.ListStandingsResponse{HistoryHead: head, Changes: []*pb.StandingChange{
		{Seq: 90, GaugeId: "depth-1", Time: clitest.At(90), By: "quality", Standing: pb.Standing_STANDING_SUSPECT, Reason: wire.Message(gauge.Say("turn.failed", gauge.Nested("check", gauge.Say("turn.check", gauge.Moment("when", clitest.At(90).AsTime())))))},
		{Seq: 91, GaugeId: "depth-1", Time: clitest.At(91), By: "quality", Standing: pb.Standing_STANDING_IN_SERVICE, Reason: wire.Message(gauge.Say("turn.voided", gauge.Nested("check", gauge.Say("turn.check", gauge.Moment("when", clitest.At(90).AsTime()))), gauge.Text("why", "it was the block of 20 mm")))},
	}}, nil
}

func (f *fakeStation) ListChecks(context.Context, *pb.ListChecksRequest) (*pb.ListChecksResponse, error) {
	adjusted := testCheck(pb.CheckVerdict_CHECK_VERDICT_FAIL)
	adjusted.Left = testCheck(pb.CheckVerdict_CHECK_VERDICT_PASS).GetFound()
	mistaken := testCheck(pb.CheckVerdict_CHECK_VERDICT_FAIL)
	mistaken.Seq, mistaken.Voided = 90, &pb.VoidedCheck{Time: clitest.At(91), By: "quality", Reason: "it was the block of 20 mm"}
	return &pb.ListChecksResponse{Checks: []*pb.MasterCheck{testCheck(pb.CheckVerdict_CHECK_VERDICT_PASS), adjusted, mistaken}}, nil
}

func (f *fakeStation) GetCheckDocument(_ context.Context, r *pb.GetCheckDocumentRequest) (*pb.GetCheckDocumentResponse, error) {
	return &pb.GetCheckDocumentResponse{MediaType: "application/pdf", FileName: "check-41.pdf", Content: fmt.Appendf(nil, "%s %s %d %s\xff\n", r.GetForm(), r.GetGaugeId(), r.GetCheckSeq(), r.GetLanguage())}, nil
}

func (f *fakeStation) VoidCheck(_ context.Context, r *pb.VoidCheckRequest) (*pb.VoidCheckResponse, error) {
	if r.GetReason() == "" {
		return nil, status.Error(codes.InvalidArgument, "say why check 90 is voided")
	}
	return &pb.VoidCheckResponse{Gauge: &pb.GaugeHealth{GaugeId: r.GetGaugeId(), Standing: pb.Standing_STANDING_IN_SERVICE}}, nil
}

func (f *fakeStation) DecideRecall(_ context.Context, r *pb.DecideRecallRequest) (*pb.DecideRecallResponse, error) {
	if r.GetReason() == "" {
		return nil, status.Error(codes.InvalidArgument, "say what was decided")
	}
	return &pb.DecideRecallResponse{Gauge: &pb.GaugeHealth{GaugeId: r.GetGaugeId()}}, nil
}

// BeginCheck refuses the master of which the calibration is due.
func (f *fakeStation) BeginCheck(_ context.Context, r *pb.BeginCheckRequest) (*pb.BeginCheckResponse, error) {
	if slices.Contains(r.GetMasterIds(), "block-50") {
		return nil, status.Error(codes.FailedPrecondition, "the calibration of master block-50 was due on 31 Jan 2026: take another, or have it calibrated")
	}
	return &pb.BeginCheckResponse{BegunSeq: 87}, nil
}

// LeaveCheck gives up what BeginCheck began.
func (f *fakeStation) LeaveCheck(_ context.Context, r *pb.LeaveCheckRequest) (*pb.LeaveCheckResponse, error) {
	if r.GetBegunSeq() != 87 || r.GetBy() == "" {
		return nil, status.Error(codes.InvalidArgument, "no such check is being made")
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.left++
	return &pb.LeaveCheckResponse{}, nil
}

// RecordCheck fails the gauge when two readings are at block-25.
func (f *fakeStation) RecordCheck(_ context.Context, r *pb.RecordCheckRequest) (*pb.RecordCheckResponse, error) {
	if r.GetBy() == "" {
		return nil, status.Error(codes.InvalidArgument, "a check needs the name of who made it")
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	verdict := pb.CheckVerdict_CHECK_VERDICT_PASS
	for _, p := range r.GetFound() {
		f.calls = append(f.calls, p.String())
		for _, typed := range p.GetTyped() {
			f.typed = append(f.typed, p.GetMasterId()+" "+typed.GetShown()+" "+typed.GetUnit().String())
		}
		if p.GetMasterId() == "block-25" && len(p.GetReadingSeqs()) > 1 {
			verdict = pb.CheckVerdict_CHECK_VERDICT_FAIL
		}
	}
	return &pb.RecordCheckResponse{Check: testCheck(verdict), Gauge: testHealth().GetGauges()[0]}, nil
}

// RecordZeroReturn fails the gauge beyond 4 um.
func (f *fakeStation) RecordZeroReturn(_ context.Context, r *pb.RecordZeroReturnRequest) (*pb.RecordZeroReturnResponse, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.calls = append(f.calls, r.String())
	verdict := pb.CheckVerdict_CHECK_VERDICT_PASS
	if r.GetTyped().GetShown() == "0.009" {
		verdict = pb.CheckVerdict_CHECK_VERDICT_FAIL
	}
	check := testCheck(verdict)
	check.Occasion, check.ZeroReturn, check.JobId = "zero return", true, r.GetJobId()
	return &pb.RecordZeroReturnResponse{Check: check, Gauge: testHealth().GetGauges()[0]}, nil
}

func (f *fakeStation) SetStanding(_ context.Context, r *pb.SetStandingRequest) (*pb.SetStandingResponse, error) {
	return &pb.SetStandingResponse{Gauge: &pb.GaugeHealth{GaugeId: r.GetGaugeId(), Standing: r.GetStanding()}}, nil
}

func (f *fakeStation) FindSigns(context.Context, *pb.FindSignsRequest) (*pb.FindSignsResponse, error) {
	return &pb.FindSignsResponse{Signs: []*pb.Sign{
		{Kind: pb.SignKind_SIGN_KIND_LOST_RESOLUTION, Found: true, Detail: wire.Message(gauge.Say("signs.resolution", gauge.Count("readings", 60), gauge.Count("of", 60)))},
		{Kind: pb.SignKind_SIGN_KIND_LOW_BATTERY},
		{Kind: pb.SignKind_SIGN_KIND_LOST_FRAMES, Refused: wire.Message(gauge.Say("signs.few_in_stream", gauge.Count("frames", 3)))},
	}}, nil
}

// Recall sends each job of an answer by itself.
func (f *fakeStation) Recall(r *pb.RecallRequest, stream grpc.ServerStreamingServer[pb.RecallResponse]) error {
	answer := testRecall(r)
	items := answer.GetItems()
	answer.Items = nil
	for _, i := range items {
		answer.Items = []*pb.RecallItem{i}
		if err := stream.Send(answer); err != nil {
			return err
		}
		answer = &pb.RecallResponse{}
	}
	return nil
}

// testRecall turns one verdict of two, unless the error is zero.
func testRecall(r *pb.RecallRequest) *pb.RecallResponse {
	likely, unlikely := 0.98, 0.0312
	answer := &pb.RecallResponse{
		Error: clitest.MM("0.030"), StandardUncertainty: clitest.MM("0.0012"), SinceTime: clitest.At(1), UntilTime: clitest.At(88), Check: testCheck(pb.CheckVerdict_CHECK_VERDICT_FAIL),
		Model: pb.RecallModel_RECALL_MODEL_CONSTANT, Items: []*pb.RecallItem{{
			JobId: 3, UnitSerial: "U-3", StartTime: clitest.At(3), CloseTime: clitest.At(9), Measured: clitest.MM("0.120"), Correction: clitest.MM("-0.030"), Corrected: clitest.MM("0.090"),
			Results:       []*pb.RecallResult{{Name: "end_play", Title: "End play", Measured: clitest.MM("0.120"), Correction: clitest.MM("-0.030"), Corrected: clitest.MM("0.090"), Allowed: &pb.Range{Min: clitest.MM("0.100")}, OutcomeBefore: pb.Outcome_OUTCOME_CONFORMS, OutcomeAfter: pb.Outcome_OUTCOME_DOES_NOT_CONFORM}},
			Allowed:       &pb.Range{Min: clitest.MM("0.100"), Max: clitest.MM("0.200")},
			OutcomeBefore: pb.Outcome_OUTCOME_CONFORMS, OutcomeAfter: pb.Outcome_OUTCOME_DOES_NOT_CONFORM, Probability: &unlikely,
			Change: pb.RecallChange_RECALL_CHANGE_TURNED,
		}, {
			JobId: 4, UnitSerial: "U-4", StartTime: clitest.At(4), Measured: clitest.MM("0.160"), Correction: clitest.MM("-0.030"), Corrected: clitest.MM("0.130"),
			Allowed:       &pb.Range{Min: clitest.MM("0.100"), Max: clitest.MM("0.200")},
			OutcomeBefore: pb.Outcome_OUTCOME_CONFORMS, OutcomeAfter: pb.Outcome_OUTCOME_CONFORMS, Probability: &likely,
			Change: pb.RecallChange_RECALL_CHANGE_KEPT,
		}}, TurnedCount: 1,
	}
	if r.GetError() == "0" {
		answer.Items, answer.TurnedCount = answer.Items[1:], 0
	}
	return answer
}

func TestMasterCommands(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(clitest.MeasuringJob()), socket)
	for _, c := range []struct {
		name, args string
		code       int
		stderr     string
	}{
		{"checks", "checks", app.ExitFine, ""},
		{"checks_gauge", "checks dial-2", app.ExitFine, ""},
		{"master_record_pass", "master record dial-2 --by q --at zero=41,42 --at block-25=43", app.ExitFine, ""},
		{"master_record_fail", "master record dial-2 --by q --at block-25=43,44", app.ExitAnswerIsNo, "gaugectl: the check of dial-2: failed\n"},
		{"drift_gauge", "drift dial-2", app.ExitFine, ""},
		{"", "drift", app.ExitUsage, "gaugectl: name a gauge of the daemon, or with --file a file of checks (see gaugectl drift --help)\n"},
		{"", "drift dial-2 --unit mm", app.ExitUsage, "gaugectl: without --file, unit, limit and resolution are those of the gauge, and there are no columns and rows (see gaugectl drift --help)\n"},
		{"master_signs", "master signs dial-2", app.ExitAnswerIsNo, "gaugectl: gauge dial-2 shows signs of a fault: look at it, and check it against a master\n"},
		{"master_signs_json", "master signs dial-2 --output json", app.ExitAnswerIsNo, "gaugectl: gauge dial-2 shows signs of a fault: look at it, and check it against a master\n"},
		{"recall", "recall dial-2", app.ExitAnswerIsNo, ""},
		{"", "recall dial-2 --error 0 --unit mm --since 2026-03-01", app.ExitFine, ""},
		{"", "recall dial-2 --error 0.03", app.ExitUsage, "gaugectl: --error 0.03 has no unit: write it as 0.03mm, 0.03in or 0.03um (see gaugectl recall --help)\n"},
		{"", "recall dial-2 --since March", app.ExitUsage, "gaugectl: --since \"March\" is not a day such as 2026-03-01 or a time in RFC 3339 (see gaugectl recall --help)\n"},
		{"master_zero", "master zero dial-2 --by q --job 3", app.ExitFine, ""},
		{"", "master zero dial-2 --by q --value 0.009mm", app.ExitAnswerIsNo, "gaugectl: the zero return of dial-2: failed\n"},
		{"", "master zero dial-2 --value 0.009", app.ExitUsage, "gaugectl: --value: \"0.009\" has no unit: write it as 0.009 mm, 0.009 in or 0.009 um (see gaugectl master zero --help)\n"},
		{"", "master check", app.ExitUsage, "gaugectl: name a gauge of the daemon, or with --file a table of readings (see gaugectl master check --help)\n"},
		{"", "master check dial-2 --file x.csv", app.ExitUsage, "gaugectl: name a gauge of the daemon, or with --file a table of readings (see gaugectl master check --help)\n"},
		{"master_standing", "master standing dial-2 out-for-calibration --by q --reason sent", app.ExitFine, ""},
		{"", "master record dial-2 --by q", app.ExitUsage, "gaugectl: name the readings at each master: --at MASTER=READING[,READING...] (see gaugectl master record --help)\n"},
		{"", "master record dial-2 --by q --at zero", app.ExitUsage, "gaugectl: \"zero\" is not MASTER=READING[,READING...], such as block-25=1043,1044 (see gaugectl master record --help)\n"},
		{"", "master record dial-2 --by q --at zero=1,x", app.ExitUsage, "gaugectl: \"x\" in \"zero=1,x\" is not the number of a reading in the history (see gaugectl master record --help)\n"},
		{"", "master standing dial-2 broken", app.ExitUsage, "gaugectl: the standing \"broken\" is not known: use in-service, suspect, out-for-calibration or retired (see gaugectl master standing --help)\n"},
	} {
		code, stdout, stderr := call(t, socket, "", strings.Fields(c.args)...)
		if code != c.code || stderr != c.stderr {
			t.Errorf("%s: exit %d, want %d\nstderr %q\n  want %q", c.args, code, c.code, stderr, c.stderr)
		}
		if c.name != "" {
			golden(t, c.name, stdout)
		}
	}
}

func TestRecallAsCSV(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(clitest.MeasuringJob()), socket)
	file := filepath.Join(t.TempDir(), "recall.csv")
	if code, _, stderr := call(t, socket, "", "recall", "dial-2", "--csv", file); code != app.ExitAnswerIsNo {
		t.Fatalf("exit %d, %s", code, stderr)
	}
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "recall_csv", string(content))
}

// TestMasterCheckLeads: two readings at each master of the plan, one at each Enter.
func TestMasterCheckLeads(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	serve(t, f, socket)
	sent := make(chan struct{})
	go func() {
		defer close(sent)
		for t.Context().Err() == nil {
			f.store("0.001")
			time.Sleep(5 * time.Millisecond)
		}
	}()
	t.Cleanup(func() { <-sent })
	code, stdout, stderr := call(t, socket, "\n\n\ny\n\ny\n", "master", "check", "dial-2", "--by", "q")
	if code != app.ExitAnswerIsNo || !strings.Contains(stdout, "As found: failed") || !strings.Contains(stderr, "block-25 (25.0001 mm): reading 2 of 2\n") {
		t.Errorf("exit %d\n%s\n%s", code, stdout, stderr)
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.calls) != 2 {
		t.Fatalf("calls %q", f.calls)
	}
	seen := map[string]bool{}
	for _, call := range f.calls {
		for _, word := range strings.Fields(call) {
			if strings.HasPrefix(word, "reading_seqs:") {
				if seen[word] {
					t.Errorf("a reading was taken twice: %q", f.calls)
				}
				seen[word] = true
			}
		}
	}
	if len(seen) != 4 {
		t.Errorf("%d readings: %q", len(seen), f.calls)
	}
}

// TestMasterCheckRefusesBeforeTheFirstReading: a master of which the calibration is due
// is said before anything is measured.
func TestMasterCheckRefusesBeforeTheFirstReading(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	serve(t, f, socket)
	const want = "gaugectl: the calibration of master block-50 was due on 31 Jan 2026: take another, or have it calibrated\n"
	for _, args := range []string{"master check dial-2 --by q --at zero --at block-50", "master begin dial-2 --by q --at block-50"} {
		if code, stdout, stderr := call(t, socket, "", strings.Fields(args)...); code == app.ExitFine || stdout != "" || stderr != want {
			t.Errorf("%s: exit %d, %q\n got %s\nwant %s", args, code, stdout, stderr, want)
		}
	}
}

// TestMasterVoid: by its number, with a reason.
func TestMasterVoid(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(clitest.MeasuringJob()), socket)
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"dial-2", "90", "--by", "q", "--reason", "it was the block of 20 mm"}, app.ExitFine, "Check 90 of dial-2 is voided. dial-2 is in service.\n"},
		{[]string{"dial-2", "90", "--by", "q"}, app.ExitFailure, "gaugectl: say why check 90 is voided\n"},
		{[]string{"dial-2", "last"}, app.ExitUsage, "gaugectl: \"last\" is not the number of a check: gaugectl checks dial-2 lists them"},
	} {
		code, stdout, stderr := call(t, socket, "", append([]string{"master", "void"}, c.args...)...)
		if code != c.code || !strings.HasPrefix(stdout+stderr, c.want) {
			t.Errorf("%q: exit %d, %q, %q", c.args, code, stdout, stderr)
		}
	}
}

// TestMasterCheckTyped: what a gauge without a connection shows is asked for until it
// has a unit.
func TestMasterCheckTyped(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	f.more = []*pb.Gauge{{Id: "micrometer", Mode: pb.GaugeMode_GAUGE_MODE_TYPED}}
	serve(t, f, socket)
	code, _, stderr := call(t, socket, "25.001\n25.001 mm\n0.0 mm..0.1 mm\n0.01 mm\n", "master", "check", "micrometer", "--by", "q", "--at", "block-25", "--at", "zero")
	if code != app.ExitFine {
		t.Errorf("exit %d, %s", code, stderr)
	}
	want := `block-25 (25.0001 mm): reading 1 of 1
  not taken: "25.001" has no unit: write it as 25.001 mm, 25.001 in or 25.001 um
zero (0 mm): reading 1 of 1
`
	if !strings.HasPrefix(stderr, want) || !strings.Contains(stderr, "  not taken: ") {
		t.Errorf("asked\n%s\nwant\n%s", stderr, want)
	}
	if got := strings.Join(f.typed, ", "); got != "block-25 25.001 UNIT_MILLIMETRE, zero 0.01 UNIT_MILLIMETRE" {
		t.Errorf("typed %s", got)
	}
	code, _, stderr = call(t, socket, "", "master", "check", "micrometer", "--by", "q", "--at", "zero")
	if code != app.ExitFailure || !strings.HasSuffix(stderr, "gaugectl: the check was cancelled: the input ended\n") {
		t.Errorf("exit %d, %s", code, stderr)
	}
}

// TestMasterZeroWaits: for the press of a data button, and for what is typed.
func TestMasterZeroWaits(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	f.more = []*pb.Gauge{{Id: "micrometer", Mode: pb.GaugeMode_GAUGE_MODE_TYPED}}
	serve(t, f, socket)
	code, _, stderr := call(t, socket, "0.001 mm\n", "master", "zero", "micrometer", "--by", "q", "--job", "3")
	if code != app.ExitFine || stderr != "Set micrometer to its zero and type what it shows, with its unit.\n" {
		t.Errorf("exit %d, %s", code, stderr)
	}
	if len(f.calls) != 1 || !strings.Contains(f.calls[0], `shown:"0.001"`) || !strings.Contains(f.calls[0], "job_id:3") {
		t.Errorf("calls %q", f.calls)
	}
}
