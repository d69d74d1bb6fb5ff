package job

import (
	"context"
	"fmt"
	"io"
	"strings"

	"google.golang.org/grpc"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// watchJobs shows each change of every job. When the connection is lost it goes on after
// the last change that it has.
func watchJobs(a *app.App, ctx context.Context, d *app.Daemon, request *pb.WatchJobsRequest) error {
	entries := a.NewEntries(&pb.JobChange{})
	return app.Follower[pb.WatchJobsResponse]{
		Open: func(ctx context.Context) (grpc.ServerStreamingClient[pb.WatchJobsResponse], error) {
			return d.Jobs.WatchJobs(ctx, request)
		},
		Each: func(m *pb.WatchJobsResponse) error {
			if start := m.GetStart(); start != nil {
				after := start.GetAfterSeq()
				request.AfterSeq, request.StretchId = &after, start.GetStretchId()
				return entries.Begin()
			}
			after := m.GetChange().GetSeq()
			request.AfterSeq = &after
			return entries.Write(m.GetChange(), func(w io.Writer) { renderChange(w, m.GetChange()) })
		},
		Lost: func(err error) { fmt.Fprintf(a.Stderr, "gaugectl: %s; trying again\n", app.LossText(d, err)) },
		Back: func() {
			fmt.Fprintf(a.Stderr, "gaugectl: the daemon is back; going on after entry %d\n", request.GetAfterSeq())
		},
	}.Follow(ctx, d)
}

func renderChange(w io.Writer, c *pb.JobChange) {
	what := strings.ReplaceAll(strings.ToLower(strings.TrimPrefix(c.GetKind().String(), "JOB_CHANGE_KIND_")), "_", " ")
	if c.GetKind() == pb.JobChangeKind_JOB_CHANGE_KIND_VERDICT {
		what += ": " + show.VerdictText(c.GetOutcome())
	}
	fmt.Fprintf(w, "%8d  %s  job %d  %s  %s  %s%s\n", c.GetSeq(), show.TimeText(c.GetTime()), c.GetJobId(), c.GetUnitSerial(), c.GetProcedureId(), what, show.Only(c.GetBy() != "", "  "+c.GetBy()))
}
