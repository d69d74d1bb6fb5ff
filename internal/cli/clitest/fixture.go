// Package clitest has the invented jobs and gauges that tests of the commands share.
package clitest

import (
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/gauge"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// The unit, the parts and the numbers in these fixtures are invented.

// MM returns an exact length with the digits as written.
func MM(digits string) *pb.Quantity {
	return wire.Quantity(gauge.MustLength(digits, gauge.Millimetre), digits, gauge.Millimetre)
}

// PM returns a length in millimetres with three decimals.
func PM(picometres int64) *pb.Quantity {
	return MM(gauge.Length(picometres).Text(gauge.Millimetre, 3))
}

// At is a time of the fixtures.
func At(second int) *timestamppb.Timestamp {
	return timestamppb.New(time.Date(2024, 3, 5, 9, 30, second, 250e6, time.UTC))
}

// Between are limits in millimetres.
func Between(low, high string) *pb.Range { return &pb.Range{Min: MM(low), Max: MM(high)} }

// Procedure measures a gap and proves the end play.
func Procedure() *pb.Procedure {
	return &pb.Procedure{
		Id: "output-shaft", Title: "End play of the output shaft", Edition: "2", Source: "shop sheet 14",
		Unit:     pb.Unit_UNIT_MILLIMETRE,
		Cautions: []string{"The ring springs out: hold a rag across it."},
		Measure: []*pb.MeasurementStep{
			{Name: "depth", Title: "case face to bearing seat", How: "Depth gauge on the clean face, two places.", Repeats: 2, Agree: MM("0.020"), Plausible: Between("10.000", "14.000")},
			{Name: "height", Title: "bearing over its seat", How: "Turn the bearing to seat it first.", Repeats: 1},
		},
		Places: []*pb.Place{{Formula: "depth - height", AllowedPlay: Between("0.050", "0.150"), PartFamilyId: "rings", ClosingDimension: pb.ClosingDimension_CLOSING_DIMENSION_PLAY}},
		Verify: []*pb.MeasurementStep{{Name: "play", Title: "end play with the ring fitted", How: "Push and pull the shaft.", Repeats: 1}},
		Hash:   "3f5a0c9e11d24b7788aa",
	}
}

// Grade is a grade with its thickness in millimetres.
func Grade(part, mark, thickness string, stock uint32) *pb.Grade {
	return &pb.Grade{Part: part, Mark: mark, Thickness: MM(thickness), Tolerance: MM("0.010"), Stock: &stock}
}

// candidates are the grades of a family for a gap of 2.000 mm.
func candidates() []*pb.Candidate {
	return []*pb.Candidate{
		{Grade: Grade("R-180", "A", "1.800", 4), Play: MM("0.200")},
		{Grade: Grade("R-186", "B", "1.860", 4), Play: MM("0.140"), Fits: true},
		{Grade: Grade("R-190", "C", "1.900", 0), Play: MM("0.100"), Fits: true, PassedOver: Tell("out of stock")},
		{Grade: Grade("R-194", "D", "1.940", 2), Play: MM("0.060"), Fits: true},
		{Grade: Grade("R-200", "E", "2.000", 9), Play: MM("0.000")},
		{Grade: Grade("R-205", "F", "2.050", 9), Play: MM("-0.050")},
	}
}

// Taken is a reading in millimetres.
func Taken(seq uint64, gaugeID, digits string) *pb.TakenReading {
	return &pb.TakenReading{Seq: seq, GaugeId: gaugeID, Value: MM(digits)}
}

// MeasuringJob has its first reading.
func MeasuringJob() *pb.Job {
	return &pb.Job{
		Id: 3, UnitSerial: "TC-0412", By: "J. Mercer", Procedure: Procedure(),
		GaugeIds: map[string]string{"depth": "depth-1", "play": "dial-2"},
		Stage:    pb.JobStage_JOB_STAGE_MEASURE, Measuring: "depth", StartTime: At(0), LastSeq: 41,
		Evaluation: &pb.Evaluation{
			Outcome: pb.Outcome_OUTCOME_MEASURING,
			Measurements: []*pb.Measurement{
				{Name: "depth", Readings: []*pb.TakenReading{Taken(41, "depth-1", "12.004")}, Repeats: 2, Value: MM("12.004"), Agree: MM("0.020")},
				{Name: "height", Repeats: 1},
			},
			ProcedureId: "output-shaft", ProcedureHash: "3f5a0c9e11d24b7788aa", PartFamilyHashes: []string{"90bb1177c2"},
			DecisionRule: Tell("simple acceptance: a value at a limit is inside"),
		},
	}
}

// AgainJob has readings that do not agree, one of them discarded.
func AgainJob() *pb.Job {
	j := MeasuringJob()
	depth := j.GetEvaluation().GetMeasurements()[0]
	slipped := Taken(42, "depth-1", "12.900")
	slipped.DiscardReason = "indicator slipped"
	depth.Readings = append(depth.Readings, slipped, Taken(44, "depth-1", "12.034"))
	depth.Value, depth.Spread = MM("12.019"), MM("0.030")
	j.Evaluation.Outcome = pb.Outcome_OUTCOME_MEASURE_AGAIN
	j.Evaluation.Findings = []*pb.Finding{{Code: "disagree", Message: Tell("depth: the readings differ by 0.030 mm, allowed is 0.020 mm: clean and seat the parts, read again")}}
	return j
}

// FitPartJob has its measurements and the evaluation that follows.
func FitPartJob() *pb.Job {
	j := MeasuringJob()
	j.Stage, j.Measuring, j.LastSeq = pb.JobStage_JOB_STAGE_CHOOSE, "", 45
	j.Evaluation.Measurements = []*pb.Measurement{
		{Name: "depth", Readings: []*pb.TakenReading{Taken(41, "depth-1", "12.004"), Taken(43, "depth-1", "11.996")}, Repeats: 2, Value: MM("12.000"), Spread: MM("0.008"), Agree: MM("0.020"), Complete: true},
		{Name: "height", Readings: []*pb.TakenReading{Taken(45, "typed", "10.000")}, Repeats: 1, Value: MM("10.000"), Complete: true},
	}
	proto.Merge(j.Evaluation, Decision())
	return j
}

// Decision is what follows from the measurements of fitPartJob.
func Decision() *pb.Evaluation {
	all := candidates()
	return &pb.Evaluation{
		Outcome: pb.Outcome_OUTCOME_FIT_PART,
		Sums:    []*pb.Sum{{Name: "gap", Expression: "depth - height", Worked: "12.000 - 10.000", Value: MM("2.000")}},
		Fits: []*pb.Fit{{
			Gap: MM("2.000"), AllowedPlay: Between("0.050", "0.150"), Window: Between("1.850", "1.950"), Aim: MM("1.900"),
			Candidates: all, Choice: all[3], Thinner: all[2], Thicker: all[4], ClosingDimension: pb.ClosingDimension_CLOSING_DIMENSION_PLAY,
			Why: Tell("of the grades within 1.850 to 1.950 mm it is nearest to 1.900 mm (the middle of the window); it gives 0.060 mm end play"),
		}},
		Findings: []*pb.Finding{{Code: "out_of_stock", Message: Tell("R-190 (marked C) of 1.900 mm is nearer to the aim but out of stock; R-194 is the next that fits")}},
	}
}

// NothingFitsJob has a gap between two grades of a coarse family.
func NothingFitsJob() *pb.Job {
	j := FitPartJob()
	e := j.GetEvaluation()
	f := e.GetFits()[0]
	e.Outcome, f.Choice, f.Why = pb.Outcome_OUTCOME_NOTHING_FITS, nil, nil
	f.Candidates = []*pb.Candidate{f.GetCandidates()[0], f.GetCandidates()[4], f.GetCandidates()[5]}
	f.Thinner, f.Thicker = f.GetCandidates()[0], f.GetCandidates()[1]
	e.Findings = []*pb.Finding{{Code: "nothing_fits", Message: Tell("no grade that can be had is 1.850 to 1.950 mm thick; the next thinner, R-180 (marked A) of 1.800 mm, would give 0.200 mm end play: check that the right faces were measured")}}
	return j
}

// VerifyJob has its part fitted.
func VerifyJob() *pb.Job {
	j := FitPartJob()
	j.Stage, j.Measuring, j.LastSeq = pb.JobStage_JOB_STAGE_VERIFY, "play", 47
	j.ChosenParts = []*pb.ChosenPart{{Part: "R-194"}}
	e := j.GetEvaluation()
	e.Outcome = pb.Outcome_OUTCOME_VERIFY
	e.GetFits()[0].Fitted = &pb.FittedPart{Part: "R-194", Thickness: MM("1.938"), Measured: true}
	e.Measurements = append(e.Measurements, &pb.Measurement{Name: "play", Repeats: 1, AfterFitting: true})
	return j
}

// VerdictJob has its verdict: the play measured after fitting decides.
func VerdictJob(play string) *pb.Job {
	j := VerifyJob()
	j.Stage, j.Measuring, j.LastSeq = pb.JobStage_JOB_STAGE_DECIDED, "", 49
	m := j.GetEvaluation().GetMeasurements()[2]
	m.Readings, m.Value, m.Complete = []*pb.TakenReading{Taken(48, "dial-2", play)}, MM(play), true
	Judge(j.GetEvaluation())
	return j
}

// Judge fills in the proof after fitting.
func Judge(e *pb.Evaluation) {
	play := e.GetMeasurements()[len(e.GetMeasurements())-1].GetValue()
	f := e.GetFits()[0]
	predicted := f.GetGap().GetPicometres() - f.GetFitted().GetThickness().GetPicometres()
	agrees := gauge.Length(play.GetPicometres()-predicted).Abs() <= gauge.Length(MM("0.020").GetPicometres())
	e.Verification = &pb.Verification{Measured: play, Predicted: PM(predicted), Difference: PM(play.GetPicometres() - predicted), Agrees: &agrees}
	e.Outcome = pb.Outcome_OUTCOME_CONFORMS
	allowed := f.GetAllowedPlay()
	if play.GetPicometres() < allowed.GetMin().GetPicometres() || play.GetPicometres() > allowed.GetMax().GetPicometres() {
		e.Outcome = pb.Outcome_OUTCOME_DOES_NOT_CONFORM
		e.Findings = []*pb.Finding{{Code: "outside_limits", Message: Tell("the end play is " + play.GetText() + " mm, allowed is 0.050 to 0.150 mm")}}
	}
}

// Gauges are one that is live and one that is away.
func Gauges() []*pb.Gauge {
	return []*pb.Gauge{
		{
			Id: "depth-1", Title: "Depth gauge of bench 2", Connection: "serial number D00417, 4800 7E1", Layout: "signed-line", Mode: pb.GaugeMode_GAUGE_MODE_BUTTON,
			State: pb.GaugeState_GAUGE_STATE_LIVE, StateSinceTime: At(1), ReadingCount: 12, Rejected: []*pb.RejectCount{{Reason: pb.RejectReason_REJECT_REASON_NOISE, Frames: 2}, {Reason: pb.RejectReason_REJECT_REASON_COMMA, Frames: 1}},
			LastReading: &pb.Reading{Seq: 41, GaugeId: "depth-1", Number: 12, Time: At(7), Value: MM("12.004"), Status: pb.ReadingStatus_READING_STATUS_LOW_BATTERY},
		},
		{
			Id: "dial-2", Title: "Indicator", Connection: "/dev/ttyUSB7, 9600 8N1", Layout: "value-unit", Mode: pb.GaugeMode_GAUGE_MODE_STREAM,
			State: pb.GaugeState_GAUGE_STATE_ABSENT, StateSinceTime: At(2), StateReason: wire.Message(gauge.Say("because.line.no-port", gauge.Text("port", "/dev/ttyUSB7"))),
		},
	}
}

// Tell is a text that is shown as it is.
func Tell(text string) *pb.Message {
	return &pb.Message{Arguments: []*pb.Argument{{Value: &pb.Argument_Text{Text: text}}}}
}
