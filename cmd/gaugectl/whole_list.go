package main

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "gauged/api/gauged/v1"
)

// wholeList asks for page after page and returns all of them as one answer. more looks
// at a page, makes the request that for the next one, leaves nothing of that in the page, and reports whether there is one.
func wholeList[Request any, Response proto.Message](ctx context.Context, d *daemon,
	call func(context.Context, Request, ...grpc.CallOption) (Response, error), request Request, more func(Response) bool,
) (Response, error) {
	whole, err := ask(ctx, d, call, request)
	for follows := err == nil && more(whole); follows; {
		page, err := ask(ctx, d, call, request)
		if err != nil {
			return whole, err
		}
		follows = more(page)
		proto.Merge(whole, page)
	}
	return whole, err
}

func allChecks(ctx context.Context, d *daemon, gaugeID string) (*pb.ListChecksResponse, error) {
	r := &pb.ListChecksRequest{GaugeId: gaugeID}
	return wholeList(ctx, d, d.health.ListChecks, r, func(page *pb.ListChecksResponse) bool {
		r.AfterSeq, page.NextAfterSeq = page.GetNextAfterSeq(), 0
		return r.AfterSeq > 0
	})
}

func allStudies(ctx context.Context, d *daemon, gaugeID string) (*pb.ListStudiesResponse, error) {
	r := &pb.ListStudiesRequest{GaugeId: gaugeID}
	return wholeList(ctx, d, d.studies.ListStudies, r, func(page *pb.ListStudiesResponse) bool {
		r.AfterSeq, page.NextAfterSeq = page.GetNextAfterSeq(), 0
		return r.AfterSeq > 0
	})
}

func allProcedures(ctx context.Context, d *daemon) (*pb.ListProceduresResponse, error) {
	r := &pb.ListProceduresRequest{}
	return wholeList(ctx, d, d.procedures.ListProcedures, r, func(page *pb.ListProceduresResponse) bool {
		r.AfterId, page.NextAfterId = page.GetNextAfterId(), ""
		return r.AfterId != ""
	})
}

func allJobFacts(ctx context.Context, d *daemon, job uint64) (*pb.ListJobFactsResponse, error) {
	r := &pb.ListJobFactsRequest{JobId: job}
	return wholeList(ctx, d, d.history.ListJobFacts, r, func(page *pb.ListJobFactsResponse) bool {
		r.AfterSeq, page.NextAfterSeq = page.GetNextAfterSeq(), 0
		return r.AfterSeq > 0
	})
}

// usualJobs is how many jobs are listed when nobody says.
const usualJobs = 100

// jobList is the newest jobs, as many as are asked for, also where they need several
// pages.
func jobList(ctx context.Context, d *daemon, r *pb.ListJobsRequest) (*pb.ListJobsResponse, error) {
	if r.Limit == 0 {
		r.Limit = usualJobs
	}
	return wholeList(ctx, d, d.jobs.ListJobs, r, func(page *pb.ListJobsResponse) bool {
		r.Limit -= min(r.Limit, uint32(len(page.GetJobs())))
		r.BeforeId, page.NextBeforeId = page.GetNextBeforeId(), 0
		return r.BeforeId > 0 && r.Limit > 0
	})
}
