package cli

import (
	"context"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

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
	at, _ := strconv.Atoi(r.GetPageToken())
	page := &pb.ListChecksResponse{Checks: whole.GetChecks()[at : at+1]}
	if at+1 < len(whole.GetChecks()) {
		page.NextPageToken = strconv.Itoa(at + 1)
	}
	return page, err
}

func (f pagedStation) ListJobs(_ context.Context, r *pb.ListJobsRequest) (*pb.ListJobsResponse, error) {
	id := uint64(4)
	if before, err := strconv.ParseUint(r.GetPageToken(), 10, 64); err == nil {
		id = before - 1
	}
	page := &pb.ListJobsResponse{Jobs: []*pb.Job{{Id: id, UnitSerial: "U" + string(rune('0'+id))}}}
	if id > 1 {
		page.NextPageToken = strconv.FormatUint(id, 10)
	}
	return page, nil
}

// TestAllPages: what comes in pages is shown as if it came at once.
func TestAllPages(t *testing.T) {
	whole, paged := socketPath(t), socketPath(t)
	serve(t, newStation(clitest.MeasuringJob()), whole)
	serveAs(t, pagedStation{newStation(clitest.MeasuringJob())}, paged)
	for _, output := range []string{"table", "json"} {
		args := []string{"--output", output, "checks", "depth-1"}
		_, want, _ := call(t, whole, "", args...)
		if code, got, stderr := call(t, paged, "", args...); code != app.ExitFine || got != want {
			t.Errorf("%s: exit %d, %s\n%s\nwant\n%s", output, code, stderr, got, want)
		}
	}
}

// TestNextPage: a list that is not shown to its end says how to get the next page, with
// the same filters; an age is the time that it was.
func TestNextPage(t *testing.T) {
	paged := socketPath(t)
	serveAs(t, pagedStation{newStation(clitest.MeasuringJob())}, paged)
	code, stdout, stderr := call(t, paged, "", "jobs", "--open", "--unit-serial", "L2 0417", "--since", "7d", "--page-size", "1")
	hint := regexp.MustCompile(`^gaugectl: there are more; the next page: gaugectl jobs .*--open --page-size 1 --since (\S+) --unit-serial 'L2 0417' --page 4\n$`).FindStringSubmatch(stderr)
	if code != app.ExitFine || !strings.Contains(stdout, "U4") || len(hint) != 2 {
		t.Fatalf("exit %d\n%s\n%s", code, stdout, stderr)
	}
	if at, err := time.Parse(time.RFC3339Nano, hint[1]); err != nil || at.After(time.Now().AddDate(0, 0, -6)) || at.Before(time.Now().AddDate(0, 0, -8)) {
		t.Errorf("%s, %v", hint[1], err)
	}
	code, stdout, stderr = call(t, paged, "", "jobs", "--page", "2")
	if code != app.ExitFine || !strings.Contains(stdout, "U1") || stderr != "" {
		t.Errorf("the last page: exit %d\n%s\n%s", code, stdout, stderr)
	}
	if code, _, stderr = call(t, paged, "", "jobs", "--since", "yesterday"); code != app.ExitUsage || !strings.Contains(stderr, `--since "yesterday" is not a time: write a day such as 2026-03-01`) {
		t.Errorf("exit %d, %s", code, stderr)
	}
	if code, _, stderr = call(t, paged, "", "jobs", "--outcome", "conform"); code != app.ExitUsage || !strings.Contains(stderr, "did you mean conforms?") {
		t.Errorf("exit %d, %s", code, stderr)
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
	if code, _, stderr := call(t, socket, "", "jobs"); code != app.ExitFailure || strings.Contains(stderr, "grpc") || !strings.Contains(stderr, "do it in parts") {
		t.Errorf("exit %d, %s", code, stderr)
	}
}
