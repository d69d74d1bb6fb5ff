package server

import (
	"context"

	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// WatchJobs sends the changes of all jobs from the history as they are added. Each watcher
// has a cursor of its own, as in WatchReadings.
func (s *jobService) WatchJobs(r *gaugedv1.WatchJobsRequest, stream gaugedv1.JobService_WatchJobsServer) error {
	after, err := beginOf(stream.Context(), s.station, r, r.AfterSeq != nil)
	if err != nil {
		return err
	}
	start := &gaugedv1.WatchJobsResponse_Start{Start: &gaugedv1.WatchStart{AfterSeq: after, StretchId: s.station.Stretch()}}
	if err := stream.Send(&gaugedv1.WatchJobsResponse{Event: start}); err != nil {
		return err
	}
	cursor, heads := s.station.Watch(after), jobHeads{station: s.station}
	for {
		page, err := cursor.Next(stream.Context())
		if err != nil {
			return err
		}
		for _, f := range page.Facts {
			if f.Job == nil || r.GetVerdictsOnly() && f.Job.Kind != job.KindVerdict {
				continue
			}
			change := &gaugedv1.WatchJobsResponse_Change{Change: heads.change(stream.Context(), f)}
			if err := stream.Send(&gaugedv1.WatchJobsResponse{Event: change}); err != nil {
				return err
			}
		}
	}
}

// jobHeads remembers of what unit and procedure jobs are, for one watcher.
type jobHeads struct {
	station *station.Station
	known   map[uint64]jobHead
}

type jobHead struct{ unit, procedure string }

// mostHeads bounds what is remembered.
const mostHeads = 256

// change is a fact of a job as its watchers get it. That of a job which cannot be read has no unit.
func (h *jobHeads) change(ctx context.Context, f gauge.Fact) *gaugedv1.JobChange {
	head, known := h.known[f.Job.Job]
	if !known {
		if j, err := h.station.Job(ctx, f.Job.Job); err == nil {
			head = jobHead{j.UnitSerial, j.Procedure.ID}
		}
		if h.known == nil || len(h.known) >= mostHeads {
			h.known = map[uint64]jobHead{}
		}
		h.known[f.Job.Job] = head
	}
	change := &gaugedv1.JobChange{
		Seq: f.Seq, JobId: f.Job.Job, Time: timestamppb.New(f.Job.Time), Kind: wire.JobChangeKind(f.Job.Kind), By: f.Job.By, UnitSerial: head.unit, ProcedureId: head.procedure,
	}
	if outcome, is := job.Verdict(f); is {
		change.Outcome = wire.Outcome(outcome)
	}
	return change
}
