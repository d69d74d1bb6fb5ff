package dashboardtest

import (
	"fmt"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "gauged/api/gauged/v1"
	"gauged/internal/simulate"
)

// hands use simulated gauges at a station.
type hands struct {
	*simulate.Bench
	t *testing.T
	s *station
}

func (h *hands) do(line string, args ...any) {
	h.t.Helper()
	if err := h.Do(fmt.Sprintf(line, args...)); err != nil {
		h.t.Fatal(err)
	}
}

// live waits until a gauge can be read.
func (h *hands) live(gauge string) {
	h.t.Helper()
	await(h.t, gauge+" is live", func() bool { return h.s.gauge(gauge).GetState() == pb.GaugeState_GAUGE_STATE_LIVE })
}

// reads sets what a gauge measures, in micrometres, presses its button and returns
// the number of the stored reading. A reading that is equal to the last one must
// not follow at once: it would be the bounce of the button.
func (h *hands) reads(gauge string, micrometres int) uint64 {
	h.t.Helper()
	before := h.s.gauge(gauge).GetLastReading().GetSeq()
	h.do("set %s %d.%03d", gauge, micrometres/1000, micrometres%1000)
	h.do("press %s", gauge)
	await(h.t, gauge+"'s reading is stored", func() bool { return h.s.gauge(gauge).GetLastReading().GetSeq() > before })
	return h.s.gauge(gauge).GetLastReading().GetSeq()
}

// check records a check of a gauge against the block of 10 mm.
func (h *hands) check(gauge string, errors ...int) pb.CheckVerdict {
	h.t.Helper()
	health := pb.NewHealthServiceClient(h.s.conn)
	if _, err := health.BeginCheck(h.t.Context(), &pb.BeginCheckRequest{GaugeId: gauge, By: "test", MasterIds: []string{"block-10"}}); err != nil {
		h.t.Fatal(err)
	}
	point := &pb.CheckPoint{MasterId: "block-10"}
	for _, e := range errors {
		point.ReadingSeqs = append(point.ReadingSeqs, h.reads(gauge, 10_000+e))
	}
	answer, err := health.RecordCheck(h.t.Context(), &pb.RecordCheckRequest{GaugeId: gauge, By: "test", Found: []*pb.CheckPoint{point}})
	if err != nil {
		h.t.Fatal(err)
	}
	return answer.GetCheck().GetFound().GetVerdict()
}

// past brings in a check of a gauge for each of the days before, with its error at the
// block of 10 mm in micrometres.
func (h *hands) past(gauge string, errors ...int) {
	h.t.Helper()
	request := &pb.ImportChecksRequest{GaugeId: gauge, By: "test"}
	for i, e := range errors {
		request.Checks = append(request.Checks, &pb.PastCheck{
			Time: timestamppb.New(time.Now().AddDate(0, 0, i-len(errors))),
			Found: []*pb.PastPoint{{
				MasterId: "block-10", Unit: pb.Unit_UNIT_MILLIMETRE, Value: "10", Error: fmt.Sprintf("%.3f", float64(e)/1000), Uncertainty: "0.002", K: "2",
			}},
		})
	}
	answer, err := pb.NewHealthServiceClient(h.s.conn).ImportChecks(h.t.Context(), request)
	if err != nil || len(answer.GetProblems()) > 0 {
		h.t.Fatal(answer.GetProblems(), err)
	}
}

// job measures a gap with one gauge, fits what is recommended, and proves the
// play with another gauge, whose error comes on top.
func (h *hands) job(unit, gap, play string, depth, off int) {
	h.t.Helper()
	jobs, ctx := pb.NewJobServiceClient(h.s.conn), h.t.Context()
	started, err := jobs.StartJob(ctx, &pb.StartJobRequest{
		ProcedureId: "intermediate-spacer", UnitSerial: unit, By: "test", GaugeIds: map[string]string{"depth": gap, "end_play": play},
	}, grpc.WaitForReady(true))
	if err != nil {
		h.t.Fatal(err)
	}
	id := started.GetJob().GetId()
	h.reads(gap, depth)
	h.reads(gap, depth+1)
	chosen, err := jobs.ChoosePart(ctx, &pb.ChoosePartRequest{JobId: id, By: "test"})
	if err != nil {
		h.t.Fatal(err)
	}
	if _, err := jobs.RecordFittedPart(ctx, &pb.RecordFittedPartRequest{JobId: id, By: "test"}); err != nil {
		h.t.Fatal(err)
	}
	var part int
	if _, err := fmt.Sscanf(chosen.GetJob().GetChosenParts()[0].GetPart(), "SP-%d", &part); err != nil {
		h.t.Fatalf("%v: %v", chosen.GetJob().GetChosenParts()[0].GetPart(), err)
	}
	h.reads(play, depth-10*part+off)
	if _, err := jobs.VerifyJob(ctx, &pb.VerifyJobRequest{JobId: id, By: "test"}); err != nil {
		h.t.Fatal(err)
	}
	if _, err := jobs.CloseJob(ctx, &pb.CloseJobRequest{JobId: id, By: "test", Reason: "test"}); err != nil {
		h.t.Fatal(err)
	}
}

// putAway says that a gauge is out for calibration.
func (h *hands) putAway(gauge string) {
	h.t.Helper()
	if _, err := pb.NewHealthServiceClient(h.s.conn).SetStanding(h.t.Context(), &pb.SetStandingRequest{
		GaugeId: gauge, Standing: pb.Standing_STANDING_OUT_FOR_CALIBRATION, Reason: "at the laboratory", By: "test",
	}); err != nil {
		h.t.Fatal(err)
	}
}
