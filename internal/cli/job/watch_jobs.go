package job

import (
	"context"
	"fmt"
	"io"
	"strings"

	"gauged/client"
	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// watchJobs shows each change of every job. When the connection is lost it goes on after
// the last change that it has.
func watchJobs(a *app.App, ctx context.Context, d *app.Daemon, request *pb.WatchJobsRequest) error {
	entries := a.NewEntries(&pb.JobChange{})
	var after uint64
	return app.Follow(d, d.WatchJobs(ctx, request, client.Outage{
		Lost: func(err error) {
			fmt.Fprintf(a.Stderr, "gaugectl: %s; trying again\n", app.LossText(d, d.Explain(err)))
		},
		Back: func() { fmt.Fprintf(a.Stderr, "gaugectl: the daemon is back; going on after entry %d\n", after) },
	}), func(m *pb.WatchJobsResponse) error {
		after = max(after, m.GetStart().GetAfterSeq(), m.GetChange().GetSeq())
		if c := m.GetChange(); c != nil {
			return entries.Write(c, func(w io.Writer) { renderChange(w, c) })
		}
		return entries.Begin()
	})
}

func renderChange(w io.Writer, c *pb.JobChange) {
	what := strings.ReplaceAll(strings.ToLower(strings.TrimPrefix(c.GetKind().String(), "JOB_CHANGE_KIND_")), "_", " ")
	if c.GetKind() == pb.JobChangeKind_JOB_CHANGE_KIND_VERDICT {
		what += ": " + show.VerdictText(c.GetOutcome())
	}
	fmt.Fprintf(w, "%8d  %s  job %d  %s  %s  %s%s\n", c.GetSeq(), show.TimeText(c.GetTime()), c.GetJobId(), c.GetUnitSerial(), c.GetProcedureId(), what, show.Only(c.GetBy() != "", "  "+c.GetBy()))
}
