package cli

import (
	"strings"
	"testing"

	"google.golang.org/grpc"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"

	pb "gauged/api/gauged/v1"
)

// stillShaft is a daemon under whose gauge nothing moves: a capture goes on until it is
// given up.
type stillShaft struct{ *fakeStation }

func (f stillShaft) CaptureMotion(_ *pb.CaptureMotionRequest, stream grpc.ServerStreamingServer[pb.CaptureMotionResponse]) error {
	if err := stream.Send(&pb.CaptureMotionResponse{Event: &pb.CaptureMotionResponse_Progress{Progress: &pb.MotionProgress{Capture: pb.CaptureKind_CAPTURE_KIND_END_STOPS, Wanted: 2}}}); err != nil {
		return err
	}
	<-stream.Context().Done()
	return stream.Context().Err()
}

// TestRunGivesACaptureUp: q ends a capture in which nothing moves, and the session with it.
func TestRunGivesACaptureUp(t *testing.T) {
	socket := socketPath(t)
	job := clitest.MeasuringJob()
	job.GetProcedure().GetMeasure()[0].Capture = pb.CaptureKind_CAPTURE_KIND_END_STOPS
	job.GaugeIds = map[string]string{"depth": "dial-2"}
	serveAs(t, stillShaft{newStation(job)}, socket)
	c := converse(t, socket, "job", "run", "--job", "3")
	c.out.await(t, "Read and understood?")
	c.say("")
	c.out.await(t, "then move the shaft")
	c.say("")
	c.out.await(t, "Push the shaft to and fro")
	c.say("?")
	c.say("q")
	c.out.await(t, "Measuring was stopped; nothing was taken.", "Job 3 stays open.")
	if code := c.code(); code != app.ExitFailure {
		t.Errorf("exit %d", code)
	}
	if strings.Contains(c.out.String(), "Not done") {
		t.Error(c.out.String())
	}
}
