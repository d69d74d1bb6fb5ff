package client

import (
	"context"
	"iter"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	gaugedv1 "gauged/api/gauged/v1"
)

// Place is where a watch stands in the history of a station. Keep it with what was made of
// the event that has it; both fields go into the request of the next watch. Where a copy of the
// history was restored since, so that the number means something else, the daemon refuses it
// with WATCH_OTHER_HISTORY.
type Place struct {
	AfterSeq  uint64 `json:"after_seq"`
	StretchID string `json:"stretch_id"`
}

// Event is what a watch gives.
type Event[Message any] struct {
	Message *Message // of the contract
	Place   Place    // a watch from here gets what follows the event, and nothing twice
}

// WatchReadings gives readings, and changes of the state of gauges, as they were stored. The
// loop may take its time: meanwhile the daemon keeps its place in the history, and no more
// than 1 MiB is on the way. Who is far behind is told by a Lag, and still gets everything.
// With skip_when_behind it is moved to the newest instead, and told by a Gap what it missed.
//
// The last pair of the loop has the error that ended it: that of the context, or a refusal.
func (c *Client) WatchReadings(ctx context.Context, request *gaugedv1.WatchReadingsRequest, o Outage) iter.Seq2[Event[gaugedv1.WatchReadingsResponse], error] {
	r := proto.CloneOf(request)
	return watch[gaugedv1.WatchReadingsResponse]{
		open: func(ctx context.Context) (grpc.ServerStreamingClient[gaugedv1.WatchReadingsResponse], error) {
			return gaugedv1.NewGaugeServiceClient(c.conn).WatchReadings(ctx, r)
		},
		passed: func(m *gaugedv1.WatchReadingsResponse) Place {
			seq := max(m.GetReading().GetSeq(), m.GetState().GetSeq(), m.GetGap().GetLastSeq())
			r.AfterSeq, r.StretchId = passed(r, seq, m)
			return Place{r.GetAfterSeq(), r.GetStretchId()}
		},
	}.events(ctx, c.line(o))
}

// WatchJobs gives what happens in jobs as it was stored, or verdicts alone. It is in all else
// as [Client.WatchReadings].
func (c *Client) WatchJobs(ctx context.Context, request *gaugedv1.WatchJobsRequest, o Outage) iter.Seq2[Event[gaugedv1.WatchJobsResponse], error] {
	r := proto.CloneOf(request)
	return watch[gaugedv1.WatchJobsResponse]{
		open: func(ctx context.Context) (grpc.ServerStreamingClient[gaugedv1.WatchJobsResponse], error) {
			return gaugedv1.NewJobServiceClient(c.conn).WatchJobs(ctx, r)
		},
		passed: func(m *gaugedv1.WatchJobsResponse) Place {
			r.AfterSeq, r.StretchId = passed(r, m.GetChange().GetSeq(), m)
			return Place{r.GetAfterSeq(), r.GetStretchId()}
		},
	}.events(ctx, c.line(o))
}

// WatchJob gives a job as it stands, at once, after each change and after each outage, until
// it is closed. Its events have no place.
func (c *Client) WatchJob(ctx context.Context, request *gaugedv1.WatchJobRequest, o Outage) iter.Seq2[Event[gaugedv1.WatchJobResponse], error] {
	return watch[gaugedv1.WatchJobResponse]{
		open: func(ctx context.Context) (grpc.ServerStreamingClient[gaugedv1.WatchJobResponse], error) {
			return gaugedv1.NewJobServiceClient(c.conn).WatchJob(ctx, request)
		},
		passed: func(*gaugedv1.WatchJobResponse) Place { return Place{} },
		last: func(m *gaugedv1.WatchJobResponse) bool {
			return m.GetJob().GetStage() == gaugedv1.JobStage_JOB_STAGE_CLOSED
		},
	}.events(ctx, c.line(o))
}

// placed is a request that says where to begin, marked an answer that says where one stands.
type placed interface {
	GetAfterSeq() uint64
	GetStretchId() string
}

type marked interface {
	GetStart() *gaugedv1.WatchStart
	GetLag() *gaugedv1.Lag
}

// passed is where a watch goes on that was placed and has got an answer with a number.
func passed(r placed, seq uint64, m marked) (after *uint64, stretch string) {
	seq = max(seq, r.GetAfterSeq(), m.GetStart().GetAfterSeq(), m.GetLag().GetAfterSeq())
	if start := m.GetStart(); start != nil {
		return &seq, start.GetStretchId()
	}
	return &seq, r.GetStretchId()
}

// watch is a stream that goes on after an outage.
type watch[Message any] struct {
	open   func(context.Context) (grpc.ServerStreamingClient[Message], error)
	passed func(*Message) Place
	last   func(*Message) bool // nil: none is
}

func (w watch[Message]) events(ctx context.Context, l *line) iter.Seq2[Event[Message], error] {
	return func(yield func(Event[Message], error) bool) {
		for {
			err := w.receive(ctx, func(m *Message) bool {
				l.answered()
				goes := yield(Event[Message]{m, w.passed(m)}, nil)
				return goes && (w.last == nil || !w.last(m))
			})
			if err == nil {
				return
			}
			if err := l.ended(ctx, err); err != nil {
				yield(Event[Message]{}, err)
				return
			}
		}
	}
}

// receive opens the stream and hands on its messages, until there is an error or each has enough.
func (w watch[Message]) receive(ctx context.Context, each func(*Message) bool) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stream, err := w.open(ctx)
	for err == nil {
		var m *Message
		if m, err = stream.Recv(); err == nil && !each(m) {
			return nil
		}
	}
	return err
}
