package app

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "gauged/api/gauged/v1"
)

// wholeList asks for page after page and returns all of them as one answer. more looks
// at a page, makes the request that for the next one, leaves nothing of that in the page, and reports whether there is one.
func wholeList[Request any, Response proto.Message](ctx context.Context, d *Daemon,
	call func(context.Context, Request, ...grpc.CallOption) (Response, error), request Request, more func(Response) bool,
) (Response, error) {
	whole, err := Ask(ctx, d, call, request)
	for follows := err == nil && more(whole); follows; {
		page, err := Ask(ctx, d, call, request)
		if err != nil {
			return whole, err
		}
		follows = more(page)
		proto.Merge(whole, page)
	}
	return whole, err
}

// AllChecks lists the checks of a gauge; of all gauges where none is named.
func AllChecks(ctx context.Context, d *Daemon, gaugeID string) (*pb.ListChecksResponse, error) {
	r := &pb.ListChecksRequest{GaugeId: gaugeID}
	return wholeList(ctx, d, d.Health.ListChecks, r, func(page *pb.ListChecksResponse) bool {
		r.AfterSeq, page.NextAfterSeq = page.GetNextAfterSeq(), 0
		return r.AfterSeq > 0
	})
}

// AllStudies lists the studies of a gauge; of all gauges where none is named.
func AllStudies(ctx context.Context, d *Daemon, gaugeID string) (*pb.ListStudiesResponse, error) {
	r := &pb.ListStudiesRequest{GaugeId: gaugeID}
	return wholeList(ctx, d, d.Studies.ListStudies, r, func(page *pb.ListStudiesResponse) bool {
		r.AfterSeq, page.NextAfterSeq = page.GetNextAfterSeq(), 0
		return r.AfterSeq > 0
	})
}

// AllProcedures lists the procedures in force.
func AllProcedures(ctx context.Context, d *Daemon) (*pb.ListProceduresResponse, error) {
	r := &pb.ListProceduresRequest{}
	return wholeList(ctx, d, d.Procedures.ListProcedures, r, func(page *pb.ListProceduresResponse) bool {
		r.AfterId, page.NextAfterId = page.GetNextAfterId(), ""
		return r.AfterId != ""
	})
}

// AllJobFacts lists what was stored of a job.
func AllJobFacts(ctx context.Context, d *Daemon, job uint64) (*pb.ListJobFactsResponse, error) {
	r := &pb.ListJobFactsRequest{JobId: job}
	return wholeList(ctx, d, d.History.ListJobFacts, r, func(page *pb.ListJobFactsResponse) bool {
		r.AfterSeq, page.NextAfterSeq = page.GetNextAfterSeq(), 0
		return r.AfterSeq > 0
	})
}

// usualJobs is how many jobs are listed when nobody says.
const usualJobs = 100

// JobList is the newest jobs, as many as are asked for, also where they need several
// pages.
func JobList(ctx context.Context, d *Daemon, r *pb.ListJobsRequest) (*pb.ListJobsResponse, error) {
	if r.Limit == 0 {
		r.Limit = usualJobs
	}
	return wholeList(ctx, d, d.Jobs.ListJobs, r, func(page *pb.ListJobsResponse) bool {
		r.Limit -= min(r.Limit, uint32(len(page.GetJobs())))
		r.BeforeId, page.NextBeforeId = page.GetNextBeforeId(), 0
		return r.BeforeId > 0 && r.Limit > 0
	})
}

// OpenJobList is all jobs that are not closed, the newest first.
func OpenJobList(ctx context.Context, d *Daemon) ([]*pb.Job, error) {
	r := &pb.ListJobsRequest{OpenOnly: true}
	all, err := wholeList(ctx, d, d.Jobs.ListJobs, r, func(page *pb.ListJobsResponse) bool {
		r.BeforeId, page.NextBeforeId = page.GetNextBeforeId(), 0
		return r.BeforeId > 0
	})
	return all.GetJobs(), err
}
