package app

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "gauged/api/gauged/v1"
)

// listAnswer is a page of a list.
type listAnswer interface {
	proto.Message
	GetNextPageToken() string
}

// All asks for page after page and returns all of them as one answer.
func All[Request proto.Message, Response listAnswer](ctx context.Context, d *Daemon,
	call func(context.Context, Request, ...grpc.CallOption) (Response, error), request Request,
) (Response, error) {
	whole, err := Ask(ctx, d, call, request)
	for err == nil && whole.GetNextPageToken() != "" {
		NextPage(request, whole.GetNextPageToken())
		set(whole, "next_page_token", protoreflect.ValueOfString(""))
		var page Response
		if page, err = Ask(ctx, d, call, request); err == nil {
			proto.Merge(whole, page)
		}
	}
	return whole, err
}

// NextPage makes a request that for the page which a token leads to.
func NextPage(request proto.Message, token string) {
	set(request, "page_token", protoreflect.ValueOfString(token))
}

// set sets a field of a message by its name in the contract.
func set(m proto.Message, name protoreflect.Name, value protoreflect.Value) {
	m.ProtoReflect().Set(m.ProtoReflect().Descriptor().Fields().ByName(name), value)
}

// AllChecks lists the checks of a gauge.
func AllChecks(ctx context.Context, d *Daemon, gaugeID string) (*pb.ListChecksResponse, error) {
	return All(ctx, d, d.Health.ListChecks, &pb.ListChecksRequest{GaugeId: gaugeID})
}

// AllProcedures lists the procedures in force.
func AllProcedures(ctx context.Context, d *Daemon) (*pb.ListProceduresResponse, error) {
	return All(ctx, d, d.Procedures.ListProcedures, &pb.ListProceduresRequest{})
}

// OpenJobList is all jobs that are not closed, the newest first.
func OpenJobList(ctx context.Context, d *Daemon) ([]*pb.Job, error) {
	all, err := All(ctx, d, d.Jobs.ListJobs, &pb.ListJobsRequest{OpenOnly: true})
	return all.GetJobs(), err
}
