package export

import (
	"context"

	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

// source is what can be written to a file.
type source struct {
	name, short string
	columns     []column
	ofGauge     bool                   // it can be asked for one gauge
	number      func(entry any) uint64 // in the history; nil: its entries change, so that none is the last
	request     func(f flags) proto.Message
	page        func(context.Context, *app.Daemon, proto.Message) (page, error)
}

// page is a part of what was asked for.
type page struct {
	entries []any
	next    string          // token of the next page; empty: there is none
	head    *pb.HistoryHead // of the last page
}

// sources are all of them.
func sources() []source {
	return []source{
		{
			name: "readings", short: "Write stored readings to a file", columns: columnsOf(&pb.Reading{}), ofGauge: true,
			number: func(entry any) uint64 { return entry.(*pb.Reading).GetSeq() },
			request: func(f flags) proto.Message {
				return &pb.ListReadingsRequest{GaugeId: f.gauge, AfterSeq: f.after, PageSize: atOnce}
			},
			page: pageOf(app.HistoryPage(pb.HistoryServiceClient.ListReadings, (*pb.ListReadingsResponse).GetReadings)),
		},
		{
			name: "rejects", short: "Write rejected frames to a file", columns: columnsOf(&pb.Reject{}), ofGauge: true,
			number: func(entry any) uint64 { return entry.(*pb.Reject).GetSeq() },
			request: func(f flags) proto.Message {
				return &pb.ListRejectsRequest{GaugeId: f.gauge, AfterSeq: f.after, PageSize: atOnce}
			},
			page: pageOf(app.HistoryPage(pb.HistoryServiceClient.ListRejects, (*pb.ListRejectsResponse).GetRejects)),
		},
		{
			name: "states", short: "Write changes of the gauges' states to a file", columns: columnsOf(&pb.StateChange{}), ofGauge: true,
			number: func(entry any) uint64 { return entry.(*pb.StateChange).GetSeq() },
			request: func(f flags) proto.Message {
				return &pb.ListStateChangesRequest{GaugeId: f.gauge, AfterSeq: f.after, PageSize: atOnce}
			},
			page: pageOf(app.HistoryPage(pb.HistoryServiceClient.ListStateChanges, (*pb.ListStateChangesResponse).GetChanges)),
		},
		{
			name: "results", short: "Write the results of jobs to a file, one a row", columns: resultColumns(),
			request: func(flags) proto.Message { return &pb.ListJobsRequest{PageSize: 100} },
			page:    resultsPage,
		},
	}
}

// atOnce is how many entries are asked for at once.
const atOnce = 5000

// pageOf is a page of the history as one of entries of any kind.
func pageOf[Entry proto.Message](ask func(context.Context, *app.Daemon, proto.Message) ([]Entry, string, *pb.HistoryHead, error)) func(context.Context, *app.Daemon, proto.Message) (page, error) {
	return func(ctx context.Context, d *app.Daemon, request proto.Message) (p page, err error) {
		entries, next, head, err := ask(ctx, d, request)
		p.next, p.head = next, head
		for _, entry := range entries {
			p.entries = append(p.entries, entry)
		}
		return p, err
	}
}
