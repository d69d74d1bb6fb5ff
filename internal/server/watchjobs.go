package server

import (
	"gauged/internal/job"
	"gauged/internal/server/message"

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
	cursor, heads := s.station.Watch(after), message.JobHeads{Station: s.station}
	for {
		page, err := cursor.Next(stream.Context())
		if err != nil {
			return err
		}
		if lag := lagOf(page); lag != nil {
			if err := stream.Send(&gaugedv1.WatchJobsResponse{Event: &gaugedv1.WatchJobsResponse_Lag{Lag: lag}}); err != nil {
				return err
			}
		}
		for _, f := range page.Facts {
			if f.Job == nil || r.GetVerdictsOnly() && f.Job.Kind != job.KindVerdict {
				continue
			}
			change := &gaugedv1.WatchJobsResponse_Change{Change: heads.Change(stream.Context(), f)}
			if err := stream.Send(&gaugedv1.WatchJobsResponse{Event: change}); err != nil {
				return err
			}
		}
	}
}
