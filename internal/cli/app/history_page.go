package app

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	pb "gauged/api/gauged/v1"
)

// HistoryPage asks a call of the history for a page: its entries, the token of the next page, and on
// the last one the signed head.
func HistoryPage[Request proto.Message, Answer interface {
	GetNextPageToken() string
	GetHistoryHead() *pb.HistoryHead
}, Entry proto.Message](
	call func(pb.HistoryServiceClient, context.Context, Request, ...grpc.CallOption) (Answer, error), entries func(Answer) []Entry,
) func(context.Context, *Daemon, proto.Message) ([]Entry, string, *pb.HistoryHead, error) {
	return func(ctx context.Context, d *Daemon, request proto.Message) ([]Entry, string, *pb.HistoryHead, error) {
		bound := func(ctx context.Context, r Request, o ...grpc.CallOption) (Answer, error) {
			return call(d.History, ctx, r, o...)
		}
		answer, err := Ask(ctx, d, bound, request.(Request))
		return entries(answer), answer.GetNextPageToken(), answer.GetHistoryHead(), err
	}
}
