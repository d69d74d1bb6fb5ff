package cli

import (
	"context"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"

	pb "gauged/api/gauged/v1"
)

// pagedStation gives its checks and jobs one at a time.
type pagedStation struct{ *fakeStation }

func (f pagedStation) ListChecks(ctx context.Context, r *pb.ListChecksRequest) (*pb.ListChecksResponse, error) {
	whole, err := f.fakeStation.ListChecks(ctx, r)
	at := int(r.GetAfterSeq())
	page := &pb.ListChecksResponse{Checks: whole.GetChecks()[at : at+1]}
	if at == 0 {
		page.Standings = whole.GetStandings()
	}
	if at+1 < len(whole.GetChecks()) {
		page.NextAfterSeq = uint64(at + 1)
	}
	return page, err
}

func (f pagedStation) ListJobs(_ context.Context, r *pb.ListJobsRequest) (*pb.ListJobsResponse, error) {
	id := uint64(4)
	if r.GetBeforeId() > 0 {
		id = r.GetBeforeId() - 1
	}
	page := &pb.ListJobsResponse{Jobs: []*pb.Job{{Id: id, UnitSerial: "U" + string(rune('0'+id))}}}
	if id > 1 {
		page.NextBeforeId = id
	}
	return page, nil
}

// TestAllPages: what comes in pages is shown as if it came at once.
func TestAllPages(t *testing.T) {
	whole, paged := socketPath(t), socketPath(t)
	serve(t, newStation(clitest.MeasuringJob()), whole)
	serveAs(t, pagedStation{newStation(clitest.MeasuringJob())}, paged)
	for _, output := range []string{"table", "json"} {
		args := []string{"--output", output, "master", "show", "depth-1"}
		_, want, _ := call(t, whole, "", args...)
		if code, got, stderr := call(t, paged, "", args...); code != app.ExitFine || got != want {
			t.Errorf("%s: exit %d, %s\n%s\nwant\n%s", output, code, stderr, got, want)
		}
	}
	_, all, _ := call(t, paged, "", "job", "list")
	_, two, _ := call(t, paged, "", "job", "list", "--limit", "2")
	if strings.Count(all, "U") < 4 || !strings.Contains(two, "U3") || strings.Contains(two, "U2") {
		t.Errorf("%s\n%s", all, two)
	}
}

// tooMuch is a daemon whose answer to a list of jobs no message holds.
type tooMuch struct{ *fakeStation }

func (tooMuch) ListJobs(context.Context, *pb.ListJobsRequest) (*pb.ListJobsResponse, error) {
	return nil, status.Error(codes.ResourceExhausted, "grpc: received message larger than max (5242880 vs. 4194304)")
}

func TestNobodyReadsTheSizesOfMessages(t *testing.T) {
	socket := socketPath(t)
	serveAs(t, tooMuch{newStation(clitest.MeasuringJob())}, socket)
	if code, _, stderr := call(t, socket, "", "job", "list"); code != app.ExitFailure || strings.Contains(stderr, "grpc") || !strings.Contains(stderr, "do it in parts") {
		t.Errorf("exit %d, %s", code, stderr)
	}
}
