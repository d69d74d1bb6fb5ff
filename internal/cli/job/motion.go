package job

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// moves reports whether a capture is one from a moving indicator.
func moves(ctx context.Context, d *app.Daemon, r *pb.CaptureReadingRequest) (bool, error) {
	answer, err := app.Ask(ctx, d, d.Jobs.GetJob, &pb.GetJobRequest{JobId: r.GetJobId()})
	if err != nil {
		return false, err
	}
	return movingStep(answer.GetJob(), cmp.Or(r.GetMeasurement(), answer.GetJob().GetMeasuring())), nil
}

// movingStep reports whether a measurement is captured from a moving indicator.
func movingStep(j *pb.Job, measurement string) bool {
	return stepOf(j, measurement).GetCapture() != pb.CaptureKind_CAPTURE_KIND_UNSPECIFIED
}

// stepOf finds a measurement of the job's procedure, nil when there is none.
func stepOf(j *pb.Job, measurement string) *pb.MeasurementStep {
	for _, steps := range [][]*pb.MeasurementStep{j.GetProcedure().GetMeasure(), j.GetProcedure().GetVerify()} {
		for _, s := range steps {
			if s.GetName() == measurement {
				return s
			}
		}
	}
	return nil
}

// captureMotion captures from a moving indicator and shows how far it has come.
func captureMotion(a *app.App, ctx context.Context, d *app.Daemon, r *pb.CaptureReadingRequest) error {
	say := func(line string) { fmt.Fprintln(a.Stderr, line) }
	j, err := followMotion(ctx, d, r, say)
	if err != nil {
		return err
	}
	return a.Show(&pb.GetJobResponse{Job: j}, func(w io.Writer) {
		measurement := cmp.Or(r.GetMeasurement(), lastMeasured(j))
		for _, m := range j.GetEvaluation().GetMeasurements() {
			if m.GetName() == measurement {
				fmt.Fprintf(w, "Taken: %s is %s, %s, %s.\n\n", m.GetName(), show.MeasuredText(m), show.CountText(m), cmp.Or(show.SpreadText(m), "no spread"))
			}
		}
		renderJobAnswer(w, j, newWarnings(j))
	})
}

// lastMeasured is the last measurement of a job that has readings.
func lastMeasured(j *pb.Job) string {
	last := ""
	for _, m := range j.GetEvaluation().GetMeasurements() {
		if len(m.GetReadings()) > 0 {
			last = m.GetName()
		}
	}
	return last
}

// followMotion tells what is new with each reading until the capture is done.
func followMotion(ctx context.Context, d *app.Daemon, r *pb.CaptureReadingRequest, say func(string)) (*pb.Job, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stream, err := d.Jobs.CaptureMotion(ctx, &pb.CaptureMotionRequest{JobId: r.GetJobId(), Measurement: r.GetMeasurement(), GaugeId: r.GetGaugeId(), By: r.GetBy()})
	if err != nil {
		return nil, d.Explain(err)
	}
	told := &motionTeller{say: say}
	for {
		m, err := stream.Recv()
		switch {
		case errors.Is(err, io.EOF):
			return nil, errors.New("the daemon ended the capture without a result")
		case err != nil:
			return nil, d.Explain(err)
		case m.GetJob() != nil:
			return m.GetJob(), nil
		}
		told.tell(m.GetProgress())
	}
}

// motionTeller tells each stroke and each fault once.
type motionTeller struct {
	say           func(string)
	begun         bool
	plays, faults int
}

// whatToDo says how the shaft is to be moved.
var whatToDo = map[pb.CaptureKind]string{
	pb.CaptureKind_CAPTURE_KIND_END_STOPS: "Push the shaft to and fro, and rest at each stop.",
	pb.CaptureKind_CAPTURE_KIND_TURN:      "Turn the shaft once, slowly, and come back to the start.",
	pb.CaptureKind_CAPTURE_KIND_STABLE:    "Keep still until the reading is taken.",
}

func (t *motionTeller) tell(p *pb.MotionProgress) {
	if !t.begun {
		t.begun = true
		t.say(whatToDo[p.GetCapture()])
	}
	for ; t.plays < len(p.GetPlays()); t.plays++ {
		t.say(fmt.Sprintf("  stroke %d of %d: %s", t.plays+1, p.GetWanted(), show.LengthText(p.GetPlays()[t.plays])))
	}
	for ; t.faults < len(p.GetFaults()); t.faults++ {
		t.say("  ! " + strings.TrimSpace(p.GetFaults()[t.faults]) + "; it does not count")
	}
}
